"""The head of the ledger as it stands on paper, and whether a paper and a catalogue agree."""

import re
from dataclasses import dataclass

from remnants.errors import BadInput, Fault
from remnants.ledger.chain import HEAD_LETTERS, Head
from remnants.store import Catalogue, ledger
from remnants.store.chaining import head_of, heads_like, newest_head

__all__ = ["OnPaper", "head_note", "read_head", "told_of_head"]


@dataclass(frozen=True, slots=True)
class OnPaper:
    """A head as somebody read it: the number of its entry, None where it was left out, and the letters of its digest."""

    number: int | None
    letters: str


_ON_PAPER = re.compile(rf"(?:(\d{{1,15}})-)?([0-9A-F]{{{HEAD_LETTERS},64}})")


def head_note(catalogue: Catalogue, *, beside: str = "") -> str:
    """What stands small on what is printed, `ledger 214-7C1F90AB`: the newest entry and its digest; nothing before any entry.

    It goes behind the note `beside` that stands there already.
    """
    head = newest_head(catalogue)
    return " · ".join(words for words in (beside, f"ledger {head.text}" if head else "") if words)


def read_head(text: str) -> OnPaper:
    """The head that was typed off a paper: `214-7C1F90AB`, or its letters alone. Raises BadInput when it is none."""
    found = _ON_PAPER.fullmatch("".join(text.upper().removeprefix("LEDGER").split()))
    if found is None:
        example = Head(214, "7c1f90ab").text
        raise BadInput([Fault("--head", f"{text!r} is no head: give it as it stands on paper, such as {example}")])
    return OnPaper(int(found[1]) if found[1] else None, found[2])


def told_of_head(catalogue: Catalogue, on_paper: OnPaper) -> tuple[bool, str]:
    """Whether a head is in the chain of entries, and a sentence that tells at which, or what stands there instead."""
    number, letters = on_paper.number, on_paper.letters
    same = [head for head in heads_like(catalogue, letters) if number is None or head.number == number]
    if same:
        return True, "\n".join(f"{head.text} is {_entry_words(catalogue, head)}: {_AGREE}" for head in same)
    if number is None:
        return False, f"no entry has the head {letters}: {_DISAGREE}"
    there = head_of(catalogue, number)
    if there:
        return False, f"entry {number} has the head {there.text}, and not {letters}: {_DISAGREE}"
    newest = newest_head(catalogue)
    return False, f"there is no entry {number}, the newest is {newest.number if newest else 0}: {_DISAGREE}"


_AGREE = "up to there the ledger is the one that the paper was printed from"
_DISAGREE = (
    "the ledger is not the one that the paper was printed from. It was written anew or goes back to an older copy, or the paper"
    " is of another catalogue. Try the paper on your backups: `remnants verify --catalogue FILE --head HEAD`"
)


def _entry_words(catalogue: Catalogue, head: Head) -> str:
    entry = ledger.entry_numbered(catalogue, head.number)
    return f"entry {head.number} ({entry.tag} {entry.act} {entry.signed.words})" if entry else f"entry {head.number}"
