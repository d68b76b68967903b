"""A note of how long each field of the patch form takes, where the shop's rules ask for one. It stays in this catalogue."""

import re
from collections.abc import Collection, Iterator

from remnants.actions.shop_rules import own_rules
from remnants.store import Catalogue, field_paces
from remnants.store.field_paces import FieldPace

__all__ = ["WHOLE", "FieldPace", "forget_paces", "note_paces", "noted_paces"]

WHOLE = "form"
"""Stands in place of a field's name for the form as a whole, from the first touch until it is sent."""

MOST_TOLD = 80
MOST_TAPS, MOST_SECONDS = 999, 600.0
"""More of one form was no work on it: the phone lay there."""

_TOLD = re.compile(r"([a-z][a-z_0-9]{0,39}):(\d{1,6}):(\d{1,6}(?:\.\d{1,3})?)")


def note_paces(catalogue: Catalogue, told: str, fields: Collection[str]) -> None:
    """Adds what a form tells of its fields, as `style:2:6.5` (taps, seconds) with blanks between.

    Only where the shop's rule is yes, and of those `fields` alone, beside the whole; what can't be read is no fault of the one
    who asks, and is passed over.
    """
    if told and own_rules(catalogue).note_pace:
        with catalogue.atomic():
            field_paces.add(catalogue, _read(told, {*fields, WHOLE}))


def _read(told: str, fields: Collection[str]) -> Iterator[FieldPace]:
    for text in dict.fromkeys(told.split()[:MOST_TOLD]):
        found = _TOLD.fullmatch(text)
        if found and found[1] in fields:
            yield FieldPace(found[1], 1, min(int(found[2]), MOST_TAPS), min(float(found[3]), MOST_SECONDS))


def noted_paces(catalogue: Catalogue) -> tuple[FieldPace, ...]:
    """What was noted, the fields that take longest first."""
    return field_paces.every_pace(catalogue)


def forget_paces(catalogue: Catalogue) -> None:
    """Empties the note."""
    with catalogue.atomic():
        field_paces.drop_all(catalogue)
