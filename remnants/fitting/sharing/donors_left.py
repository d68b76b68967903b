"""What is left of every candidate, and the donors of each patch."""

from collections.abc import Sequence
from dataclasses import replace

from remnants.fitting.patch.asked import donors_of
from remnants.fitting.patch.made import Made
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.room_on_donors import Field
from remnants.geometry.outline import Outline
from remnants.model.match import Candidate

__all__ = ["fields_of", "left_of"]


def fields_of(asks: Sequence[Ask], candidates: Sequence[Sequence[Candidate]]) -> tuple[Field, ...]:
    """The donors of each patch, from untouched stock."""
    whole_stock = left_of(candidates, ())
    return tuple(Field(tuple(donors_of(ask.patch, own, whole_stock))) for ask, own in zip(asks, candidates, strict=True))


def left_of(candidates: Sequence[Sequence[Candidate]], made: Sequence[Made | None]) -> dict[str, Outline]:
    """What is left of every candidate by tag, each cut of the plans made a cutout."""
    left = {candidate.piece.tag: candidate.piece.outline for own in candidates for candidate in own}
    for each in made:
        for tag, cut in each.cuts if each is not None else ():
            left[tag] = replace(left[tag], cutouts=(*left[tag].cutouts, cut))
    return left
