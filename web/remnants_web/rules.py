"""The shop's rules: what is kept, how long a hold lasts. Everybody reads them, managers change them."""

from collections.abc import Mapping
from types import MappingProxyType

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.log_pieces import known_styles
from remnants.actions.shop_rules import change_rules, rules_in_force
from remnants.actions.style_sizes import change_sizes
from remnants.errors import BadInput, Fault, NotFound
from remnants.model import Role
from remnants.rules import RULES, RuleKind
from remnants_web.access import needs, signature
from remnants_web.problems import STATUS
from remnants_web.sent_texts import sent_key
from remnants_web.shapes import entry_unit
from remnants_web.shop import catalogue, settings
from remnants_web.words import reader_unit

__all__ = ["area"]

area = Blueprint("rules", __name__, url_prefix="/rules")

_COUNTS = (RuleKind.DAYS, RuleKind.PATCHES)
"""Kinds whose unit stands in the label."""

_SIDES = {"least_short": "keep_short", "least_long": "keep_long"}
"""Fields of a style's own size, and the rules that they are."""

_EMPTY: Mapping[str, str] = MappingProxyType({"style": "", **dict.fromkeys(_SIDES, "")})


@area.get("")
@needs(Role.LOOK)
def show() -> str:
    """The rules in force."""
    return _shown()


@area.post("")
@needs(Role.MANAGE)
def change() -> Response:
    """Sets those that were typed anew, all of them or none."""
    was = _figures()
    typed = {rule.name: request.form.get(rule.name, was[rule.name]).strip() for rule in RULES}
    changes = {name: text or "usual" for name, text in typed.items() if text != was[name]}
    try:
        change_rules(catalogue(), changes, unit=entry_unit(), signed=signature(), key=sent_key())
    except BadInput as error:
        return make_response(_shown(error.faults, typed), STATUS[BadInput])
    return redirect(url_for("rules.show"), 303)


@area.post("/sizes")
@needs(Role.MANAGE)
def sizes() -> Response:
    """Sets from which size on leftovers of one style are kept; empty fields take the style's own size back."""
    typed = {name: request.form.get(name, "").strip() for name in ("style", *_SIDES)}
    changes = {rule: typed[name] or "usual" for name, rule in _SIDES.items()}
    try:
        if not typed["style"]:
            raise BadInput([Fault("style", "say of which style")])
        change_sizes(catalogue(), typed["style"], changes, unit=entry_unit(), signed=signature(), key=sent_key())
    except (BadInput, NotFound) as error:
        fields = {rule: name for name, rule in _SIDES.items()}
        faults = error.faults if isinstance(error, BadInput) else (Fault("style", str(error)),)
        told = tuple(Fault(fields.get(fault.where, fault.where), fault.what) for fault in faults)
        return make_response(_shown(told, sizes_typed=typed), STATUS[type(error)])
    return redirect(url_for("rules.show", _anchor="of-styles"), 303)


def _figures() -> dict[str, str]:
    """The figures in force as a form shows them: lengths as the reader writes them, whole numbers."""
    rules = rules_in_force(catalogue(), today=settings().now().date()).rules
    return {
        rule.name: f"{rules.value(rule):.0f}" if rule.kind in _COUNTS else rule.write(rules.value(rule), reader_unit())
        for rule in RULES
    }


def _shown(
    faults: tuple[Fault, ...] = (), typed: dict[str, str] | None = None, *, sizes_typed: Mapping[str, str] = _EMPTY
) -> str:
    found = rules_in_force(catalogue(), today=settings().now().date())
    return render_template(
        "rules.html",
        choices=RuleKind.YES_OR_NO,
        rules=RULES,
        found=found,
        figures=typed or _figures(),
        faults=faults,
        said=found.keep_words(reader_unit()),
        of_styles=[(each, each.keep.words(reader_unit())) for each in found.sizes_set()],
        styles=[("", "choose one"), *((name, name) for name in sorted(known_styles(catalogue())))],
        sizes_typed=sizes_typed,
    )
