"""What clauses are about: the name before a size, or beside it, and the words that are no name."""

from collections.abc import Sequence

from remnants.exchange.sentence.carpet import Carpet, words_in
from remnants.exchange.sentence.clause import Clause
from remnants.exchange.sentence.heard import Heard, Names, Run
from remnants.exchange.sentence.places import DONORS, LINKS, NOISE, PLACES, SIDEWORDS, trimmed
from remnants.exchange.sentence.sides import LANDMARKS, ROOMS
from remnants.matching.colours import named_shade

__all__ = ["named", "names_more", "placed", "run_name"]

MOST_WORDS = 6
"""Words of a name that are kept, the last ones."""


def named(clauses: Sequence[Clause], carpet: Carpet, names: Names) -> list[Run]:
    """Names each clause by the words before its size, or beside it; gives back the words that stand for nothing known.

    A clause without a size keeps the words that may name another in its `loose` runs.
    """
    unread: list[Run] = []
    for clause in clauses:
        clause.name = str(next(clause.values("name"), ""))
        if clause.before:
            unread += _before_size(clause, carpet, names)
        loose, clause.loose = clause.loose, []
        for run in (left for whole in loose for left in carpet.left[whole]):
            strange = _strange(run, clause)
            if strange:
                unread += strange
            elif run_name(run) and clause.shape and (not clause.name or names_more(run_name(run))):
                placed(clause, [run])
            elif run_name(run) and run_name(run) != clause.name:
                clause.loose.append(run)
        if clause.kind and any(clause.values("count")):
            clause.name = clause.name.removesuffix("s")
    return unread


def run_name(run: Run) -> str:
    """The name that a run of known words is."""
    return " ".join(trimmed([word.words for word in words_in(run)])[-MOST_WORDS:])


def names_more(called: str) -> bool:
    """Whether words of places tell no more than where: none of carpet that is there, or of what a side may be told by."""
    return not set(called.split()) & (DONORS.keys() | LANDMARKS.keys() - ROOMS.keys())


def placed(clause: Clause, runs: Sequence[Run]) -> None:
    """Keeps words of places as the name of what has none yet, else as where it is."""
    if not clause.name:
        clause.name = " ".join(run_name(run) for run in runs)
        return
    for run in runs:
        if run_name(run) != clause.name:
            clause.note(run, "name", "where it is")


def _before_size(clause: Clause, carpet: Carpet, names: Names) -> list[Run]:
    assert clause.before, "words stand before the size"
    left = carpet.left[clause.before]
    whole = len(left) == 1 and len(words_in(left[0])) == len(words_in(clause.before))
    unread: list[Run] = []
    for run in left:
        words = words_in(run)
        kept = trimmed([word.words for word in words])
        if whole and clause.fresh and len(kept) == 1 and _may_name(kept[0], names) and not clause.name:
            clause.name = kept[0]
            if kept[0] not in PLACES:
                clause.heard.insert(0, Heard(kept[0], "name", "its name", at=run.at))
            continue
        first_is_side = not clause.fresh and bool(kept) and kept[0] in SIDEWORDS
        strange = [] if not first_is_side else [words[0]]
        strange += [word for before, word in zip([None, *words], words, strict=False) if not _known(before, word)]
        unread += _together(strange, words)
        called = " ".join(trimmed([word.words for word in words if word not in strange])[-MOST_WORDS:])
        clause.name = clause.name or called
    return unread


def _may_name(word: str, names: Names) -> bool:
    """Whether a word that no list has is a name, as it stands alone: no colour, and no figure."""
    letters = word.replace("'", "").replace("-", "")
    strange = word in NOISE or bool(named_shade(word) or names.styles_in(word))
    return word in PLACES or (letters.isalpha() and len(letters) > 1 and not strange)


def _known(before: Run | None, word: Run) -> bool:
    if word.words.isdigit() and len(word.words) == 1:
        return before is not None and before.words in PLACES and before.words not in SIDEWORDS
    return word.words in PLACES or word.words in NOISE or word.words in LINKS


def _strange(run: Run, clause: Clause) -> list[Run]:
    """Words of a run beside a size, or of a clause without one, that stand for nothing: all that follow each other as one."""
    words = words_in(run)
    named_by = str(next(clause.values("name"), ""))
    strange = [
        word
        for before, word in zip([None, *words], words, strict=False)
        if not _known(before, word) or word.words in SIDEWORDS or word.words in named_by.split()
    ]
    if not strange:
        return []
    if any(word.words in SIDEWORDS for word in strange):
        return [run]
    first, last = words.index(strange[0]), words.index(strange[-1])
    return _together(words[first : last + 1], words)


def _together(words: Sequence[Run], of: Sequence[Run]) -> list[Run]:
    """Words that follow each other as one run."""
    runs: list[list[Run]] = []
    for word in of:
        if word in words:
            if runs and runs[-1] and runs[-1][-1] == of[of.index(word) - 1]:
                runs[-1].append(word)
            else:
                runs.append([word])
    return [Run(" ".join(each.words for each in run), run[0].at) for run in runs]
