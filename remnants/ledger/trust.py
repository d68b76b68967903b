"""Which pieces' entries can be trusted where some entries may be lost: they follow, lead where the piece stands, and add up."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from remnants.errors import NotAllowed
from remnants.ledger.balance import balance_faults
from remnants.ledger.entries import Cut, Entry, Received
from remnants.ledger.replay import History, replay
from remnants.ledger.states import Standing

__all__ = ["Life", "trusted"]


@dataclass(frozen=True)
class Life:
    """What is left of a piece: its entries that could be read, oldest first (`whole` where each could), and its own row."""

    tag: str
    entries: tuple[Entry, ...]
    whole: bool
    row: Standing | None

    @property
    def history(self) -> History | None:
        """What all its entries add up to; None where one is lacking, they don't follow, or the row says otherwise."""
        if not (self.whole and self.entries):
            return None
        try:
            history = replay(self.entries)
        except (NotAllowed, AssertionError):
            return None
        return history if self.row is None or self.row == history.standing else None

    @property
    def last_known(self) -> Standing | None:
        """Where it stood last: by its row, else by its first entries as far as they follow from one another."""
        if self.row is not None:
            return self.row
        history = History()
        for entry in self.entries:
            try:
                history = history.then(entry)
            except (NotAllowed, AssertionError):
                break
        return history.standing


def trusted(lives: Iterable[Life]) -> dict[str, History]:
    """The histories to be trusted, by tag: a cut and the offcuts that came in with it stand or fall together."""
    found = {life.tag: (life, history) for life in lives if (history := life.history)}
    while wrong := [
        tag for tag, (life, history) in found.items() if _alone(life, history, {t: one for t, (one, _) in found.items()})
    ]:
        for tag in wrong:
            del found[tag]
    return {tag: history for tag, (_, history) in found.items()}


def _alone(life: Life, history: History, others: Mapping[str, Life]) -> bool:
    """Whether a cut of the piece lacks its offcuts or doesn't add up, or the piece came of a cut that nothing tells of."""
    for entry in life.entries:
        if isinstance(entry.change, Received) and entry.change.parent and not _was_cut(entry, others.get(entry.change.parent)):
            return True
    came = {
        tag: entry.change
        for cut, _ in history.counting
        if isinstance(cut.change, Cut)
        for tag in cut.change.offcuts
        if tag in others
        for entry in others[tag].entries
        if isinstance(entry.change, Received) and entry.booking == cut.booking and entry.change.parent == life.tag
    }
    return bool(balance_faults(history, came))


def _was_cut(offcut: Entry, parent: Life | None) -> bool:
    return parent is not None and any(
        isinstance(entry.change, Cut) and entry.booking == offcut.booking and offcut.tag in entry.change.offcuts
        for entry in parent.entries
    )
