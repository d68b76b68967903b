"""What is not worth its shelf: old, too small, or of a style that nobody ever asked for."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from operator import itemgetter

from remnants.actions.shop_rules import rules_in_force
from remnants.fitting import FitRules
from remnants.geometry.rectangles import largest_rectangle
from remnants.ledger import Standing
from remnants.store import Catalogue, jobs, pieces
from remnants.store.sizes import Sized, sizes_in_store

__all__ = ["Aged", "AgedStock", "Ground", "age_stock"]


_LONG_ENOUGH = timedelta(days=90)
"""Time in which somebody could have asked for it (common practice, no source)."""


class Ground(StrEnum):
    """Why a piece is listed."""

    OLD = "old"
    SMALL = "too small"
    UNASKED = "never asked for"


@dataclass(frozen=True)
class Aged:
    """A piece, why it is listed, since when it is there, its usable area and the full-value carpet that it stands for (mm²)."""

    standing: Standing
    grounds: tuple[Ground, ...]
    since: datetime
    area_mm2: float
    worth_mm2: float


@dataclass(frozen=True)
class AgedStock:
    """What is listed, the least worth first, and of all that there is to list: pieces, usable area, worth (mm²)."""

    listed: tuple[Aged, ...]
    count: int
    area_mm2: float
    worth_mm2: float


def age_stock(
    catalogue: Catalogue, *, now: datetime, days: int | None = None, rules: FitRules | None = None, most: int | None = None
) -> AgedStock:
    """Stored remnants and offcuts to look at, up to `most` (None: all). Pieces that are held are left out.

    Old: in the catalogue for more than `days` (None: as many as the shop's rules say). Too small: its largest rectangle is not
    worth keeping by the rules. Never asked for: no job that was held or cut used its style, though it is there for over 90 days.
    Worth: see `FitRules.value_mm2`.
    """
    shop = rules_in_force(catalogue, today=now.date())
    figures = rules or FitRules(keep=shop.keep)
    old = now - timedelta(days=shop.rules.old_days if days is None else days)
    asked = _styles_used(catalogue)
    found: list[tuple[float, str, float, datetime, tuple[Ground, ...]]] = []
    for each in sizes_in_store(catalogue):
        if each.held_until and now.date() <= each.held_until:
            continue
        width_mm, length_mm = _largest_mm(each)
        grounds = []
        if each.came < old:
            grounds.append(Ground.OLD)
        if not figures.worth_keeping(width_mm, length_mm):
            grounds.append(Ground.SMALL)
        if each.style not in asked and each.came < now - _LONG_ENOUGH:
            grounds.append(Ground.UNASKED)
        if grounds:
            worth_mm2 = figures.value_mm2(each.area_mm2, width_mm * length_mm)
            found.append((worth_mm2, each.tag, each.area_mm2, each.came, tuple(grounds)))
    first = sorted(found, key=itemgetter(0, 1))[:most]
    standings = pieces.standings_tagged(catalogue, [tag for _, tag, *_ in first])
    listed = tuple(Aged(standings[tag], grounds, came, area, worth) for worth, tag, area, came, grounds in first)
    return AgedStock(listed, len(found), sum(area for _, _, area, *_ in found), sum(worth for worth, *_ in found))


def _largest_mm(sized: Sized) -> tuple[float, float]:
    """Width and length of the largest rectangle that a piece holds: of a plain one that is all of it."""
    if sized.outline is None:
        return sized.across_mm, sized.along_mm
    largest = largest_rectangle(sized.outline, sized.pile_deg)
    return largest.width_mm, largest.length_mm


def _styles_used(catalogue: Catalogue) -> frozenset[str]:
    donors = sorted({tag for job in jobs.every_job(catalogue) for tag in job.donors})
    return frozenset(standing.piece.style for standing in pieces.standings_tagged(catalogue, donors).values())
