"""Whether a row of a piece holds what the shop keeps, in SQL: by the size of its style, or by the shop's. Lengths mm."""

from remnants.geometry import TOLERANCE_MM
from remnants.rules import LeastSizes

__all__ = ["holds_least"]


def holds_least(least: LeastSizes) -> tuple[str, list[object]]:
    """SQL that is true of rows whose largest rectangle holds the least size of their `style`, and its values."""
    (short, short_values), (long, long_values) = _side(least, 0), _side(least, 1)
    return f"(largest_short_mm >= {short} AND largest_long_mm >= {long})", [*short_values, *long_values]


def _side(least: LeastSizes, side: int) -> tuple[str, list[object]]:
    """SQL for a side, 0 the shorter and 1 the longer, less the tolerance."""
    shop_mm = least.shop.sides_mm[side] - TOLERANCE_MM
    if not least.own:
        return "?", [shop_mm]
    own: list[object] = []
    for style, keep in least.own:
        own += [style, keep.sides_mm[side] - TOLERANCE_MM]
    return f"CASE style {'WHEN ? THEN ? ' * len(least.own)}ELSE ? END", [*own, shop_mm]
