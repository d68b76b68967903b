"""Puts a copy in place of the catalogue, once it is proved sound. What was there before is kept beside it.

remnants restore stock-2031-05-03.db --yes
"""

import argparse
from pathlib import Path

from remnants.actions.keep_safe import restore
from remnants.cli.options import now
from remnants.cli.printing import agreed, show_text

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants restore`."""
    parser.add_argument("file", metavar="FILE", type=Path, help="a copy made by `remnants backup`")
    parser.add_argument("--yes", action="store_true", help="do it without asking")


def run(args: argparse.Namespace) -> int:
    """Brings the copy back."""
    if not (args.yes or agreed(f"Put {args.file} in place of {args.catalogue}?", otherwise="--yes")):
        show_text("the catalogue is as it was")
        return 0
    kept = restore(args.file, args.catalogue, now=now())
    show_text(f"{args.catalogue} is as {args.file} was" + (f"; what was there is kept in {kept}" if kept else ""))
    return 0
