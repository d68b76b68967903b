"""Wrong tries at a door: counted before they are looked at, and made to wait for once they are many."""

import hashlib
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from remnants.errors import TooManyTries
from remnants.store import Catalogue
from remnants.store import people as rows

__all__ = ["LIMITS", "Limit", "count_try", "digest", "forget_tries"]


@dataclass(frozen=True)
class Limit:
    """Wrong tries in an hour that are `free`; each further one waits 2 s, then twice as long each time, up to `longest`."""

    free: int
    longest: timedelta


LIMITS = {
    "name here": Limit(5, timedelta(minutes=15)),
    "name": Limit(40, timedelta(minutes=2)),
    "address": Limit(30, timedelta(seconds=10)),
}
"""By name and address together first, so that whoever guesses from elsewhere keeps nobody out of their own account.

A name is tried at most 40 + 60 / 2 = 70 times an hour from everywhere (OWASP ASVS 4.0.3, 2.2.1 allows 100); an address, behind
which a whole shop may sit, is slowed but never shut.
"""

_COUNTED = timedelta(hours=1)


def count_try(catalogue: Catalogue, counted: Mapping[str, str], *, now: datetime) -> None:
    """Counts a try before it is checked, so that many at once are counted too. Raises TooManyTries where it has to wait."""
    with catalogue.atomic():
        rows.drop_old(catalogue, now=now, tries_before=now - _COUNTED)
        for kind, who in counted.items():
            _wait_after(rows.count_failures(catalogue, who, since=now - _COUNTED), LIMITS[kind], now=now)
        for who in counted.values():
            rows.add_failure(catalogue, who, now=now)


def _wait_after(wrong: tuple[int, datetime | None], limit: Limit, *, now: datetime) -> None:
    tries, last = wrong
    if last is None or tries < limit.free:
        return
    wait = min(timedelta(seconds=2 ** min(tries - limit.free + 1, 16)), limit.longest)
    if last + wait > now:
        wait_s = int((last + wait - now).total_seconds()) + 1
        raise TooManyTries(f"too many wrong tries; wait {wait_s} seconds and try again", wait_s=wait_s)


def forget_tries(catalogue: Catalogue, counted: Collection[str]) -> None:
    """Forgets the wrong tries after a right one. The caller holds the transaction."""
    for who in counted:
        rows.drop_failures(catalogue, who)


def digest(secret: str) -> str:
    """SHA-256 of a secret, or of what a try is counted by: all that is kept of it."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
