"""The names that a stock goes by: styles, their colours and lots, and what a typed one is taken for."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import NamedTuple

from remnants.matching.likeness import SLIP, likeness
from remnants.matching.names import NameIndex, Taken, Untaken, take
from remnants.matching.words import fold, lot_key, lot_reading, words_of
from remnants.model import Piece, Style

__all__ = ["Label", "StockNames", "label_of"]


class Label(NamedTuple):
    """What a tag says a piece is, as written."""

    style: str
    colour: str = ""
    lot: str = ""


def label_of(piece: Piece) -> Label:
    """What the tag of a piece says."""
    return Label(piece.style, piece.colour, piece.lot)


class StockNames:
    """Styles, colours and lots on hand. A style that nothing but its name is known of may be a described one, written otherwise:
    abbreviated, run together, without vowels. A letter's slip is no such sign: it may as well be another carpet.
    """

    def __init__(self, labels: Iterable[Label], styles: Mapping[str, Style]) -> None:
        self._styles = styles
        self._labels = tuple(dict.fromkeys(labels))

    def beside(self, labels: Iterable[Label]) -> "StockNames":
        """The same with the names of some pieces more; itself where it knows them all."""
        more = [label for label in labels if label not in self._labels]
        return StockNames((*self._labels, *more), self._styles) if more else self

    @cached_property
    def _described(self) -> NameIndex:
        return NameIndex(name for name, style in self._styles.items() if style != Style(name))

    @cached_property
    def _canonical(self) -> dict[str, str]:
        """Style as written -> the name it goes by: a described style's, or its first spelling."""
        first: dict[tuple[str, ...], str] = {}
        names = {name: name for name in self._described.names}
        for written in dict.fromkeys((*self._styles, *(label.style for label in self._labels))):
            if written not in names:
                found = take(written, self._described)
                sure = isinstance(found, Taken) and found.cost < SLIP
                own = first.setdefault(words_of(written) or (fold(written),), written)
                names[written] = found.name if isinstance(found, Taken) and sure else own
        return names

    @cached_property
    def _style_index(self) -> NameIndex:
        return NameIndex(dict.fromkeys(self._canonical.values()))

    @cached_property
    def _colours(self) -> dict[str, dict[str, None]]:
        """Colour names by style (as the style goes by), and of all styles under ""."""
        colours: dict[str, dict[str, None]] = defaultdict(dict)
        known = [(name, colour.name) for name, style in self._styles.items() for colour in style.colours]
        for style, colour in (*known, *((self.style_name(label.style), label.colour) for label in self._labels)):
            if colour.strip():
                colours[style][colour] = colours[""][colour] = None
        return colours

    @cached_property
    def _colour_indexes(self) -> dict[str, NameIndex]:
        return {}

    def _colour_index(self, style: str) -> NameIndex:
        known = self._colour_indexes
        if style not in known:
            known[style] = NameIndex(self._colours.get(style, {}))
        return known[style]

    @cached_property
    def _lots(self) -> dict[tuple[str, str], set[str]]:
        """(style as it goes by, lot reading) -> the lots that are read so; under style "" of all styles."""
        lots: dict[tuple[str, str], set[str]] = defaultdict(set)
        for label in self._labels:
            for style in (self.style_name(label.style), ""):
                lots[style, lot_reading(label.lot)].add(lot_key(label.lot))
        return lots

    def style_name(self, written: str) -> str:
        """The name that a piece's style goes by."""
        return self._canonical.get(written, written)

    def style_of(self, written: str) -> Style:
        """The style of a piece: the declared one, or one with only a name."""
        name = self.style_name(written)
        return self._styles.get(name) or Style(name or written)

    def take_style(self, typed: str) -> Taken | Untaken:
        """The style that a typed name stands for."""
        return take(typed, self._style_index)

    def take_colour(self, typed: str, style: str = "") -> Taken | Untaken:
        """The colour that a typed name stands for among those of the style ("" of all)."""
        return take(typed, self._colour_index(style))

    def colours_of(self, style: str) -> tuple[str, ...]:
        """The colours on hand of a style ("" of all), in order."""
        return tuple(sorted(self._colours.get(style, {})))

    def styles_in(self, colour: str) -> tuple[str, ...]:
        """The styles on hand that have the colour that a typed name stands for, in order."""
        found = self.take_colour(colour)
        if not isinstance(found, Taken):
            return ()
        return tuple(sorted(style for style, own in self._colours.items() if style and found.name in own))

    def same_name(self, one: str, other: str, *, same_lot: bool) -> bool:
        """Whether two names on hand are one, written twice. A letter's slip is believed only within one dye lot."""
        found = likeness(one, other)
        return found is not None and (found.cost < SLIP or (same_lot and found.cost <= SLIP))

    def same_lot(self, asked: str, lot: str, style: str = "") -> bool:
        """Whether the lot is the one asked for: written the same, or read the same where no lot on hand is written so."""
        if not lot.strip():
            return False
        if lot_key(asked) == lot_key(lot):
            return True
        return lot_reading(asked) == lot_reading(lot) and self._lots[style, lot_reading(asked)] == {lot_key(lot)}
