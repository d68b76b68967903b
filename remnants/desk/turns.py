"""Long work in turns: a process fits for so many at once, and everybody else's pages come meanwhile."""

from collections.abc import Callable
from functools import wraps
from threading import BoundedSemaphore
from typing import ParamSpec, TypeVar

__all__ = ["MOST_AT_ONCE", "in_turn"]

MOST_AT_ONCE = 2
"""Python computes for one at a time; more at once would only make each of them, and every page, slower."""

Given = ParamSpec("Given")
Made = TypeVar("Made")

_TURNS = BoundedSemaphore(MOST_AT_ONCE)


def in_turn(work: Callable[Given, Made]) -> Callable[Given, Made]:
    """The same work, waiting until it is its turn."""

    @wraps(work)
    def waiting(*args: Given.args, **named: Given.kwargs) -> Made:
        with _TURNS:
            return work(*args, **named)

    return waiting
