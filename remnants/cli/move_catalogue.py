"""Takes a whole shop from one catalogue to another, from a file to a server or back: history, photographs, people, all of it.

    remnants move-catalogue stock.db postgresql://shop@server/stock
    remnants move-catalogue postgresql://shop@server/stock stock.db

The second one must hold nothing yet. Nobody can write in either meanwhile. What came is kept only once every table is proved to
be the same and both catalogues are sound; otherwise the second stays empty.

The first one stays as it was. Nothing that is written there afterwards comes over, so tell everybody the new place, and put the
old one away.
"""

import argparse
import shlex
from collections.abc import Callable
from contextlib import AbstractContextManager

from remnants.actions import open_catalogue
from remnants.actions.move_catalogue import move_catalogue, refuse_nothing
from remnants.cli.noting import note_here
from remnants.cli.printing import show_text
from remnants.cli.progress import counting
from remnants.model.door_line import DoorKind
from remnants.store.server_address import read_catalogue_at

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of `remnants move-catalogue`."""
    parser.add_argument("source", metavar="FROM", help="the catalogue that is there: a file, or postgresql://user@host/database")
    parser.add_argument("target", metavar="TO", help="the new one, which holds nothing yet")


def run(args: argparse.Namespace) -> int:
    """Moves it, and tells how much that was and what to do now."""
    there, new = read_catalogue_at(args.source), read_catalogue_at(args.target)
    with open_catalogue(there, write=False) as source:
        refuse_nothing(source)  # before a new one is made for it
    with open_catalogue(there, write=True) as source, open_catalogue(new, write=True) as target:
        moved = move_catalogue(source, target, watch=_watch)
    counted = (
        (moved.pieces, "piece", "pieces"),
        (moved.entries, "entry", "entries"),
        (moved.photographs, "photograph", "photographs"),
    )
    what = ", ".join(f"{count} {one if count == 1 else many}" for count, one, many in counted)
    for catalogue in (there, new):
        note_here(catalogue, DoorKind.COPY, f"the whole catalogue moved: {what}")
    show_text(f"{new}: {what}")
    show_text(f"each of {moved.rows} rows in {moved.tables} tables is the same, and both catalogues are sound")
    show_text(f"From now on work with the new one: `export REMNANTS_CATALOGUE={shlex.quote(str(new))}`, or --catalogue.")
    show_text(f"{there} is as it was. Put it away as a copy: what is written there now stays there.")
    return 0


def _watch(words: str, rows: int) -> AbstractContextManager[Callable[[int], None]]:
    return counting(words, rows)
