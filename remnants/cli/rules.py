"""Shows the rules of the trade that the shop works by, or changes them: how long a hold lasts, what is worth keeping.

    remnants rules
    remnants rules hold_days=21 keep_short="14 in"
    remnants rules hold_days=usual
    remnants rules --style "Velder Loop" keep_short="1 m" keep_long="1 m"
    remnants rules --style "Velder Loop" keep_short=usual keep_long=usual

What is changed holds from then on, at the terminal and on the pages; what is held or cut already stays as it is. `usual` brings a
rule back to what it is at first. Every figure at first is common practice, no source.

What is worth keeping may differ from style to style: of a rare wool narrow strips, of a cheap loop nothing under a metre. What a
style has of its own goes before the shop's figure, and before what a year's patches make of it; of a style, `usual` brings it
back to the shop's.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.shop_rules import InForce, change_rules, rules_in_force
from remnants.actions.style_sizes import change_sizes
from remnants.cli.options import add_signature, now, signature
from remnants.cli.printing import show, show_text
from remnants.days import day_words
from remnants.errors import BadInput, Fault
from remnants.report.rules_text import RuleLine, rules_table
from remnants.rules import RULES
from remnants.units import Unit

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants rules`."""
    parser.add_argument("changes", metavar="NAME=FIGURE", nargs="*", help="set a rule to a figure, or to `usual`; none shows all")
    parser.add_argument("--style", metavar="NAME", help="set keep_short and keep_long for this style alone")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Sets what is given, and shows all."""
    changes = _changes(args.changes)
    if args.style and not changes:
        raise BadInput([Fault("--style", "say what it has of its own, such as keep_short='1 m' keep_long='1 m'")])
    with open_catalogue(args.catalogue, write=bool(changes)) as catalogue:
        if args.style:
            found = change_sizes(catalogue, args.style, changes, unit=args.unit, signed=signature(args), key=args.key)
        elif changes:
            found = change_rules(catalogue, changes, unit=args.unit, signed=signature(args), key=args.key)
        else:
            found = rules_in_force(catalogue, today=now().date())
    show(rules_table(_lines(found, args.unit)))
    show_text(found.keep_words(args.unit))
    for each in found.sizes_set():
        show_text(f"Of {each.style} one is kept if it holds {each.keep.words(args.unit)} ({each.who}, {day_words(each.at)}).")
    return 0


def _changes(given: list[str]) -> dict[str, str]:
    changes: dict[str, str] = {}
    faults = []
    for text in given:
        name, equals, figure = text.partition("=")
        if not equals or not figure.strip():
            faults.append(Fault("", f"{text!r} changes no rule: write it as NAME=FIGURE, such as hold_days=21"))
        elif name.strip() in changes:
            faults.append(Fault(name.strip(), "it is given twice; give it once"))
        else:
            changes[name.strip()] = figure
    if faults:
        raise BadInput(faults)
    return changes


def _lines(found: InForce, unit: Unit) -> list[RuleLine]:
    lines = []
    for rule in RULES:
        own = found.own.get(rule.name)
        since = f"{own.who}, {own.at:%Y-%m-%d}" if own else ""
        lines.append(
            RuleLine(rule.name, rule.write(found.rules.value(rule), unit), rule.write(rule.usual, unit), rule.says, since)
        )
    return lines
