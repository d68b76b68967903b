"""The best mix of thousands of fillings, by linear programmes over the few hundred of them that can matter."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from remnants.packing.donors.choice import Worth, weigh
from remnants.packing.donors.kinds import Filling, Kinds

__all__ = ["Mixer"]

FIRST, MORE = 300, 100
"""Fillings weighed at first, and added at a time where they cost less than what lies on them is worth."""

MOST_TURNS = 30
"""So often fillings are added at most; what is then left out is the next mix's."""

NEAR = 0.1
"""What costs no more than this share beyond its worth is weighed again next time."""

DUST = 1e-6
"""What the linear programme leaves of a cost that is none."""


class Mixer:
    """Remembers what lies on each filling as a row, and which of them mattered."""

    def __init__(self, kinds: Kinds) -> None:
        self._kinds = kinds
        self._known: list[Filling] = []
        self._rows: npt.NDArray[np.float64] = np.zeros((0, len(kinds.sorts)))
        self._kind: npt.NDArray[np.int64] = np.zeros(0, dtype=np.int64)
        self._near: npt.NDArray[np.int64] = np.zeros(0, dtype=np.int64)
        self._costs = np.array([kind.cost for kind in kinds.kinds], dtype=np.float64)

    def mix(self, fillings: Sequence[Filling], worth: Sequence[float]) -> Worth:
        """The best mix of all `fillings`; `worth` is a first guess of what each sort adds to the cost."""
        self._learn(fillings)
        active = self._near
        if len(active) < FIRST:
            excess = self._excess(np.array(worth), np.zeros(len(self._costs)))
            active = np.union1d(active, np.argsort(excess, kind="stable")[:FIRST])
        for turn in range(MOST_TURNS):
            mix = weigh(self._kinds, [fillings[place] for place in active])
            excess = self._excess(np.array(mix.of_sort), np.array(mix.of_kind))
            new = np.setdiff1d(np.flatnonzero(excess < -DUST), active)
            if not len(new) or turn == MOST_TURNS - 1:
                break
            active = np.union1d(active, new[np.argsort(excess[new], kind="stable")[:MORE]])
        shares = np.zeros(len(fillings))
        shares[active] = mix.shares
        near = np.flatnonzero(excess <= NEAR * self._costs[self._kind])
        self._near = np.sort(near[np.argsort(excess[near], kind="stable")[: 2 * FIRST]])
        return replace(mix, shares=tuple(shares.tolist()), excess=tuple(excess.tolist()))

    def _learn(self, fillings: Sequence[Filling]) -> None:
        """Takes in what is new: fillings are only ever added at the end, or others take the place of all."""
        known = len(self._known)
        if known > len(fillings) or (known and fillings[known - 1] is not self._known[-1]):
            self._known, self._rows, known = [], self._rows[:0], 0
            self._kind, self._near = self._kind[:0], self._near[:0]
        new = fillings[known:]
        rows = np.zeros((len(new), len(self._kinds.sorts)))
        for row, filling in enumerate(new):
            np.add.at(rows[row], list(filling.sorts), 1)
        self._known += new
        self._rows = np.concatenate([self._rows, rows])
        self._kind = np.concatenate([self._kind, np.array([filling.kind for filling in new], dtype=np.int64)])

    def _excess(self, of_sort: npt.NDArray[np.float64], of_kind: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        """What each filling costs beyond the worth of what lies on it."""
        excess: npt.NDArray[np.float64] = (self._costs - of_kind)[self._kind] - self._rows @ of_sort
        return excess
