"""Copies the whole catalogue into a new file, while others may go on writing.

remnants backup stock-2031-05-03.db
"""

import argparse
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.keep_safe import back_up
from remnants.cli.printing import show_text

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants backup`."""
    parser.add_argument("file", metavar="FILE", type=Path, help="the file to make")


def run(args: argparse.Namespace) -> int:
    """Makes the copy."""
    with open_catalogue(args.catalogue, write=False) as catalogue:
        size = back_up(catalogue, args.file)
    show_text(f"{args.file}: {size / 1e6:.1f} MB; keep it on another disk than the catalogue")
    return 0
