"""What may happen to a piece, and what did: an append-only ledger, and a piece's state as what its entries add up to. Pure."""

from remnants.ledger.entries import (
    Act,
    Change,
    Corrected,
    Counted,
    Cut,
    Discarded,
    Entry,
    Held,
    Moved,
    Photographed,
    PhotoTakenAway,
    Received,
    Released,
    Signed,
    Undone,
)
from remnants.ledger.replay import History, replay
from remnants.ledger.states import BESIDE, MOVES, Hold, Stage, Standing, applied

__all__ = [
    "BESIDE",
    "MOVES",
    "Act",
    "Change",
    "Corrected",
    "Counted",
    "Cut",
    "Discarded",
    "Entry",
    "Held",
    "History",
    "Hold",
    "Moved",
    "PhotoTakenAway",
    "Photographed",
    "Received",
    "Released",
    "Signed",
    "Stage",
    "Standing",
    "Undone",
    "applied",
    "replay",
]
