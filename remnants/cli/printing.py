"""Where commands print: tables and sentences to standard output, remarks to standard error."""

import json
import os
import shutil
import sys
from collections.abc import Iterable
from typing import Any

from rich.console import RenderableType

from remnants.errors import BadInput, Fault
from remnants.report.terminal import Terminal

__all__ = ["agreed", "page_width", "remark", "remarks", "show", "show_json", "show_text"]

_WIDTH_IN_A_FILE = 110


class _Terminal(Terminal):
    def on_broken_pipe(self) -> None:
        raise BrokenPipeError  # `main` ends quietly


def show(*renderables: RenderableType) -> None:
    """Prints tables and texts as wide as the terminal, or 110 columns into a file or pipe."""
    console = _Terminal(width=None if sys.stdout.isatty() else _WIDTH_IN_A_FILE, highlight=False, emoji=False, markup=False)
    for renderable in renderables:
        console.print(renderable)


def page_width() -> tuple[int, bool]:
    """Columns to write for and whether bold shows: those of the terminal, or 110 and plain into a file or pipe."""
    terminal = sys.stdout.isatty()
    styled = terminal and "NO_COLOR" not in os.environ
    return (shutil.get_terminal_size().columns if terminal else _WIDTH_IN_A_FILE), styled


def show_text(text: str) -> None:
    """Prints a text as it is."""
    print(text.rstrip("\n"))


def show_json(value: Any) -> None:
    """Prints a value as JSON."""
    print(json.dumps(value, indent=1, ensure_ascii=False))


def agreed(question: str, *, otherwise: str) -> bool:
    """Whether somebody at the terminal says yes. Raises BadInput where nobody can be asked: `otherwise` is the option to give."""
    if not sys.stdin.isatty():
        raise BadInput(f"nobody is there to be asked {question!r}; give {otherwise} to do it")
    return input(f"{question} [y/N] ").strip().lower() in ("y", "yes")


def remarks(notes: Iterable[str]) -> None:
    """Tells remarks on standard error."""
    for note in notes:
        remark(Fault("", note))


def remark(fault: Fault) -> None:
    """Tells on standard error what was read but may not be what was meant."""
    print(f"note: {fault}", file=sys.stderr)
