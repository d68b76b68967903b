"""When a copy of the catalogue is due, and which copies are kept. Times are UTC; pure: the time comes in as an argument."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from remnants.errors import BadInput

__all__ = ["Copy", "Keep", "kept", "next_due", "read_every", "read_keep"]

_EVERY = {"h": timedelta(hours=1), "d": timedelta(days=1), "w": timedelta(weeks=1)}
_LONGEST = timedelta(days=366)
_MOST_KEPT = 1000


@dataclass(frozen=True, order=True)
class Copy:
    """A copy of the catalogue: when it was made, the file that it is, and whether it was proved sound then."""

    at: datetime
    file: str
    sound: bool = True


@dataclass(frozen=True)
class Keep:
    """How many copies are kept: the last of each of so many days, weeks (from Monday) and months in which there are copies."""

    days: int = 0
    weeks: int = 0
    months: int = 0

    @property
    def most(self) -> int:
        """How many copies are kept at most; the newest is kept whatever this says."""
        return max(1, self.days + self.weeks + self.months)


def read_every(text: str) -> timedelta:
    """How long from one copy to the next, of a text such as `1d`, `12h`, `1w`. Raises BadInput."""
    found = re.fullmatch(r"([1-9][0-9]{0,3})([hdw])", text.strip())
    if not found or (every := int(found[1]) * _EVERY[found[2]]) > _LONGEST:
        raise BadInput(f"--every: {text!r} is no time from copy to copy: give hours, days or weeks, such as 12h, 1d or 1w")
    return every


def read_keep(text: str) -> Keep:
    """What is kept, of a text such as `7d,4w,12m`: days, weeks, months. Raises BadInput."""
    counts = {"d": 0, "w": 0, "m": 0}
    for part in text.split(","):
        found = re.fullmatch(r"([1-9][0-9]{0,3})([dwm])", part.strip())
        if not found or counts[found[2]] or int(found[1]) > _MOST_KEPT:
            raise BadInput(f"--keep: {text!r} doesn't tell what to keep: give days, weeks and months, such as 7d,4w,12m")
        counts[found[2]] = int(found[1])
    return Keep(counts["d"], counts["w"], counts["m"])


def kept(copies: Iterable[Copy], keep: Keep) -> tuple[Copy, ...]:
    """Those of the copies that are kept, oldest first: the newest sound one in any case, and of each period its last sound one.

    Copies that are not sound are not kept, and none is dropped (all are given back) where no sound one is among them.
    """
    every = sorted(copies)
    sound = [copy for copy in every if copy.sound]
    if not sound:
        return tuple(every)
    chosen = {sound[-1]}
    for count, period in ((keep.days, _day), (keep.weeks, _week), (keep.months, _month)):
        chosen.update(_last_of_each(sound, period)[-count:] if count else ())
    return tuple(sorted(chosen))


def next_due(last: datetime | None, every: timedelta, now: datetime) -> datetime:
    """When the next copy is due: now, when there is none yet or the last one is of a time to come.

    A twentieth of `every` early counts as in time (at most half an hour), so that what is started at the same hour each day, and
    is a little slower one day, makes a copy each day.
    """
    if last is None or last > now:
        return now
    due = last + every
    return now if now >= due - min(every / 20, timedelta(minutes=30)) else due


def _last_of_each(copies: list[Copy], period: Callable[[datetime], date]) -> list[Copy]:
    return list({period(copy.at): copy for copy in copies}.values())


def _day(at: datetime) -> date:
    return at.date()


def _week(at: datetime) -> date:
    return at.date() - timedelta(days=at.weekday())


def _month(at: datetime) -> date:
    return at.date().replace(day=1)
