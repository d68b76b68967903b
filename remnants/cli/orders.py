"""Lists the orders that were saved, or tells the revisions of one and what each has otherwise than the one before.

    remnants order rooms.json --save
    remnants order rooms.json --revises 12
    remnants orders
    remnants orders 12
    remnants orders 12 --between 1 3
    remnants orders 12 --rooms rooms.json

Nothing is worked out anew here: an order is told as it was saved. --rooms writes the rooms file that it was saved with, also
where it came from a table or a drawing: change it, and order it again with --revises.
"""

import argparse
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.kept_orders import Revision, every_order, revisions_of
from remnants.cli.files import write_bytes
from remnants.cli.options import at_least_one
from remnants.cli.printing import show_text
from remnants.days import day_words
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
    parser.add_argument("--rooms", metavar="FILE", type=Path, help="write the rooms file of the order, to be changed and revised")
    parser.add_argument("--revision", metavar="N", type=at_least_one, help="of --rooms: that of this revision, not the latest")


def run(args: argparse.Namespace) -> int:
    """Prints the list, or the revisions."""
    if args.between and not args.number:
        raise BadInput([Fault("--between", "say of which order: give its number")])
    if (args.rooms or args.revision) and not args.number:
        raise BadInput([Fault("--rooms", "say of which order: give its number")])
    if args.revision and not args.rooms:
        raise BadInput([Fault("--revision", "say where its rooms file goes: --rooms FILE")])
    with open_catalogue(args.catalogue, write=False) as catalogue:
        found = revisions_of(catalogue, args.number) if args.number else every_order(catalogue)
    if args.rooms:
        write_bytes(args.rooms, _rooms_file(_revision(found, args.revision or found[0].revision, "--revision")).encode())
        show_text(f"The rooms of order {args.number} are in {args.rooms}: `remnants order {args.rooms} --revises {args.number}`")
        return 0
    if args.between:
        before, after = (_revision(found, number, "--between") for number in args.between)
        show_text(_told(before, after, args.unit))
        return 0
    for index, each in enumerate(found):
        show_text(f"{each.called}: {each.kept.name}. {ordered_told(each.kept, args.unit)}. {_signed(each)}.")
        if args.number and index + 1 < len(found):
            show_text(f"  {_told(found[index + 1], each, args.unit)}")
    if not found:
        show_text("no order is saved yet; `remnants order ROOMS --save` saves one")
    return 0


def _rooms_file(revision: Revision) -> str:
    if not revision.asked:
        what = f"{revision.called.lower()} was saved without its rooms: save it again from the file that it came from"
        raise BadInput([Fault("--rooms", what)])
    return revision.asked


def _revision(found: tuple[Revision, ...], number: int, option: str) -> Revision:
    known = next((each for each in found if each.revision == number), None)
    if known is None:
        raise BadInput([Fault(option, f"order {found[0].number} has no revision {number}, it has {found[0].revision}")])
    return known


def _told(before: Revision, after: Revision, unit: Unit) -> str:
    said = "; ".join(compared(before.kept, after.kept, unit)) or "nothing that is kept of it"
    return f"Against revision {before.revision}: {said}."


def _signed(each: Revision) -> str:
    return f"Saved by {each.who} on {day_words(each.at)}" + (f", {each.why}" if each.why else "")
