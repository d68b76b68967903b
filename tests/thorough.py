"""How thorough a run is: by hand, with `REMNANTS_THOROUGH=1`, every moment and every damage; else one in six."""

import os

__all__ = ["EVERY", "share"]

EVERY = 1 if os.environ.get("REMNANTS_THOROUGH") else 6
"""One in so many is tried."""


def share(count: int) -> int:
    """So many of the examples of a law are tried, at least one."""
    return max(1, count // EVERY)
