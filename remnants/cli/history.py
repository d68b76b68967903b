"""Tells a piece's life: every entry about it, what it was cut from, and what was cut from it.

remnants history R-0142
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.show_piece import history_of
from remnants.cli.printing import show
from remnants.report.life import life_lines, life_table

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants history`."""
    parser.add_argument("tag", metavar="TAG", help="the piece's tag")


def run(args: argparse.Namespace) -> int:
    """Prints the life of the piece."""
    with open_catalogue(args.catalogue, write=False) as catalogue:
        life = history_of(catalogue, args.tag)
    show(life_table(life.entries, args.unit), *life_lines(life.standing, parents=life.parents, offcuts=life.offcuts))
    return 0
