"""One name among many: ranked by word, and taken for one of them only when that is safe.

`NameIndex` scores names by their words: each typed word is compared with every different word once (rapidfuzz), a name gets the
share of the typed words that it covers, rare words weighing more, and the other way round. `take` decides with `likeness`.
"""

from bisect import bisect_left
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import OSA
from rapidfuzz.process import cdist

from remnants.matching.likeness import LEAST_ALIKE, Likeness, likeness
from remnants.matching.words import SPELLED, checked, fold, skeleton, words_of

__all__ = ["NameIndex", "Ranked", "Taken", "Untaken", "take"]

Floats = NDArray[np.float32]
Ints = NDArray[np.int32]

MOST_WORDS = 12
NO_WEIGHT = 1e-6
"""Keeps names of words that weigh nothing from being divided by nothing."""
SHORTLIST = 4000
"""Names that share most letters' worth of words with the typed ones, and so are scored: enough for a full scan's five best."""
BY_SKELETON = 0.9
"""What a word counts when only its vowels differ."""
SAMPLE_STEP = 37
"""One value in this many is looked at to tell what the largest are."""
BROKEN_OFF = 0.75
"""What a word counts that is only the beginning of the name's."""
LAST_MARK = "\U0010ffff"
TYPED_SHARE = 0.8
"""Weight of how much of the typed text a name covers; the rest is how much of the name was typed."""
LEAST_PART = 3
"""A word run together with another is at least this long."""
WHOLE_ALIKE = 0.8
"""A word this like one of the vocabulary is that word with a slip, not two run together."""
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
    """The known name that a typed one stands for; `reason` is "" and `cost` 0 when it is the same."""

    typed: str
    name: str
    reason: str = ""
    cost: float = 0.0


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
        self._known = vocabulary
        self._vocabulary = list(vocabulary)
        self._skeletons = [skeleton(word) for word in vocabulary]
        self._words = _padded(rows, len(vocabulary))
        used = np.bincount(self._words.ravel(), minlength=len(vocabulary) + 1)[:-1]
        rarity = np.log1p(len(rows) / np.maximum(used, 1)).astype(np.float32)
        self._sorted = sorted(vocabulary)
        self._sorted_places = np.array([vocabulary[word] for word in self._sorted], dtype=np.int32)
        self._letters = np.fromiter(map(len, vocabulary), dtype=np.float32, count=len(vocabulary))
        self._weights = np.append(rarity, np.float32(0))
        self._starts, self._postings = _postings(self._words, len(vocabulary))

    def search(self, text: str, limit: int = 5) -> tuple[Ranked, ...]:
        """Best names for the text, best first; none for a text without words. Raises BadInput for an overlong text."""
        words = self.typed_words(text)
        if not words or not self._vocabulary:
            return ()
        alike = self._alike(words)
        rows = self._shortlist(alike)
        scores = self._scores(alike, rows)
        order = np.lexsort((rows, -scores))[:limit]
        return tuple(Ranked(int(rows[at]), float(scores[at])) for at in order)

    def shortlist(self, text: str) -> Ints:
        """Rows of the names that are scored for the text, unordered: those sharing most with its words."""
        words = self.typed_words(text)
        return self._shortlist(self._alike(words)) if words and self._vocabulary else np.zeros(0, dtype=np.int32)

    def scores(self, text: str, rows: Sequence[int]) -> Floats:
        """Scores of these rows' names for the text, 0 to 1."""
        words = self.typed_words(text)
        if not words or not self._vocabulary:
            return np.zeros(len(rows), dtype=np.float32)
        return self._scores(self._alike(words), np.asarray(rows, dtype=np.int32))

    @property
    def vocabulary(self) -> Collection[str]:
        """Every different word of the names, folded."""
        return self._known.keys()

    def knows(self, word: str) -> bool:
        """Whether this folded word is in any of the names."""
        return word in self._known

    def typed_words(self, text: str) -> list[str]:
        """The text's words, parted or joined where that makes words of the vocabulary: `velderloop`, `vel der loop`."""
        words: list[str] = []
        for word in words_of(checked(text))[:MOST_WORDS]:
            if words and words[-1] + word in self._known and not (words[-1] in self._known and word in self._known):
                words[-1] += word
            else:
                words += [word] if word in self._known else self._parted(word)
        return list(dict.fromkeys(words))

    def _parted(self, word: str) -> list[str]:
        """The word in two, at the place that makes the best two words of the vocabulary, else whole."""
        places = range(LEAST_PART, len(word) - LEAST_PART + 1)
        halves = [(word[:at], word[at:]) for at in places if word[:at] in self._known or word[at:] in self._known]
        if not halves:
            return [word]
        alike = self._alike([word, *(part for half in halves for part in half)]).max(axis=1)
        lengths = np.array([[len(part) for part in half] for half in halves])
        scores = (alike[1:].reshape(-1, 2) * lengths).sum(axis=1) / len(word)
        best = int(scores.argmax())
        if alike[0] >= WHOLE_ALIKE or scores[best] <= alike[0]:
            return [word]
        return [SPELLED.get(part, part) for part in halves[best]]

    def _alike(self, words: Sequence[str]) -> Floats:
        """Likeness of each typed word (row) to each word of the vocabulary (column, one more for padding), 0 to 1."""
        spelled = cdist(words, self._vocabulary, scorer=OSA.normalized_similarity, score_cutoff=LEAST_ALIKE, dtype=np.float32)
        bones = [skeleton(word) for word in words]
        boned = cdist(bones, self._skeletons, scorer=OSA.normalized_similarity, score_cutoff=0.75, dtype=np.float32)
        alike = np.maximum(spelled, boned * np.float32(BY_SKELETON))
        for row, word in enumerate(words):
            begun = self._beginning_with(word)
            alike[row, begun] = np.maximum(alike[row, begun], np.float32(BROKEN_OFF))
        return np.pad(alike, ((0, 0), (0, 1)))

    def _beginning_with(self, word: str) -> Ints:
        """Words of the vocabulary that the typed one, if long enough, is the beginning of."""
        if len(word) < LEAST_PART:
            return self._sorted_places[:0]
        first, last = bisect_left(self._sorted, word), bisect_left(self._sorted, word + LAST_MARK)
        return self._sorted_places[first:last]

    def _shortlist(self, alike: Floats) -> Ints:
        """Rows of the names that share most with the typed words."""
        shared = np.zeros(len(self.names), dtype=np.float32)
        for typed in alike:
            for word in np.flatnonzero(typed):
                shared[self._postings[self._starts[word] : self._starts[word + 1]]] += typed[word] * self._letters[word]
        return _largest(shared, SHORTLIST)

    def _scores(self, alike: Floats, rows: Ints) -> Floats:
        """Score of each row's name: weighted share of the typed words covered, and of the name's words covered."""
        words = self._words[rows]
        each = alike[:, words]
        best_word = alike.argmax(axis=1)
        typed_weights = np.where(alike.max(axis=1) > 0, self._weights[best_word], self._weights.max())
        # Summed without the machine's own matrix product: that of single precision warns of NaN on some machines where none is.
        covered = np.einsum("t,tn->n", typed_weights, each.max(axis=2)) / typed_weights.sum()
        weights = self._weights[words]
        named = (each.max(axis=0) * weights).sum(axis=1) / np.maximum(weights.sum(axis=1), NO_WEIGHT)
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
    return Taken(text, best[0], likely[best[0]].reason, likely[best[0]].cost)


def _rival(best: Likeness, other: Likeness) -> bool:
    return best.cost > 0 and other.cost - best.cost < AMBIGUOUS


def _largest(values: Floats, count: int) -> Ints:
    """Places of about the `count` largest positive values, unordered: a sample sets the bar, so that few need sorting out."""
    least = np.float32(0)
    if len(values) > SAMPLE_STEP * count:
        sample = values[::SAMPLE_STEP]
        over = max(1, 2 * count // SAMPLE_STEP)
        least = np.partition(sample, len(sample) - over)[len(sample) - over]
    rows = np.flatnonzero(values > least)
    if len(rows) < count and least > 0:
        rows = np.flatnonzero(values >= least)
    if len(rows) > count:
        rows = rows[np.argpartition(-values[rows], count)[:count]]
    return rows.astype(np.int32)


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
