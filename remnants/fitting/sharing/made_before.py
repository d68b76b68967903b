"""What single patches came to: a job that is asked again with one patch changed finds the others as they were found before."""

from collections.abc import Callable, Hashable, Sequence
from typing import NamedTuple

from remnants.fitting.patch.best_way import best_for
from remnants.fitting.patch.made import Made
from remnants.fitting.patch.question import OUT_OF_TIME, Ask
from remnants.fitting.patch.room_on_donors import Field
from remnants.model.match import Candidate

__all__ = ["MOST_KEPT", "MadeBefore"]

MOST_KEPT = 2000
"""Answers kept for one job; those that come later are found each time."""


class _Came(NamedTuple):
    """What a patch came to, what its search gave up on, and what it searched to the end."""

    made: Made | None
    undecided: frozenset[str]
    searched: tuple[str, ...]


class MadeBefore:
    """Remembers the best way to make a patch from a stock of which some is cut already, for all that the way depends on.

    It saves work and changes no answer: one that was cut short by its time is not kept.
    """

    def __init__(self) -> None:
        self._came: dict[Hashable, _Came] = {}
        self._offered: dict[int, tuple[Sequence[Candidate], frozenset[str]]] = {}

    def best_for(
        self,
        ask: Ask,
        offered: Sequence[Candidate],
        field: Callable[[], Field],
        *,
        carpet: Hashable = None,
        plan: Sequence[Made | None] = (),
    ) -> Made | None:
        """The best way to make the patch from the donors that `field` gives.

        They are what the `plan` leaves of the candidates that are `offered`; with a `carpet`, of those of that carpet alone.
        """
        _, tags = self._offered.setdefault(id(offered), (offered, frozenset(each.piece.tag for each in offered)))
        cuts = frozenset(cut for each in plan if each is not None for cut in each.cuts if cut[0] in tags)
        before = frozenset(ask.undecided), tuple(ask.searched)
        asked = ask.patch, ask.shape.allowance, ask.min_part_mm, ask.rules, ask.programmes, ask.thrifty, ask.surroundings
        key = asked, before, id(offered), carpet, cuts
        came = self._came.get(key)
        if came is None:
            made = best_for(ask, field())
            came = _Came(made, frozenset(ask.undecided), tuple(ask.searched))
            if OUT_OF_TIME not in ask.undecided and len(self._came) < MOST_KEPT:
                self._came[key] = came
        ask.undecided.update(came.undecided)
        ask.searched.update(dict.fromkeys(came.searched))
        return came.made
