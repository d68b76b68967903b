"""How thorough a run is: one moment and damage in six, of the slow ones one in eighteen; with `REMNANTS_THOROUGH=1` every one."""

import os

__all__ = ["EVERY", "SELDOM", "share"]

EVERY = 1 if os.environ.get("REMNANTS_THOROUGH") else 6
"""One in so many is tried."""

SELDOM = 1 if EVERY == 1 else 3 * EVERY
"""Of moments that take long to try, one in so many."""


def share(count: int) -> int:
    """So many of the examples of a law are tried, at least one."""
    return max(1, count // EVERY)
