"""Long work at the terminal: a bar with a line that tells how far it is, and Ctrl-C that ends it with the best so far."""

import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

__all__ = ["Searching", "counting", "searching"]

EVERY_SECONDS = 0.1


class Searching:
    """Hears of plans and of Ctrl-C. A second Ctrl-C ends the program. Nothing is drawn where standard error is no terminal."""

    def __init__(self) -> None:
        self.asked_to_stop = False
        self.drawn = Progress(
            BarColumn(bar_width=20),
            TextColumn("{task.description}", markup=False),
            TimeElapsedColumn(),
            console=Console(stderr=True, highlight=False, emoji=False, markup=False),
            transient=True,
            disable=not sys.stderr.isatty(),
        )
        self._task = self.drawn.add_task("searching", total=None)
        self._share: Callable[[], float] | None = None
        self._next = 0.0

    def stop(self) -> bool:
        """True once Ctrl-C was pressed. Searches ask it all the time, so it also moves the bar on."""
        if self._share and time.monotonic() >= self._next:
            self._next = time.monotonic() + EVERY_SECONDS
            self.drawn.update(self._task, total=1.0, completed=min(1.0, self._share()))
        return self.asked_to_stop

    def follow(self, share: Callable[[], float]) -> None:
        """The bar shows this share of the work, 0 to 1, from now on; before, it only moves."""
        self._share = share

    def say(self, text: str) -> None:
        """Shows a line beside the bar, in place of the one before."""
        self.drawn.update(self._task, description=text)

    def heard(self, _signal: int, _frame: FrameType | None) -> None:
        """Ctrl-C: stop with the best so far; the next one ends the program."""
        self.asked_to_stop = True
        signal.signal(signal.SIGINT, signal.default_int_handler)
        self.drawn.console.print("stopping with the best so far; press again to give up")


@contextmanager
def searching() -> Iterator[Searching]:
    """Within it, Ctrl-C asks the search to stop instead of ending the program."""
    search = Searching()
    before = signal.signal(signal.SIGINT, search.heard)
    try:
        with search.drawn:
            yield search
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def counting(words: str, total: int, *, least: int = 2_000) -> Iterator[Callable[[int], None]]:
    """A bar for so many steps, with what is done beside it; what it gives hears how many more are done.

    Nothing is drawn for less than `least`, or where standard error is no terminal.
    """
    console = Console(stderr=True, highlight=False, emoji=False, markup=False)
    columns = (BarColumn(bar_width=20), TextColumn("{task.description}", markup=False), TimeElapsedColumn())
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal or total < least) as bar:
        task, done, again = bar.add_task(words, total=total), 0, 0.0

        def passed(more: int) -> None:
            nonlocal done, again
            done += more
            if time.monotonic() >= again:  # a bar that is moved for each of a million rows takes longer than they do
                again = time.monotonic() + EVERY_SECONDS
                bar.update(task, completed=done)

        yield passed
        bar.update(task, completed=done)
