"""What a spreadsheet leaves open, asked at the terminal: what a column tells that is not sure, and in which unit.

Nothing is guessed where nobody is asked: then each such column is refused, with what to say about it.
"""

import sys
from collections.abc import Mapping
from dataclasses import replace

from remnants.actions.style_spelling import Meant, kept_as_written
from remnants.cli.printing import agreed
from remnants.errors import BadInput, Fault
from remnants.exchange.headings import Heading, guess_headings
from remnants.exchange.sheet import Sheet
from remnants.exchange.source import shown
from remnants.units import Unit

__all__ = ["settled", "style_meant"]


def settled(sheet: Sheet, told: Mapping[str, str], *, ask: bool) -> Sheet:
    """The sheet with every heading sure. Raises BadInput for those that are not, where nobody may be asked or is there."""
    unsure = [heading for heading in sheet.headings if heading.guessed]
    asked = ask and sys.stdin.isatty()
    if unsure and not asked:
        raise BadInput(Fault(f"column {shown(heading.written)}", _how_to_say(heading)) for heading in unsure)
    answers = {heading.written: heading.field if _meant(sheet, heading) else "" for heading in unsure}
    known = replace(sheet, headings=guess_headings([heading.written for heading in sheet.headings], {**told, **answers}))
    return replace(known, headings=tuple(_with_unit(known, heading, asked=asked) for heading in known.headings))


def style_meant(*, ask: bool) -> Meant:
    """Asks whether a style that nobody has is a known one; where nobody may be asked or is there, it is kept as it is written."""
    if not ask or not sys.stdin.isatty():
        return kept_as_written
    question = "No style is called {!r}; is {!r} meant?"
    return lambda written, known: agreed(question.format(written, known), otherwise="the style's name")


def _meant(sheet: Sheet, heading: Heading) -> bool:
    example = _example(sheet, heading)
    such_as = f" (such as {shown(example)})" if example else ""
    return agreed(f"Does the column {shown(heading.written)}{such_as} tell the {heading.field}?", otherwise="--column")


def _with_unit(sheet: Sheet, heading: Heading, *, asked: bool) -> Heading:
    """The width of a roll with its unit: a bare 12 is most likely told in feet, whatever all else is told in."""
    example = _example(sheet, heading)
    if not heading.of_roll or not example.replace(".", "").replace(",", "").isdigit():
        return heading
    if not asked:
        what = f"{shown(example)} may be feet or another unit: say --column '{heading.written}=width (ft)', or another unit there"
        raise BadInput([Fault(f"column {shown(heading.written)}", what)])
    while True:
        question = f"In which unit are the figures under {shown(heading.written)}, such as {example}? [ft] "
        answer = input(question).strip().lower() or Unit.FT
        if answer in tuple(Unit):
            return replace(heading, unit=Unit(answer), of_roll=False)
        print(f"  {shown(answer)} is none of {', '.join(Unit)}", file=sys.stderr)


def _how_to_say(heading: Heading) -> str:
    unit = " (ft)" if heading.of_roll else ""
    return (
        f"may tell the {heading.field}, which is not sure: say --column '{heading.written}={heading.field}{unit}' if it does, "
        f"--column '{heading.written}=' to leave it out"
    )


def _example(sheet: Sheet, heading: Heading) -> str:
    """The first cell with text under the heading."""
    column = next(index for index, one in enumerate(sheet.headings) if one.written == heading.written)
    return next((cells[column] for _, cells in sheet.rows if len(cells) > column and cells[column]), "")
