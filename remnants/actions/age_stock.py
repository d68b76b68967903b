"""What is not worth its shelf: old, too small, or of a style that nobody ever asked for."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from remnants.actions.shop_rules import rules_in_force
from remnants.fitting import FitRules
from remnants.ledger import Standing
from remnants.store import Catalogue, jobs, pieces
from remnants.store.sizes import Looked, Sized, look_at_sizes

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
    """Stored remnants and offcuts to look at, up to `most` (None: all). Pieces that are held or with a customer are left out.

    Old: in the catalogue for more than `days` (None: as many as the shop's rules say). Too small: its largest rectangle is not
    worth keeping by the least size of its style. Never asked for: no job that was held or cut used its style, though it is there
    for over 90 days.
    Worth: see `FitRules.value_mm2`.
    """
    shop = rules_in_force(catalogue, today=now.date())
    figures = rules or FitRules(keep=shop.least)
    second = now.replace(microsecond=0)
    looked = Looked(
        second - timedelta(days=shop.rules.old_days if days is None else days),
        second - _LONG_ENOUGH,
        sorted(_styles_used(catalogue)),
        figures.keep,
        figures.half_value_mm2,
        now.date(),
    )
    with catalogue.one_moment():
        found = look_at_sizes(catalogue, looked, most)
        first = [_found(each, looked, figures) for each in found.first]
        standings = pieces.standings_tagged(catalogue, [each.tag for each, *_ in first])
    listed = tuple(Aged(standings[each.tag], grounds, each.came, each.area_mm2, worth) for each, grounds, worth in first)
    return AgedStock(listed, found.count, found.area_mm2, found.worth_mm2)


def _found(each: Sized, looked: Looked, figures: FitRules) -> tuple[Sized, tuple[Ground, ...], float]:
    """A piece, why it is listed, and its worth (mm²)."""
    grounds = (
        (Ground.OLD, each.came < looked.old),
        (Ground.SMALL, not figures.worth_keeping(each.style, each.short_mm, each.long_mm)),
        (Ground.UNASKED, each.style not in looked.asked and each.came < looked.unasked),
    )
    worth_mm2 = figures.value_mm2(each.area_mm2, each.short_mm * each.long_mm)
    return each, tuple(ground for ground, holds in grounds if holds), worth_mm2


def _styles_used(catalogue: Catalogue) -> frozenset[str]:
    donors = sorted({tag for job in jobs.listed(catalogue) for tag in job.donors})
    return frozenset(standing.piece.style for standing in pieces.standings_tagged(catalogue, donors).values())
