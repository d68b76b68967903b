"""How much memory something takes at most, the same whatever ran before it in the process."""

import gc
import tracemalloc
from collections.abc import Callable

__all__ = ["most_memory"]


def most_memory(work: Callable[[], object]) -> int:
    """The most memory (bytes) that Python held meanwhile; SQLite's own share is bounded by its cache.

    A command, also one of an earlier test, has Python look more seldom for what may go: here it looks as it does by itself. It is
    not made to look before: that would empty the lists of room it keeps for what comes next, which then counts as taken.
    """
    usual = gc.get_threshold()
    gc.set_threshold(700, 10, 10)
    tracemalloc.start()
    try:
        work()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
        gc.set_threshold(*usual)
