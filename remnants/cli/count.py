"""Counts what lies at a place: takes the tags seen, says what is missing, unexpected or misplaced, and books it after a yes.

    remnants count "Bay 3" R-0142 R-0143
    remnants count "Bay 3" --file scanned.txt
    remnants count "Bay 3"

Tags are read from the command, from a file, or one a line as they are typed or scanned. Missing pieces are no longer planned
with until they are seen again. Of what is missing or misplaced the first 200 are listed; `--most` lists more.
"""

import argparse
import sys
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.count_place import LONG, book_count, count_place
from remnants.actions.places import the_place
from remnants.cli.options import add_most, add_signature, own_branch, signature
from remnants.cli.printing import agreed, show, show_text
from remnants.exchange.source import read_text
from remnants.report.counts import count_lines

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants count`."""
    parser.add_argument("place", metavar="PLACE", help="the place that is counted")
    parser.add_argument("tags", metavar="TAG", nargs="*", help="tags seen there")
    parser.add_argument("--file", metavar="FILE", type=Path, help="a file with the tags seen, one a line")
    add_most(parser, "so many of each")
    parser.add_argument("--yes", action="store_true", help="book the count without asking")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Compares, tells, and books after a yes."""
    seen = list(args.tags)
    if args.file:
        seen += read_text(args.file).splitlines()
    elif not seen:
        print("tags seen, one a line; an empty line ends", file=sys.stderr)
        for line in sys.stdin:
            if not line.strip():
                break
            seen.append(line)
    with open_catalogue(args.catalogue, write=True) as catalogue:
        count = count_place(catalogue, the_place(catalogue, args.place, own=own_branch(), where="PLACE"), seen)
        show(*count_lines(count, args.unit, most=args.most))
        if not (args.yes or agreed("Book this count?", otherwise="--yes")):
            show_text("nothing was booked")
            return 0
        if count.entries >= LONG:
            print(f"booking {count.entries:,} entries, all or none: that takes some seconds", file=sys.stderr, flush=True)
        entries = book_count(catalogue, count, signed=signature(args), key=args.key)
    show_text(f"booked: {entries} entries")
    return 0
