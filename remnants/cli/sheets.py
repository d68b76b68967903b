"""Logging a spreadsheet: what its columns are taken for is shown before they are used, and bad rows can be set aside."""

import argparse
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from rich.console import Console
from rich.progress import Progress

from remnants.actions import Catalogue
from remnants.actions.log_lines import log_lines
from remnants.cli.files import write_bytes
from remnants.cli.options import signature
from remnants.cli.printing import remark, remarks
from remnants.cli.sheet_questions import settled, style_meant
from remnants.errors import Fault
from remnants.exchange.headings import Heading
from remnants.exchange.lines import BadRow
from remnants.exchange.lines_text import rows_text
from remnants.exchange.sheet import Sheet, read_sheet
from remnants.exchange.source import shown
from remnants.limits import NOTES_TOLD
from remnants.units import Unit

__all__ = ["add_sheet_options", "log_sheet"]

_UNITS = {Unit.IN: "inches", Unit.FT: "feet"}


def add_sheet_options(parser: argparse.ArgumentParser) -> None:
    """The options for a spreadsheet."""
    sheet = parser.add_argument_group("a spreadsheet (.xlsx, .ods or CSV)")
    sheet.add_argument(
        "--column",
        metavar="HEADING=MEANING",
        action="append",
        default=[],
        help="what a column tells, such as Ref=tag or 'Roll Width=width (ft)'; empty to leave it out; may be repeated",
    )
    sheet.add_argument("--sheet", metavar="NAME", default="", help="which sheet of a workbook, where several hold pieces")
    sheet.add_argument("--yes", action="store_true", help="ask nothing: what is not sure is refused, with what to say about it")
    sheet.add_argument("--skip-bad", action="store_true", help="store the good rows, and write the bad ones to a file beside it")


def log_sheet(catalogue: Catalogue, args: argparse.Namespace) -> tuple[tuple[str, ...], int]:
    """Stores the rows; gives the first tags, and how many pieces there are.

    Raises BadInput with the faults of every row, and for columns that are not sure.
    """
    said = _told(args.column)
    sheet = read_sheet(args.file, said, args.sheet)
    remarks(sheet.notes)
    _show_headings(sheet.headings)
    sheet = settled(sheet, said, ask=not args.yes)
    with _progress(len(sheet.rows)) as told:
        logged = log_lines(
            catalogue,
            sheet,
            unit=args.unit,
            signed=signature(args),
            skip_bad=args.skip_bad,
            key=args.key,
            told=told,
            meant=style_meant(ask=not args.yes),
        )
    bare = [
        Fault("styles", f"{name!r} is not described; it is taken for cut pile without a pattern") for name in logged.bare_styles
    ]
    for notes, are in ((logged.notes, "such rows"), (bare, "styles are not described")):
        for note in notes[:NOTES_TOLD]:
            remark(note)
        if len(notes) > NOTES_TOLD:
            remark(Fault("", f"and {len(notes) - NOTES_TOLD:,} more {are}"))
    if logged.bad:
        _set_aside(args.file, sheet, logged.bad)
    return logged.tags, logged.count


def _told(columns: Sequence[str]) -> dict[str, str]:
    return {heading: meaning.strip() for heading, _, meaning in (text.rpartition("=") for text in columns)}


def _show_headings(headings: Sequence[Heading]) -> None:
    for heading in headings:
        unit = f", in {_UNITS.get(heading.unit, heading.unit)}" if heading.unit else ""
        means = f"{heading.field}{unit}{' (a guess)' if heading.guessed else ''}" if heading.field else "not read"
        print(f"column {shown(heading.written)}: {means}", file=sys.stderr)


def _set_aside(file: Path, sheet: Sheet, bad: Sequence[BadRow]) -> None:
    beside = write_bytes(file.with_name(f"{file.stem}.bad.csv"), rows_text(sheet, bad).encode())
    remark(Fault(str(beside), f"{len(bad)} bad rows, each with its faults; mend them there and log that file"))


@contextmanager
def _progress(rows: int) -> Iterator[Callable[[int], None]]:
    """Tells how far a long file is, where somebody looks on."""
    console = Console(stderr=True)
    with Progress(console=console, transient=True, disable=not console.is_terminal or rows < 2000) as bar:
        task = bar.add_task("logging rows", total=rows)
        yield lambda done: bar.update(task, completed=done)
