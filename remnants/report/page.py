"""Paper sizes and the room that a sheet leaves on them. Millimetres."""

from enum import Enum

__all__ = ["BELOW_MM", "LARGER", "MARGIN_MM", "LargePage", "PageSize", "room_mm"]

MARGIN_MM = 14.0
BELOW_MM = 24.0
"""Kept at the foot for the page's number and the bars that prove its scale."""


class PageSize(Enum):
    """Width and height of the paper (mm)."""

    A4 = (210.0, 297.0)
    LETTER = (215.9, 279.4)


class LargePage(Enum):
    """Paper for a drawing of a whole house: laid across, or of twice the size. Width and height (mm)."""

    A4_ACROSS = (297.0, 210.0)
    LETTER_ACROSS = (279.4, 215.9)
    A3 = (297.0, 420.0)
    A3_ACROSS = (420.0, 297.0)
    TABLOID = (279.4, 431.8)
    TABLOID_ACROSS = (431.8, 279.4)


LARGER = {
    PageSize.A4: (PageSize.A4, LargePage.A4_ACROSS, LargePage.A3, LargePage.A3_ACROSS),
    PageSize.LETTER: (PageSize.LETTER, LargePage.LETTER_ACROSS, LargePage.TABLOID, LargePage.TABLOID_ACROSS),
}
"""The paper that somebody has, and what else a printer may take of its kind, the smallest first."""


def room_mm(size: PageSize | LargePage) -> tuple[float, float]:
    """Width and height inside the margins (mm)."""
    width, height = size.value
    return width - 2 * MARGIN_MM, height - MARGIN_MM - BELOW_MM
