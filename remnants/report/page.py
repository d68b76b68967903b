"""Paper sizes and the room that a sheet leaves on them. Millimetres."""

from enum import Enum

__all__ = ["BELOW_MM", "MARGIN_MM", "PageSize", "room_mm"]

MARGIN_MM = 14.0
BELOW_MM = 24.0
"""Kept at the foot for the page's number and the bars that prove its scale."""


class PageSize(Enum):
    """Width and height of the paper (mm)."""

    A4 = (210.0, 297.0)
    LETTER = (215.9, 279.4)


def room_mm(size: PageSize) -> tuple[float, float]:
    """Width and height inside the margins (mm)."""
    width, height = size.value
    return width - 2 * MARGIN_MM, height - MARGIN_MM - BELOW_MM
