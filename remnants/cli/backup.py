"""Copies the whole catalogue into a new file, while others may go on writing; by a schedule, into a folder; or tries a copy out.

    remnants backup stock-2031-05-03.db
    remnants backup copies --every 1d --keep 7d,4w,12m
    remnants backup --drill

With --every one run makes a copy when one is due, proves it, then drops the older ones that --keep doesn't ask for, and says when
the next is due: let the machine's own clock (cron, systemd) start it as often as you like. With --wait it stays and does so by
itself until Ctrl-C. Only copies that a schedule of this catalogue made in this folder are ever dropped.

--drill brings the newest copy back aside, never over the stock, and proves all that it holds, with plans that were held or cut.
Exit code 1 when that copy would not bring the stock back.

Of a catalogue on a server the copy is a file as of any other: with all of its history, photographs and people. It goes back into
a new, empty database by `remnants move-catalogue`.
"""

import argparse
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.keep_safe import back_up
from remnants.actions.known_copies import note_copy
from remnants.cli.backup_runs import keep_schedule, try_out
from remnants.cli.noting import note_here
from remnants.cli.options import now
from remnants.cli.printing import remarks, show_text
from remnants.cli.progress import counting
from remnants.errors import BadInput
from remnants.model.door_line import DoorKind
from remnants.store.server_address import CatalogueAt

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants backup`."""
    parser.add_argument("file", metavar="FILE", type=Path, nargs="?", help="the file to make; with --every, the folder")
    parser.add_argument("--every", metavar="TIME", help="make a copy when the last is so old: 12h, 1d, 1w (hours, days, weeks)")
    parser.add_argument(
        "--keep", metavar="COUNTS", help="keep the last copy of each of so many days, weeks, months (default 7d,4w,12m)"
    )
    parser.add_argument("--wait", action="store_true", help="stay, and make each copy when it is due, until Ctrl-C")
    parser.add_argument("--drill", action="store_true", help="try out the newest copy, or FILE")


def run(args: argparse.Namespace) -> int:
    """Makes the copy, or what the options say."""
    if (args.keep or args.wait) and not args.every:
        raise BadInput("--keep and --wait go with --every: say how long from copy to copy, such as --every 1d")
    if args.drill and args.every:
        raise BadInput("--drill tries a copy out and --every makes one; give one of them at a time")
    own: CatalogueAt = args.catalogue
    if args.drill:
        return try_out(own, args.file)
    if args.file is None:
        wanted = "the folder for the copies" if args.every else "the file to make, such as one with the date in it"
        raise BadInput(f"name {wanted}")
    if args.every:
        keep_schedule(own, args.file, every=args.every, keep=args.keep or "7d,4w,12m", wait=args.wait)
        return 0
    at = now()
    with open_catalogue(own, write=False) as catalogue:
        size = back_up(catalogue, args.file, watch=counting)
    note_here(own, DoorKind.COPY, f"{size / 1e6:.1f} MB")
    show_text(f"{args.file}: {size / 1e6:.1f} MB; keep it on another disk than the catalogue")
    remarks(note_copy(own, args.file, at))
    return 0
