"""Lists the orders that were saved, or tells the revisions of one and what each has otherwise than the one before.

    remnants order rooms.json --save
    remnants order rooms.json --revises 12
    remnants orders
    remnants orders 12
    remnants orders 12 --between 1 3

Nothing is worked out anew here: an order is told as it was saved.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.kept_orders import Revision, every_order, revisions_of
from remnants.cli.options import at_least_one
from remnants.cli.printing import show_text
from remnants.errors import BadInput, Fault
from remnants.report.orders_text import compared, ordered_told
from remnants.units import Unit

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants orders`."""
    parser.add_argument("number", metavar="NUMBER", nargs="?", type=at_least_one, help="the order whose revisions are told")
    parser.add_argument(
        "--between", metavar="REVISION", nargs=2, type=at_least_one, help="compare these two revisions of the order"
    )


def run(args: argparse.Namespace) -> int:
    """Prints the list, or the revisions."""
    if args.between and not args.number:
        raise BadInput([Fault("--between", "say of which order: give its number")])
    with open_catalogue(args.catalogue, write=False) as catalogue:
        found = revisions_of(catalogue, args.number) if args.number else every_order(catalogue)
    if args.between:
        before, after = (_revision(found, number) for number in args.between)
        show_text(_told(before, after, args.unit))
        return 0
    for index, each in enumerate(found):
        show_text(f"{each.called}: {each.kept.name}. {ordered_told(each.kept, args.unit)}. {_signed(each)}.")
        if args.number and index + 1 < len(found):
            show_text(f"  {_told(found[index + 1], each, args.unit)}")
    if not found:
        show_text("no order is saved yet; `remnants order ROOMS --save` saves one")
    return 0


def _revision(found: tuple[Revision, ...], number: int) -> Revision:
    known = next((each for each in found if each.revision == number), None)
    if known is None:
        raise BadInput([Fault("--between", f"order {found[0].number} has no revision {number}, it has {found[0].revision}")])
    return known


def _told(before: Revision, after: Revision, unit: Unit) -> str:
    said = "; ".join(compared(before.kept, after.kept, unit)) or "nothing that is kept of it"
    return f"Against revision {before.revision}: {said}."


def _signed(each: Revision) -> str:
    return f"Saved by {each.who} on {each.at:%Y-%m-%d}" + (f", {each.why}" if each.why else "")
