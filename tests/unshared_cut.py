"""A cut as it was booked before a cut handed on what its piece had cost."""

from remnants.actions import Catalogue
from remnants.actions.booking import book
from remnants.geometry import rectangle
from remnants.geometry.outline import area_mm2
from remnants.ledger import Cut, Signed
from remnants.store import pieces
from remnants.store.unshared import TELL_UNSHARED

__all__ = ["cut_half_off"]


def cut_half_off(catalogue: Catalogue, tag: str, signed: Signed) -> None:
    """The upper half of a rectangle is taken; the rest keeps all of the cost, and the step of the migrations finds it."""
    standing = pieces.find_standing(catalogue, tag)
    assert standing
    left, bottom, right, top = standing.piece.outline.bounds
    half = rectangle(right - left, (top - bottom) / 2)
    with catalogue.atomic():
        book(catalogue, [(tag, Cut(half, area_mm2(half.ring), 0.0, ()))], signed)
        catalogue.execute("DELETE FROM cut_unshared")
        catalogue.execute(TELL_UNSHARED)
