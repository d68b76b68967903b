"""How thorough a run is. With `REMNANTS_THOROUGH=1` everything is tried; ordinarily:

- of moments, damages and examples of laws one in six (`EVERY`, `share`), of slow ones one in eighteen (`SELDOM`), of those that
  take seconds each at least three (`few`);
- of cases that stand beside each other (texts at a field, planted plans, changed entries, lost pages, records to find by their
  names) one in three or five, in turns where several tests or forms share them (`some`).
"""

import os
from collections.abc import Sequence
from typing import TypeVar

__all__ = ["EVERY", "SELDOM", "few", "share", "some"]

T = TypeVar("T")

EVERY = 1 if os.environ.get("REMNANTS_THOROUGH") else 6
"""One in so many is tried."""

SELDOM = 1 if EVERY == 1 else 3 * EVERY
"""Of moments that take long to try, one in so many."""


def share(count: int) -> int:
    """So many of the examples of a law are tried, at least one."""
    return max(1, count // EVERY)


def few(count: int) -> int:
    """So many of the examples of a law are tried that takes seconds for each: at least three, of which the first tells least."""
    return max(3, count // SELDOM)


def some(cases: Sequence[T], *, of: int = 3, begin: int = 0) -> tuple[T, ...]:
    """One in `of` of the cases, from the last one back: the last are those that were once hard. With all asked for, each.

    `begin` says how many are passed over first, so that several who share the cases try others each.
    """
    return tuple(cases) if EVERY == 1 else tuple(cases)[::-1][begin % of :: of]
