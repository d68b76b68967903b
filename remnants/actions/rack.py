"""What lies where: every place, and the pieces at it."""

from collections import defaultdict
from dataclasses import dataclass

from remnants.ledger import Standing
from remnants.model import Kind
from remnants.store import Catalogue, pieces

__all__ = ["StockShare", "pieces_at", "places", "shares"]

_IN_STORE = frozenset({Kind.REMNANT, Kind.OFFCUT})


@dataclass(frozen=True, slots=True)
class StockShare:
    """How much of a style is in store: how many pieces, and their usable area (mm²)."""

    style: str
    count: int
    area_mm2: float


def places(catalogue: Catalogue) -> tuple[str, ...]:
    """Every place that something lies at, by name."""
    return pieces.places(catalogue)


def pieces_at(catalogue: Catalogue, place: str) -> tuple[Standing, ...]:
    """What should lie at a place, by tag; empty where nothing does."""
    return tuple(standing.on(catalogue.today()) for standing in pieces.at_place(catalogue, place))


def shares(catalogue: Catalogue) -> tuple[StockShare, ...]:
    """What is in store of each style, the most first."""
    counts: dict[str, int] = defaultdict(int)
    areas: dict[str, float] = defaultdict(float)
    for standing in pieces.on_hand(catalogue):
        if standing.piece.kind in _IN_STORE:
            counts[standing.piece.style] += 1
            areas[standing.piece.style] += standing.piece.outline.usable_area_mm2
    made = [StockShare(style, count, areas[style]) for style, count in counts.items()]
    return tuple(sorted(made, key=lambda share: (-share.area_mm2, share.style)))
