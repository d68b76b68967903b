"""Free words among the stock: style, colour, lot or tag, in any order, however typed. Best first, each with its reason.

Names are scored once, not pieces: the finder knows each different label (style, colour, lot) on hand, and tags only by what they
read as. Which pieces carry a label is the caller's to look up.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum

from rapidfuzz.distance import OSA

from remnants.matching.explain import explain
from remnants.matching.names import NameIndex
from remnants.matching.stock_names import Label
from remnants.matching.words import NOISE, checked, fold, lot_key, lot_reading, words_of

__all__ = ["Finder", "Found", "Sure"]

LOT_CHUNKS = 3
"""A lot may be typed in up to this many words: `4471 - b`."""
NEAR_LOT = 0.5
LOT_SHARE = 0.2
LEAST_SCORE = 0.35
"""A label below this score shares too little with the words to be worth showing."""
SCORED = 200


class Sure(IntEnum):
    """How sure a find is, surest first; within one, the score decides."""

    TAG = 0
    LOT = 1
    READS_ALIKE = 2
    NAMES = 3


@dataclass(frozen=True, slots=True)
class Found:
    """A label that the words stand for, with a score (0 to 1) and the reason; `tag` where the words name one piece."""

    label: Label
    score: float
    reason: str
    sure: Sure = Sure.NAMES
    tag: str = ""


@dataclass(frozen=True, slots=True)
class _Query:
    """Words of a query told apart: tags and lots known exactly or by reading, codes that are neither, and words of names."""

    tags: tuple[str, ...]
    lots: tuple[str, ...]
    codes: tuple[str, ...]
    names: tuple[str, ...]


class Finder:
    """Labels and tags by words. Built once, asked often."""

    def __init__(self, labels: Iterable[Label], tags: Iterable[tuple[str, Label]] = ()) -> None:
        self._labels = tuple(dict.fromkeys(labels))
        names: dict[tuple[str, str], list[int]] = defaultdict(list)
        self._lots: dict[str, list[int]] = defaultdict(list)
        for at, label in enumerate(self._labels):
            names[label.style, label.colour].append(at)
            if label.lot.strip():
                self._lots[lot_reading(label.lot)].append(at)
        self._by_name = tuple(names.values())
        self._row_of = {name: row for row, name in enumerate(names)}
        self._index = NameIndex(f"{style} {colour}" for style, colour in names)
        self._tags: dict[str, list[tuple[str, Label]]] = defaultdict(list)
        for tag, label in tags:
            self._tags[lot_reading(tag)].append((tag, label))

    def find(self, text: str, limit: int = 20) -> tuple[Found, ...]:
        """What the words stand for, best first; nothing for words that are on no label. Raises BadInput for overlong text."""
        query = self._told_apart(checked(text))
        found = [*self._tagged(query), *self._in_lots(query)]
        if query.names or (query.codes and not found):
            found += self._named(query, {each.label for each in found}, limit)
        found.sort(key=lambda each: (each.sure, -each.score, each.label, each.tag))
        return tuple(found[:limit])

    def score(self, text: str, label: Label) -> Found:
        """How the words score one label of the finder's, whatever its place among the others. Raises BadInput as `find` does."""
        query = self._told_apart(checked(text))
        exact = next((found for found in self._in_lots(query) if found.label == label), None)
        if exact:
            return exact
        (name,) = self._index.scores(" ".join(query.names), [self._row_of[label.style, label.colour]])
        asked = (*query.lots, *query.codes)
        score, lot = _with_lot(float(name), asked, label.lot)
        return Found(label, score, explain(query.names, label, lot))

    def _told_apart(self, text: str) -> _Query:
        chunks = text.split()
        tags: list[str] = []
        lots: list[str] = []
        codes: list[str] = []
        names: list[str] = []
        at = 0
        while at < len(chunks):
            for count in range(min(LOT_CHUNKS, len(chunks) - at), 0, -1):
                code = lot_reading("".join(chunks[at : at + count]))
                if self._is_code("".join(chunks[at : at + count]), code):
                    (tags if code in self._tags else lots).append(lot_key("".join(chunks[at : at + count])))
                    break
            else:
                count = 1
                words = [word for word in words_of(chunks[at]) if word not in NOISE or self._index.knows(word)]
                unknown = any(mark.isdigit() for mark in chunks[at]) and not any(map(self._index.knows, words))
                (codes if unknown else names).extend([lot_key(chunks[at])] if unknown else words)
            at += count
        return _Query(tuple(tags), tuple(lots), tuple(codes), tuple(self._index.typed_words(" ".join(names))))

    def _is_code(self, chunk: str, code: str) -> bool:
        """Whether these characters are a tag or lot on hand: written so, or read so and with a figure in them."""
        if not code or not (code in self._tags or code in self._lots):
            return False
        if any(mark.isdigit() for mark in chunk):
            return True
        return not any(map(self._index.knows, words_of(chunk))) and len(code) > 1

    def _tagged(self, query: _Query) -> list[Found]:
        found = []
        for asked in query.tags:
            for tag, label in self._tags[lot_reading(asked)]:
                same = lot_key(tag) == asked
                reason = f"tag: {'same' if same else f'{tag!r} reads like it'}"
                found.append(Found(label, 1.0 if same else 0.9, reason, Sure.TAG if same else Sure.READS_ALIKE, tag))
        return found

    def _in_lots(self, query: _Query) -> list[Found]:
        places = {at: asked for asked in query.lots for at in self._lots[lot_reading(asked)]}
        if not places:
            return []
        text = " ".join(query.names)
        rows = [self._row_of[self._labels[at].style, self._labels[at].colour] for at in places]
        scores = self._index.scores(text, rows) if text else [1.0] * len(rows)
        found = []
        for (at, asked), score in zip(places.items(), scores, strict=True):
            label, same = self._labels[at], lot_key(self._labels[at].lot) == asked
            reason = explain(query.names, label, f"lot: {'same' if same else f'{label.lot!r} reads like it'}")
            found.append(Found(label, (1 - LOT_SHARE) * float(score) + LOT_SHARE, reason, Sure.LOT if same else Sure.READS_ALIKE))
        return found

    def _named(self, query: _Query, done: set[Label], limit: int) -> list[Found]:
        hits = self._index.search(" ".join(query.names), min(SCORED, 4 * limit)) if query.names else ()
        asked = (*query.lots, *query.codes)
        found: list[tuple[float, Label, str]] = []
        for hit in hits:
            if hit.score < LEAST_SCORE or len(found) >= 4 * SCORED:
                break
            for at in self._by_name[hit.row]:
                label = self._labels[at]
                if label not in done:
                    score, lot = _with_lot(hit.score, asked, label.lot)
                    found.append((score, label, lot))
        found.sort(key=lambda each: (-each[0], each[1]))
        return [Found(label, score, explain(query.names, label, lot)) for score, label, lot in found[:limit]]


def _with_lot(name_score: float, asked: tuple[str, ...], lot: str) -> tuple[float, str]:
    """The score of a label whose lot is none of the codes asked for, and the words for its lot ("" when none is asked)."""
    if not asked:
        return name_score, ""
    letters = min(OSA.distance(lot_reading(code), lot_reading(lot)) for code in asked)
    if letters == 1 and len(fold(lot)) > 3:
        return (1 - LOT_SHARE) * name_score + LOT_SHARE * NEAR_LOT, f"lot: {lot!r}, 1 character differs"
    return (1 - LOT_SHARE) * name_score, "lot: other" if lot.strip() else "lot: not recorded"
