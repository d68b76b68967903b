"""Lists the places that something lies at, by branch; or, of one place, the pieces that should lie there.

    remnants racks
    remnants racks --branch North
    remnants racks "Bay 3" --branch North
    remnants racks --words "elm end"

The first 200 are listed, ours before those with customers, and what the rest comes to is told; `--most` lists more.
Of a shop with several branches a place is meant as it is called at the branch that asks. Where none is told, and two of them have
a place of that name, it is asked which is meant.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.branches import branches_of
from remnants.actions.places import the_place
from remnants.actions.rack import PlaceShare, count_at, pieces_at, place_shares
from remnants.cli.options import add_most, own_branch
from remnants.cli.printing import show, show_text
from remnants.errors import BadInput, Fault
from remnants.report.pieces import standing_table
from remnants.report.rack_places import places_table, rest_lines

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants racks`."""
    parser.add_argument("place", metavar="PLACE", nargs="?", default="", help="the place whose pieces are listed")
    parser.add_argument(
        "--branch", metavar="BRANCH", default=None, help="the branch or van that asks (default: $REMNANTS_BRANCH); '' for all"
    )
    parser.add_argument("--words", default="", help="only the places that have these words in their name")
    add_most(parser)


def run(args: argparse.Namespace) -> int:
    """Lists places, or the pieces at one."""
    asked = own_branch() if args.branch is None else args.branch.strip()
    with open_catalogue(args.catalogue, write=False) as catalogue:
        own = branches_of(catalogue).named(asked) if asked else ""
        if asked and not own:
            told = f"no branch and no van is called {asked!r}; `remnants branch` and `remnants van` list those there are"
            raise BadInput([Fault("--branch", told)])
        if not args.place.strip():
            _list_places(place_shares(catalogue, args.words, own=own), args.most, own, args.words)
            return 0
        place = the_place(catalogue, args.place, own=own, where="PLACE")
        there, count = pieces_at(catalogue, place, most=args.most), count_at(catalogue, place)
    if not there:
        show_text(f"nothing lies at {place!r}; `remnants racks` lists the places at which something does")
        return 1
    show(standing_table(there, args.unit))
    show_text(f"{count:,} at {place}")
    if count > len(there):
        show_text(f"the first {len(there):,} by tag are listed; --most {count} lists them all")
    return 0


def _list_places(shares: tuple[PlaceShare, ...], most: int, own: str, words: str) -> None:
    if not shares:
        asked = f"no place has {words.strip()!r} in its name" if words.strip() else ""
        show_text(asked or (f"nothing lies at {own}" if own else "nothing is logged yet"))
        return
    rows = [(share.branch, share.place, share.where.value, share.count) for share in shares]
    show(places_table(rows[:most]))
    if len(rows) > most:
        more = f"--words finds others by their name, --most {len(rows)} lists them all"
        show_text(f"the first {most:,} of {len(rows):,} places are listed; {more}; not listed:")
        for line in rest_lines(rows[most:]):
            show_text(f"  {line}")
