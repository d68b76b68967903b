"""A refusal of what a sentence asks, under the words that were said instead of a job file's keys."""

import re
from collections.abc import Iterator
from contextlib import contextmanager

from remnants.errors import BadInput, Fault
from remnants.exchange.sentence.heard import Heard, Sentence

__all__ = ["in_own_words"]

_SIZE = frozenset({"width", "length", "outline", "centre", "radius"})
_MADE = re.compile(r"^'?-?[\d.,]+'?(?: mm'?)? is ")
"""A figure that was made of the words, such as a circle's radius: nobody said it."""


@contextmanager
def in_own_words(sentence: Sentence) -> Iterator[None]:
    """Raises what is refused inside it again, each fault once, with the sentence's words for its place."""
    try:
        yield
    except BadInput as error:
        raise type(error)(dict.fromkeys(_told(fault, sentence) for fault in error.faults)) from None


def _told(fault: Fault, sentence: Sentence) -> Fault:
    where, key, at = _place(fault, sentence)
    found = [each for each in sentence.heard if each.key == key and (where is None or each.where == where)]
    words = _one_of(found, at) or where or ""
    return Fault(words, _MADE.sub("it is ", fault.what) if words else fault.what)


def _place(fault: Fault, sentence: Sentence) -> tuple[str | None, str, int | None]:
    """What it is about ("" a patch without a name, None the job), the key that its words were heard for, which of them."""
    steps = fault.path
    names = [step for step in steps if isinstance(step, str)]
    if len(steps) > 2 and steps[0] in ("patches", "pieces"):
        key = "size" if names[1] in _SIZE else names[1]
        return _called(sentence, str(steps[0]), int(steps[1])), key, None
    if steps[:1] in (("patches",), ("pieces",)):
        return "", "size", None
    numbers = [step for step in steps if isinstance(step, int)]
    return None, names[0] if names else "", numbers[0] if numbers else None


def _called(sentence: Sentence, kind: str, index: int) -> str:
    told = sentence.job["patches"][index].get("name", "") if kind == "patches" else sentence.pieces[index].get("room", "")
    return str(told) if any(each.where == told for each in sentence.heard) else ""


def _one_of(found: list[Heard], at: int | None) -> str:
    """The words of the one that is meant, or of all."""
    if at is not None and at < len(found):
        return found[at].words
    return " and ".join(dict.fromkeys(each.words for each in found))
