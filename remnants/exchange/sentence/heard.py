"""What a sentence came to."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from remnants.matching.names import Taken, Untaken

__all__ = ["Heard", "Names", "Sentence"]


class Names(Protocol):
    """The finder of names that styles and colours are looked up with."""

    def take_style(self, typed: str) -> Taken | Untaken:
        """The style that a typed name stands for."""
        ...

    def take_colour(self, typed: str, style: str = "") -> Taken | Untaken:
        """The colour that a typed name stands for among those of the style ("" of all)."""
        ...


@dataclass(frozen=True, slots=True)
class Heard:
    """Some `words` of the sentence and what they are taken for, `told` in plain words; `key` is that of the job file."""

    words: str
    key: str
    told: str
    where: str = ""


@dataclass(frozen=True)
class Sentence:
    """`job` has the keys of a job file, `pieces` those of pieces in a stock file, as far as they were told.

    `ask` names the keys that are missing (`pile`, `size`, `style`, `pieces[0].pile`), `unread` the words that stand for nothing
    known, `could_be` the styles between which the words don't decide.
    """

    job: Mapping[str, Any]
    pieces: tuple[Mapping[str, Any], ...] = ()
    heard: tuple[Heard, ...] = ()
    unread: tuple[str, ...] = ()
    ask: tuple[str, ...] = ()
    could_be: tuple[str, ...] = field(default=())
