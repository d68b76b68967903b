"""Puts a copy in place of the catalogue, once it is proved sound. What was there before is kept beside it, damaged or not.

    remnants restore stock-2031-05-03.db --yes

How many pieces and entries both have, and when each was last changed, is told first. A copy that has fewer entries than the
catalogue, or no piece, is refused unless --older says that it is meant.

Where no sound copy is left, --rescue takes out of a damaged file what can still be read, and tells what is lost; the file may be
the catalogue itself.
"""

import argparse
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path

from remnants.actions.bring_back import Sides, Tally, restore
from remnants.cli.noting import note_here
from remnants.cli.options import now
from remnants.cli.printing import agreed, show_text
from remnants.cli.progress import counting
from remnants.model.door_line import DoorKind
from remnants.report.counts import held_words
from remnants.report.rescue import rescue_lines
from remnants.store.server_address import in_a_file

__all__ = ["add_arguments", "run"]

_TO_A_SERVER = (
    "bring a copy back into a new, empty database with `remnants move-catalogue COPY postgresql://user@host/database`,"
    " a dump with the server's own pg_restore, as docs/how-to/use-a-server.md tells"
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants restore`."""
    parser.add_argument("file", metavar="FILE", type=Path, help="a copy made by `remnants backup`")
    parser.add_argument("--yes", action="store_true", help="do it without asking")
    parser.add_argument("--older", action="store_true", help="go back to a copy that lacks what was written down since")
    parser.add_argument("--rescue", action="store_true", help="of a damaged file, take what can still be read")


def run(args: argparse.Namespace) -> int:
    """Brings the copy back."""
    in_a_file(args.catalogue, instead=_TO_A_SERVER)

    def agree(sides: Sides) -> bool:
        show_text(_holds(args.catalogue, sides.catalogue, damaged=sides.damaged))
        if sides.rescue:
            show_text("\n".join(rescue_lines(str(args.file), **vars(sides.rescue))))
        else:
            show_text(_holds(args.file, sides.copy))
        if sides.goes_back and not args.older:
            return True  # it is refused, with the reason; nobody need be asked
        return args.yes or agreed(f"Put {args.file} in place of {args.catalogue}?", otherwise="--yes")

    restored = restore(args.file, args.catalogue, now=now(), older=args.older, damaged_too=args.rescue, agree=agree, watch=_watch)
    if restored is None:
        show_text("the catalogue is as it was")
        return 0
    note_here(args.catalogue, DoorKind.RESTORE, _tally_words(restored.holds, rescued=restored.rescue is not None))
    kept = f"; what was there is kept in {restored.kept}" if restored.kept else ""
    what = "holds what could be read" if restored.rescue else f"is as {args.file} was"
    show_text(f"{args.catalogue} {what}{kept}")
    show_text(_holds(args.catalogue, restored.holds))
    show_text("everybody signs in anew; look at People, since whoever was shut out after it was made may come in again")
    show_text("recovery codes of second factors are gone, as used ones would open again: draw new ones on your own page")
    return 0


def _watch(rows: int) -> AbstractContextManager[Callable[[int], None]]:
    return counting("rows of the copy proved", rows)


def _tally_words(holds: Tally, *, rescued: bool) -> str:
    return f"{'what could be read of a damaged file' if rescued else 'a copy'}: {holds.pieces} pieces, {holds.entries} entries"


def _holds(path: Path, tally: Tally | None, *, damaged: bool = False) -> str:
    if not path.exists():
        return f"{path}: not there"
    told = held_words(tally.pieces, tally.entries, tally.last_change) if tally else "can't be read"
    return f"{path}: " + (f"damaged; as far as it can be read {told}" if damaged and tally else "damaged; " * damaged + told)
