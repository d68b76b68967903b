"""What a sentence came to."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from remnants.matching.names import Taken, Untaken

__all__ = ["Heard", "Names", "Run", "Sentence", "Tap", "ToTell"]


class Names(Protocol):
    """The finder of names that styles and colours are looked up with."""

    def take_style(self, typed: str) -> Taken | Untaken:
        """The style that a typed name stands for."""
        ...

    def take_colour(self, typed: str, style: str = "") -> Taken | Untaken:
        """The colour that a typed name stands for among those of the style ("" of all)."""
        ...

    def colours_of(self, style: str) -> tuple[str, ...]:
        """The colours on hand of a style."""
        ...

    def styles_in(self, colour: str) -> tuple[str, ...]:
        """The styles that have a colour of this name."""
        ...


@dataclass(frozen=True, slots=True)
class Run:
    """Words that follow each other, and where in the sentence (in plain marks) the first of them begins."""

    words: str
    at: int


@dataclass(frozen=True, slots=True)
class Heard:
    """Some `words` of the sentence and what they are taken for, `told` in plain words; `key` is that of the job file.

    `at` is where in the sentence (in plain marks) they begin, `where` what they are told of.
    """

    words: str
    key: str
    told: str
    where: str = ""
    at: int = -1


@dataclass(frozen=True, slots=True)
class Tap:
    """A change of the sentence by one tap: `put` at its end, or in the place of `drop`, which begins `at`."""

    put: str
    drop: str = ""
    at: int = -1

    @property
    def label(self) -> str:
        """What the tap says."""
        return self.put or f"leave out {self.drop}"


@dataclass(frozen=True, slots=True)
class ToTell:
    """What must still be told: the `key` that is missing, in a job file's words; `told` in plain ones; `taps` that tell it."""

    key: str
    told: str
    taps: tuple[Tap, ...] = ()


@dataclass(frozen=True)
class Sentence:
    """`job` has the keys of a job file, `pieces` those of pieces in a stock file, as far as they were told.

    `unread` are the words that stand for nothing known, `to_tell` what must be told before anything is answered, `could_be` the
    styles between which the words don't decide.
    """

    job: Mapping[str, Any]
    pieces: tuple[Mapping[str, Any], ...] = ()
    heard: tuple[Heard, ...] = ()
    unread: tuple[str, ...] = ()
    to_tell: tuple[ToTell, ...] = ()
    could_be: tuple[str, ...] = ()

    @property
    def ask(self) -> tuple[str, ...]:
        """The keys that must still be told (`pile`, `size`, `style`, `unread`, `pieces[0].pile`), none twice."""
        return tuple(dict.fromkeys(each.key for each in self.to_tell))
