"""A piece's state as the fold over its entries."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from remnants.errors import NotAllowed
from remnants.ledger.entries import Entry, Received, Undone
from remnants.ledger.states import BESIDE, Stage, Standing, applied

__all__ = ["History", "replay"]


@dataclass(frozen=True)
class History:
    """Where a piece stands, and the entries that count: neither taken back nor BESIDE, each with where it led."""

    standing: Standing | None = None
    counting: tuple[tuple[Entry, Standing], ...] = field(default=())

    @property
    def last(self) -> Entry | None:
        """The last entry that counts: the one that can be taken back next."""
        return self.counting[-1][0] if self.counting else None

    def then(self, entry: Entry) -> "History":
        """The history with one entry more. Raises NotAllowed when it may not happen."""
        if isinstance(entry.change, Undone):
            return self._without_last(entry)
        after = applied(self.standing, entry)
        if entry.act in BESIDE:
            return self
        return History(after, (*self.counting, (entry, after)))

    def _without_last(self, entry: Entry) -> "History":
        if self.last is None or not isinstance(entry.change, Undone) or self.last.number != entry.change.number:
            raise NotAllowed(f"{entry.tag}: only its last entry can be taken back")
        before = self.counting[:-1]
        if before:
            standing = before[-1][1]
        else:
            assert isinstance(self.last.change, Received) and self.standing is not None, "a history starts by coming in"
            standing = replace(self.counting[-1][1], stage=Stage.WITHDRAWN)
        return History(replace(standing, version=entry.number, signed=entry.signed), before)


def replay(entries: Iterable[Entry]) -> History:
    """What the entries of one piece, oldest first, add up to. Raises NotAllowed at the first that may not happen."""
    history = History()
    for entry in entries:
        history = history.then(entry)
    return history
