"""What is not worth its shelf: old, too small, or of a style that nobody ever asked for."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from remnants.actions.shop_rules import rules_in_force
from remnants.fitting import FitRules
from remnants.geometry.rectangles import largest_rectangle
from remnants.ledger import Standing
from remnants.model import Kind
from remnants.store import Catalogue, jobs, ledger, pieces

__all__ = ["Aged", "Ground", "age_stock"]


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


def age_stock(catalogue: Catalogue, *, now: datetime, days: int | None = None, rules: FitRules | None = None) -> tuple[Aged, ...]:
    """Stored remnants and offcuts to look at, the least worth first. Pieces that are held are left out.

    Old: in the catalogue for more than `days` (None: as many as the shop's rules say). Too small: its largest rectangle is not
    worth keeping by the rules. Never asked for: no job that was held or cut used its style, though it is there for over 90 days.
    Worth: see `FitRules.value_mm2`.
    """
    shop = rules_in_force(catalogue, today=now.date())
    figures = rules or FitRules(keep=shop.keep)
    old = timedelta(days=shop.rules.old_days if days is None else days)
    asked = _styles_used(catalogue)
    since = ledger.received_at(catalogue)
    listed = []
    for standing in pieces.on_hand(catalogue):
        piece = standing.piece
        if piece.kind not in (Kind.REMNANT, Kind.OFFCUT) or (standing.hold and standing.hold.binds(now.date())):
            continue
        largest = largest_rectangle(piece.outline, piece.pile_deg)
        came = since[piece.tag]
        grounds = [Ground.OLD] if now - came > old else []
        if not figures.worth_keeping(largest.width_mm, largest.length_mm):
            grounds.append(Ground.SMALL)
        if piece.style not in asked and now - came > _LONG_ENOUGH:
            grounds.append(Ground.UNASKED)
        if grounds:
            area_mm2 = piece.outline.usable_area_mm2
            listed.append(Aged(standing, tuple(grounds), came, area_mm2, figures.value_mm2(area_mm2, largest.area_mm2)))
    return tuple(sorted(listed, key=lambda aged: (aged.worth_mm2, aged.standing.piece.tag)))


def _styles_used(catalogue: Catalogue) -> frozenset[str]:
    donors = sorted({tag for job in jobs.every_job(catalogue) for tag in job.donors})
    return frozenset(standing.piece.style for standing in pieces.standings_tagged(catalogue, donors).values())
