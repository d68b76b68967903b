"""The shop's rules: what is kept, how long a hold lasts. Everybody reads them, managers change them."""

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.shop_rules import change_rules, rules_in_force
from remnants.errors import BadInput, Fault
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


def _figures() -> dict[str, str]:
    """The figures in force as a form shows them: lengths as the reader writes them, whole numbers."""
    rules = rules_in_force(catalogue(), today=settings().now().date()).rules
    return {
        rule.name: f"{rules.value(rule):.0f}" if rule.kind in _COUNTS else rule.write(rules.value(rule), reader_unit())
        for rule in RULES
    }


def _shown(faults: tuple[Fault, ...] = (), typed: dict[str, str] | None = None) -> str:
    found = rules_in_force(catalogue(), today=settings().now().date())
    return render_template(
        "rules.html",
        choices=RuleKind.YES_OR_NO,
        rules=RULES,
        found=found,
        figures=typed or _figures(),
        faults=faults,
        said=found.keep_words(reader_unit()),
    )
