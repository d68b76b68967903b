"""One name among many: ranked by word, and taken for one of them only when that is safe.

`NameIndex` scores names by their words: each typed word is compared with every different word once (rapidfuzz), a name gets the
share of the typed words that it covers, rare words weighing more, and the other way round. `take` decides with `likeness`.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import OSA
from rapidfuzz.process import cdist

from remnants.matching.likeness import Likeness, likeness
from remnants.matching.words import checked, fold, skeleton, words_of

__all__ = ["NameIndex", "Ranked", "Taken", "Untaken", "take"]

Floats = NDArray[np.float32]
Ints = NDArray[np.int32]

MOST_WORDS = 12
SHORTLIST = 2000
LEAST_ALIKE = 0.55
"""Words less alike than this share nothing."""
BY_SKELETON = 0.9
"""What a word counts when only its vowels differ."""
TYPED_SHARE = 0.8
"""Weight of how much of the typed text a name covers; the rest is how much of the name was typed."""
AMBIGUOUS = 0.5
"""Two names this near in cost can't be told apart."""
NEAREST_SHOWN = 3


@dataclass(frozen=True, slots=True)
class Ranked:
    """A name's position in the index and its score, 0 to 1."""

    row: int
    score: float


@dataclass(frozen=True, slots=True)
class Taken:
    """The known name that a typed one stands for; `reason` is "" when it is the same."""

    typed: str
    name: str
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Untaken:
    """A typed name that stands for no known one: `could_be` several that can't be told apart, or `nearest`, for telling."""

    typed: str
    could_be: tuple[str, ...] = ()
    nearest: tuple[str, ...] = ()


class NameIndex:
    """Names by their words. Built once, asked often; the order of `names` gives the rows and breaks ties."""

    def __init__(self, names: Iterable[str]) -> None:
        self.names = tuple(names)
        vocabulary: dict[str, int] = {}
        rows = [
            [vocabulary.setdefault(word, len(vocabulary)) for word in dict.fromkeys(words_of(name)[:MOST_WORDS])]
            for name in self.names
        ]
        self._vocabulary = list(vocabulary)
        self._skeletons = [skeleton(word) for word in vocabulary]
        self._words = _padded(rows, len(vocabulary))
        used = np.bincount(self._words.ravel(), minlength=len(vocabulary) + 1)[:-1]
        rarity = np.log1p(len(rows) / np.maximum(used, 1)).astype(np.float32)
        self._weights = np.append(rarity, np.float32(0))
        self._starts, self._postings = _postings(self._words, len(vocabulary))

    def search(self, text: str, limit: int = 5) -> tuple[Ranked, ...]:
        """Best names for the text, best first; none for a text without words. Raises BadInput for an overlong text."""
        words = list(dict.fromkeys(words_of(checked(text))))[:MOST_WORDS]
        if not words or not self._vocabulary:
            return ()
        alike = self._alike(words)
        rows = self._shortlist(alike)
        scores = self._scores(alike, rows)
        order = np.lexsort((rows, -scores))[:limit]
        return tuple(Ranked(int(rows[at]), float(scores[at])) for at in order)

    def _alike(self, words: Sequence[str]) -> Floats:
        """Likeness of each typed word (row) to each word of the vocabulary (column, one more for padding), 0 to 1."""
        spelled = cdist(words, self._vocabulary, scorer=OSA.normalized_similarity, score_cutoff=LEAST_ALIKE, dtype=np.float32)
        bones = [skeleton(word) for word in words]
        boned = cdist(bones, self._skeletons, scorer=OSA.normalized_similarity, score_cutoff=1.0, dtype=np.float32)
        alike = np.maximum(spelled, boned * np.float32(BY_SKELETON))
        return np.pad(alike, ((0, 0), (0, 1)))

    def _shortlist(self, alike: Floats) -> Ints:
        """Rows of the names that share most with the typed words."""
        shared = np.zeros(len(self.names), dtype=np.float32)
        for typed in alike:
            for word in np.flatnonzero(typed):
                shared[self._postings[self._starts[word] : self._starts[word + 1]]] += typed[word] * self._weights[word]
        rows = np.flatnonzero(shared)
        if len(rows) > SHORTLIST:
            rows = rows[np.argpartition(-shared[rows], SHORTLIST)[:SHORTLIST]]
        return rows.astype(np.int32)

    def _scores(self, alike: Floats, rows: Ints) -> Floats:
        """Score of each row's name: weighted share of the typed words covered, and of the name's words covered."""
        words = self._words[rows]
        each = alike[:, words]
        best_word = alike.argmax(axis=1)
        typed_weights = np.where(alike.max(axis=1) > 0, self._weights[best_word], self._weights.max())
        covered = typed_weights @ each.max(axis=2) / typed_weights.sum()
        weights = self._weights[words]
        named = (each.max(axis=0) * weights).sum(axis=1) / np.maximum(weights.sum(axis=1), 1e-6)
        return np.asarray(TYPED_SHARE * covered + (1 - TYPED_SHARE) * named, dtype=np.float32)


def take(typed: str, index: NameIndex) -> Taken | Untaken:
    """The one name of the index that the typed text stands for, or none.

    A name spelled the same wins at once. Else the cheapest by `likeness`, unless another is about as cheap.
    """
    text = checked(typed, "the name's letters")
    ranked = index.search(text, 40)
    likely = {name: found for hit in ranked if (found := likeness(text, name := index.names[hit.row]))}
    best = sorted(likely, key=lambda name: (likely[name].cost, name))
    if not best:
        return Untaken(text, nearest=tuple(index.names[hit.row] for hit in ranked[:NEAREST_SHOWN] if hit.score > 0))
    rivals = [name for name in best[1:] if _rival(likely[best[0]], likely[name]) and fold(name) != fold(best[0])]
    if rivals:
        return Untaken(text, could_be=(best[0], *rivals))
    return Taken(text, best[0], likely[best[0]].reason)


def _rival(best: Likeness, other: Likeness) -> bool:
    return best.cost > 0 and other.cost - best.cost < AMBIGUOUS


def _padded(rows: Sequence[Sequence[int]], padding: int) -> Ints:
    """Rows of unequal length as one table, filled up with `padding`."""
    width = max((len(row) for row in rows), default=1) or 1
    table = np.full((len(rows), width), padding, dtype=np.int32)
    lengths = np.fromiter((len(row) for row in rows), dtype=np.int64, count=len(rows))
    flat = np.fromiter((word for row in rows for word in row), dtype=np.int32, count=int(lengths.sum()))
    table[np.arange(width) < lengths[:, None]] = flat
    return table


def _postings(table: Ints, words: int) -> tuple[NDArray[np.int64], Ints]:
    """For each word, where its rows start in the second array: the rows grouped by word."""
    flat = table.ravel()
    order = np.argsort(flat, kind="stable")
    starts = np.searchsorted(flat[order], np.arange(words + 1))
    return starts, (order // table.shape[1]).astype(np.int32)
