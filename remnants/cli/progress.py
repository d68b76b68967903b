"""Long work at the terminal: a line that tells how far it is, and Ctrl-C that ends it with the best so far."""

import signal
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

__all__ = ["Searching", "searching"]

EVERY_SECONDS = 0.2


class Searching:
    """Hears of plans and of Ctrl-C. A second Ctrl-C ends the program."""

    def __init__(self) -> None:
        self.asked_to_stop = False
        self._shown = 0.0
        self._wide = 0

    def stop(self) -> bool:
        """True once Ctrl-C was pressed."""
        return self.asked_to_stop

    def say(self, text: str) -> None:
        """Shows a line on standard error, over the one before, where that is a terminal."""
        now = time.monotonic()
        if sys.stderr.isatty() and now - self._shown >= EVERY_SECONDS:
            self._shown, self._wide = now, max(self._wide, len(text))
            print(f"\r{text:<{self._wide}}", end="", file=sys.stderr, flush=True)

    def clear(self) -> None:
        """Takes the line away."""
        if self._wide:
            print(f"\r{'':<{self._wide}}\r", end="", file=sys.stderr, flush=True)

    def heard(self, _signal: int, _frame: FrameType | None) -> None:
        """Ctrl-C: stop with the best so far; the next one ends the program."""
        self.asked_to_stop = True
        signal.signal(signal.SIGINT, signal.default_int_handler)
        print("\nstopping with the best so far; press again to give up", file=sys.stderr)


@contextmanager
def searching() -> Iterator[Searching]:
    """Within it, Ctrl-C asks the search to stop instead of ending the program."""
    search = Searching()
    before = signal.signal(signal.SIGINT, search.heard)
    try:
        yield search
    finally:
        signal.signal(signal.SIGINT, before)
        search.clear()
