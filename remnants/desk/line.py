"""The line of questions that wait to be worked out: fair between people, bounded, and left by those that nobody waits for.

Pure: it computes nothing and reads no clock of its own. A question is known by its key; whoever asks the same waits for the same.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

from remnants.errors import Crowded
from remnants.limits import QUESTIONS, QUESTIONS_EACH

__all__ = ["LEFT_AFTER_S", "Asked", "Line", "Place"]

LEFT_AFTER_S = 8.0
"""Seconds after which somebody who didn't look again no longer waits. A waiting page looks every two."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a question stands: how many come before it, or for how many seconds it has been worked on."""

    before: int = 0
    worked_s: float | None = None


@dataclass(eq=False)
class Asked:
    """A question in the line. `parcel` is what whoever works it out is handed; a `large` one may take many seconds."""

    key: str
    parcel: bytes
    large: bool
    number: int
    waiting: dict[str, float] = field(default_factory=dict)
    """Who waits for it, and when they last looked (seconds by the clock)."""
    begun: float | None = None

    @property
    def owner(self) -> str:
        """Whose turn it takes: the first of those who wait."""
        return next(iter(self.waiting), "")


class Line:
    """Questions by key, in turns of the people who ask them. `clock` gives rising seconds. Not for several threads at once."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._asked: dict[str, Asked] = {}
        self._served: dict[str, int] = {}
        self._count = 0

    def ask(self, key: str, who: str, parcel: bytes, *, large: bool) -> bool:
        """Puts a question in the line, or notes that `who` still waits for it; True for a new one. Raises Crowded."""
        self._sweep()
        known = self._asked.get(key)
        if known is None:
            self._refuse_too_many(who)
            self._count += 1
            known = self._asked[key] = Asked(key, parcel, large, self._count)
        new = not known.waiting
        known.waiting[who] = self._clock()
        return new

    def leave(self, key: str, who: str) -> None:
        """Notes that somebody waits no longer. A question that nobody waits for goes, unless it is worked on."""
        asked = self._asked.get(key)
        if asked is not None:
            asked.waiting.pop(who, None)
            self._drop_unwanted(asked)

    def take(self, *, large: bool, small: bool = True) -> Asked | None:
        """The next question to work out, of the `large` ones or `small` ones or both; None when there is none.

        Who was served longest ago comes first. Nobody has two large ones worked on at once.
        """
        self._sweep()
        busy = {asked.owner for asked in self._asked.values() if asked.begun is not None and asked.large}
        ready = [each for each in self._waiting() if (large and each.owner not in busy if each.large else small)]
        if not ready:
            return None
        taken = min(ready, key=lambda each: (self._served.get(each.owner, 0), each.number))
        taken.begun = self._clock()
        self._count += 1
        self._served[taken.owner] = self._count
        return taken

    def end(self, key: str) -> None:
        """Takes a question out: it was worked out."""
        self._asked.pop(key, None)
        if not self._asked:
            self._served.clear()

    def wanted(self, key: str) -> bool:
        """Whether anybody waits for it."""
        self._sweep()
        asked = self._asked.get(key)
        return asked is not None and bool(asked.waiting)

    def place(self, key: str) -> Place:
        """Where a question stands. Raises KeyError for one that isn't in the line."""
        asked = self._asked[key]
        if asked.begun is not None:
            return Place(worked_s=self._clock() - asked.begun)
        served, left, before = dict(self._served), self._waiting(), 0
        while True:
            first = min(left, key=lambda each: (served.get(each.owner, 0), each.number))
            if first is asked:
                return Place(before)
            left.remove(first)
            before += 1
            served[first.owner] = self._count + before

    def _waiting(self) -> list[Asked]:
        return [asked for asked in self._asked.values() if asked.begun is None]

    def _refuse_too_many(self, who: str) -> None:
        own = sum(who in asked.waiting for asked in self._asked.values())
        if own >= QUESTIONS_EACH:
            raise Crowded(f"you wait for {own} answers already, the most at once: wait for one of them, then ask again")
        if len(self._asked) >= QUESTIONS:
            raise Crowded(f"{len(self._asked)} questions wait already, the most at once: ask again in a minute")

    def _sweep(self) -> None:
        """Those who didn't look for a while have left."""
        before = self._clock() - LEFT_AFTER_S
        for asked in tuple(self._asked.values()):
            for who in [name for name, looked in asked.waiting.items() if looked < before]:
                del asked.waiting[who]
            self._drop_unwanted(asked)

    def _drop_unwanted(self, asked: Asked) -> None:
        if not asked.waiting and asked.begun is None:
            self.end(asked.key)
