"""Free words among the stock: style, colour, lot or tag, in any order, however typed. Best first, each with its reason.

Names are scored once, not pieces: the finder knows each different label (style, colour, lot) on hand, and tags only by what they
read as. Which pieces carry a label is the caller's to look up.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import IntEnum

from rapidfuzz.distance import OSA

from remnants.matching.explain import explain
from remnants.matching.names import NameIndex
from remnants.matching.shade_names import NEAR_WORDS, ShadeRows, shade_in
from remnants.matching.stock_names import Label
from remnants.matching.words import NOISE, checked, fold, lot_key, lot_reading, words_of
from remnants.model import Lab

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
    """Words of a query told apart: tags and lots known exactly or by reading, codes that are neither, words of names.

    `names` are as parted and joined for the index, `typed` as they were typed.
    """

    tags: tuple[str, ...]
    lots: tuple[str, ...]
    codes: tuple[str, ...]
    names: tuple[str, ...]
    typed: tuple[str, ...]


class Finder:
    """Labels and tags by words. Built once, asked often."""

    def __init__(
        self,
        labels: Iterable[Label],
        tags: Iterable[tuple[str, Label]] = (),
        *,
        shades: Mapping[tuple[str, str], Lab] | None = None,
    ) -> None:
        """`shades` are measured ones by (style, colour); a colour without one has the shade of its name, if that is known."""
        self._labels = tuple(dict.fromkeys(labels))
        names: dict[tuple[str, str], list[int]] = defaultdict(list)
        self._lots: dict[str, list[int]] = defaultdict(list)
        for at, label in enumerate(self._labels):
            names[label.style, label.colour].append(at)
            if label.lot.strip():
                self._lots[lot_reading(label.lot)].append(at)
        self._by_name = tuple(names.values())
        self._shades = ShadeRows(names, shades or {})
        self._row_of = {name: row for row, name in enumerate(names)}
        self._index = NameIndex(f"{style} {colour}" for style, colour in names)
        self._tags: dict[str, list[tuple[str, Label]]] = defaultdict(list)
        for tag, label in tags:
            self._tags[lot_reading(tag)].append((tag, label))

    def find(self, text: str, limit: int = 20) -> tuple[Found, ...]:
        """What the words stand for, best first; nothing for words that are on no label. Raises BadInput for overlong text."""
        query = self._told_apart(checked(text))
        found = [*self._tagged(query), *self._in_lots(query, limit)]
        if query.names or (query.codes and not found):
            found += self._named(query, {each.label for each in found}, limit)
        known = {each.label: each for each in found}
        for near in self._near_shades(query, limit):
            before = known.get(near.label)
            if before is None or (before.sure is Sure.NAMES and before.score < near.score):
                known[near.label] = near
        found = [*(each for each in found if each.tag), *(each for each in known.values() if not each.tag)]
        found.sort(key=lambda each: (each.sure, -each.score, each.label, each.tag))
        return tuple(found[:limit])

    def score(self, text: str, label: Label) -> Found:
        """How the words score one label, whatever its place among the others. Raises BadInput as `find` does.

        A label that isn't among the finder's is scored as if it were the only one.
        """
        if (label.style, label.colour) not in self._row_of:
            return Finder([label]).score(text, label)
        query = self._told_apart(checked(text))
        exact = next((found for found in self._in_lots(query, len(self._labels)) if found.label == label), None)
        if exact:
            return exact
        (name,) = self._index.scores(" ".join(query.names), [self._row_of[label.style, label.colour]])
        asked = (*query.lots, *query.codes)
        score, lot = _with_lot(float(name), asked, label.lot)
        named = Found(label, score, explain(query.names, label, lot))
        near = [found for found in self._near_shades(query, len(self._labels)) if found.label == label]
        return max([named, *near], key=lambda found: found.score)

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
        parted = self._index.typed_words(" ".join(names))
        return _Query(tuple(tags), tuple(lots), tuple(codes), tuple(parted), tuple(names))

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

    def _in_lots(self, query: _Query, limit: int) -> list[Found]:
        """Labels of the lots asked for, the best names first."""
        places = {at: asked for asked in query.lots for at in self._lots[lot_reading(asked)]}
        if not places:
            return []
        rows = [self._row_of[self._labels[at].style, self._labels[at].colour] for at in places]
        scores = self._index.scores(" ".join(query.names), rows).tolist() if query.names else [1.0] * len(rows)
        ranked = [
            (lot_key(self._labels[at].lot) != asked, -score, self._labels[at])
            for (at, asked), score in zip(places.items(), scores, strict=True)
        ]
        found = []
        for misread, score, label in sorted(ranked)[:limit]:
            reason = explain(query.names, label, f"lot: {f'{label.lot!r} reads like it' if misread else 'same'}")
            sure = Sure.READS_ALIKE if misread else Sure.LOT
            found.append(Found(label, LOT_SHARE - (1 - LOT_SHARE) * score, reason, sure))
        return found

    def _near_shades(self, query: _Query, limit: int) -> list[Found]:
        """Labels of about the shade that words on no label stand for, as far as the other words allow."""
        asked = shade_in(query.typed, self._index.vocabulary)
        if not asked:
            return []
        shade, run = asked
        rest = [word for word in query.typed if word not in run]
        nears = self._shades.near(shade.lab)
        rows = [near.row for near in nears]
        shares = self._index.scores(" ".join(rest), rows).tolist() if rest else [1.0] * len(rows)
        scored = [
            (share * (1 - near.delta_e / (2 * NEAR_WORDS)), near)
            for near, share in zip(nears, shares, strict=True)
            if share >= LEAST_SCORE
        ]
        scored.sort(key=lambda each: (-each[0], each[1].row))
        found: list[Found] = []
        for score, near in scored[:limit]:
            by = "measured" if near.measured else "by its name"
            told = f"colour: shade near {shade.name!r} (ΔE00 {near.delta_e:.0f}, {by})"
            for label in (self._labels[at] for at in self._by_name[near.row][:limit]):
                found.append(Found(label, score, explain(rest, label, told, colour=False), Sure.NAMES))
        return found

    def _named(self, query: _Query, done: set[Label], limit: int) -> list[Found]:
        """Labels of the names most like the words; a lot that is nearly the one asked for lifts its label a little."""
        hits = self._index.search(" ".join(query.names), min(SCORED, 4 * limit)) if query.names else ()
        asked = (*query.lots, *query.codes)
        found: list[tuple[float, Label, str]] = []
        for hit in hits:
            at_best = (1 - LOT_SHARE) * hit.score + LOT_SHARE * NEAR_LOT if asked else hit.score
            if hit.score < LEAST_SCORE or (len(found) >= limit and at_best < min(found[:limit])[0]):
                break
            labels = [label for at in self._by_name[hit.row] if (label := self._labels[at]) not in done]
            for label in labels:
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
