"""When a search must stop: by time, by tries, or because somebody asked. The clock is handed in, never read from here."""

import math
from collections.abc import Callable

__all__ = ["Watch"]


KEPT_BACK = 0.25
"""Of the time that a patient watch would keep for the parts that follow, so much it does keep."""


class Watch:
    """Counts tries and looks at the clock it was given.

    `seconds` needs a `clock` (any rising count of seconds); without one only `tries` and `stop` end a search. A `patient` watch
    with tries leaves the parts of a search more than their share of the time: it is then the tries that end them on any machine,
    and the time only where it is short for the whole.
    """

    def __init__(
        self,
        *,
        tries: int | None = None,
        seconds: float | None = None,
        clock: Callable[[], float] | None = None,
        stop: Callable[[], bool] = lambda: False,
        patient: bool = False,
    ) -> None:
        self._most_tries = math.inf if tries is None else tries
        self._clock = clock or (lambda: 0.0)
        self._start = self._clock()
        self._end = math.inf if seconds is None or clock is None else self._start + seconds
        self._stop = stop
        self._patient = patient and tries is not None
        self._whole: Watch | None = None
        self.hurried = False
        """True once time, or somebody who asked, ended a search or a part of it that had tries left."""
        self.tries = 0.0

    def part(self, share: float, *, tries: int | None = None) -> "Watch":
        """A watch over a share (0 to 1) of the time and tries left, and over at most `tries`; what it counts, counts here too."""
        left = self.tries_left() * share
        most = min(left, math.inf if tries is None else tries)
        part = Watch(
            tries=math.ceil(most) if math.isfinite(most) else None,
            seconds=self.seconds_left() * (1 - (1 - share) * KEPT_BACK if self._patient else share),
            clock=self._clock,
            stop=self._stop,
            patient=self._patient,
        )
        part._whole = self
        return part

    def sooner(self, share: float) -> "Watch":
        """A watch over a share (0 to 1) of the time left, and over all tries left; what it counts, counts here too."""
        sooner = Watch(
            tries=math.ceil(self.tries_left()) if math.isfinite(self.tries_left()) else None,
            seconds=self.seconds_left() * share,
            clock=self._clock,
            stop=self._stop,
            patient=self._patient,
        )
        sooner._whole = self
        return sooner

    def count(self, tries: float = 1) -> None:
        """Some more tries were made, or shares of one."""
        self.tries += tries
        if self._whole:
            self._whole.count(tries)

    def stopped(self) -> bool:
        """True once somebody asked to stop."""
        return self._stop()

    def timed_out(self) -> bool:
        """True once time is used up or somebody asked to stop, however many tries are left."""
        if self._clock() >= self._end or self._stop():
            self._hurry()
            return True
        return False

    def over(self) -> bool:
        """True once tries or time are used up, or somebody asked to stop."""
        return self.tries >= self._most_tries or self.timed_out()

    def _hurry(self) -> None:
        watch: Watch | None = self
        while watch and not watch.hurried:
            watch.hurried, watch = True, watch._whole

    def limited(self) -> bool:
        """True when time or tries will end it by themselves."""
        return math.isfinite(self._end) or math.isfinite(self._most_tries)

    def seconds_left(self) -> float:
        """Seconds until the end; infinite without a limit."""
        return max(0.0, self._end - self._clock())

    def tries_left(self) -> float:
        """Tries until the end; infinite without a limit."""
        return max(0.0, self._most_tries - self.tries)

    def seconds_used(self) -> float:
        """Seconds since the watch was made."""
        return self._clock() - self._start
