"""Tries your own phone: known lengths in photographs with the marker page, and whether what is measured can be believed.

    remnants try-phone trial.txt

Mark three lengths on a carpet with tape, some 300, 600 and 1000 mm (1, 2 and 3 ft), in different directions round the page, and
measure each. Take three photographs: one straight from above, two from different sides. Each line of the file tells a photograph,
the pixels of both ends, and what the tape says:

    one.jpg 812,640 1420,655 600 mm

A verdict needs three lengths in each of three photographs. No real phone was measured by us: so try yours before you lean on it.
"""

from __future__ import annotations

import argparse
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from remnants.cli.photo_options import above_mm, view_in
from remnants.cli.printing import show_json, show_text
from remnants.errors import BadFile, BadInput, BadMeasure, Fault
from remnants.late import Late
from remnants.units import Unit, parse_length

if TYPE_CHECKING:
    from remnants.actions.measure_photo import Point, View
    from remnants.photo import trial
    from remnants.report import trial_text
else:
    trial, trial_text = Late("remnants.photo.trial"), Late("remnants.report.trial_text")

__all__ = ["add_arguments", "run"]

MOST_LINES = 200


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants try-phone`."""
    parser.add_argument("file", metavar="FILE", type=Path, help="the lengths, one a line: PHOTO X,Y X,Y LENGTH")
    parser.add_argument("--lens", metavar="MM", type=float, help="the lens by 35 mm film, where the pictures do not tell it: 26")
    parser.add_argument("--above", metavar="LENGTH", help="how far the lengths lie above the page (default 0)")
    parser.add_argument("--json", action="store_true", help="print the trial as JSON")


def run(args: argparse.Namespace) -> int:
    """Prints each length beside the tape's, and the verdict."""

    @cache
    def view_of(name: str) -> View:
        return view_in(args, args.file.parent / name)

    tried = []
    for number, (name, ends, known_mm) in enumerate(_lines(args.file, args.unit), 1):
        view = view_of(name)
        try:
            found = view.length(*ends, above_mm=above_mm(args))
        except BadInput as error:
            raise type(error)(Fault(f"line {number}", fault.what) for fault in error.faults) from None
        tried.append(trial.Tried(found, known_mm, view.picture.digest))
    if args.json:
        rows = [
            {"length": each.found.mm, "bar": each.found.bar_mm, "known": each.known_mm, "within": each.within} for each in tried
        ]
        show_json({"unit": "mm", "tried": rows, "verdict": trial.verdict_of(tried).value})
        return 0
    for line in (*trial_text.tried_lines(tried, args.unit), "", trial_text.verdict_text(tried), trial_text.OPENLY):
        show_text(line)
    return 0


def _lines(path: Path, unit: Unit) -> list[tuple[str, tuple[Point, Point], float]]:
    """Photograph, both ends and the tape's length of each line. Raises BadFile with all that can't be read."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        raise BadFile([Fault(str(path), "can't be read: give a text file, one length a line")]) from None
    found, faults = [], []
    for number, line in enumerate((each for each in text.splitlines() if each.strip()), 1):
        words = line.split(maxsplit=3)
        try:
            one, other = (_point(word) for word in words[1:3])
            found.append((words[0], (one, other), parse_length(words[3], unit)))
        except (ValueError, IndexError, BadMeasure):
            what = f"{line.strip()[:60]!r} is no length: give PHOTO X,Y X,Y LENGTH, such as one.jpg 812,640 1420,655 600 mm"
            faults.append(Fault(f"line {number}", what))
    if not found and not faults:
        faults.append(Fault(str(path), "it tells no length: give one a line"))
    if len(found) > MOST_LINES:
        faults.append(Fault(str(path), f"{len(found)} lengths, and at most {MOST_LINES} are taken"))
    if faults:
        raise BadFile(faults)
    return found


def _point(word: str) -> Point:
    x, y = word.split(",")
    return float(x), float(y)
