"""Finding pieces by words: style, colour and lot as somebody remembers them, or a tag."""

from dataclasses import dataclass

from remnants.errors import BadInput, Fault
from remnants.matching.names import NameIndex
from remnants.model import Piece, Style
from remnants.store import Catalogue, pieces, styles

__all__ = ["Found", "find_pieces"]

NEAREST_SHARE = 0.6
"""A name that scores under this share of the best one's score is no longer told."""

MOST_LABELS = 200
"""Labels (style, colour and lot) looked at, best first."""


@dataclass(frozen=True)
class Found:
    """Pieces that the words stand for, best first, their styles, and how many more there are at least."""

    words: str
    pieces: tuple[Piece, ...]
    styles: tuple[Style, ...] = ()
    more: int = 0


def find_pieces(catalogue: Catalogue, words: str, *, most: int = 20) -> Found:
    """The pieces whose tag is `words`, or whose style, colour and lot are most like them; typing slips are forgiven.

    Empty when nothing is like the words. Raises BadInput when there are no words.
    """
    if not words.strip():
        raise BadInput([Fault("words", "say what to look for: a style, colour, lot or tag")])
    tagged = pieces.find_piece(catalogue, words.strip())
    if tagged:
        return _found(catalogue, words, [tagged], most)
    labels = pieces.labels(catalogue)
    index = NameIndex(" ".join(label) for label in labels)
    hits = index.search(words, limit=MOST_LABELS)
    best = max((hit.score for hit in hits), default=0.0)
    found: list[Piece] = []
    for hit in hits:
        if hit.score > 0 and hit.score >= NEAREST_SHARE * best:
            found += pieces.pieces_labelled(catalogue, labels[hit.row], most=most + 1)
    return _found(catalogue, words, found, most)


def _found(catalogue: Catalogue, words: str, found: list[Piece], most: int) -> Found:
    shown = tuple(found[:most])
    known = styles.all_styles(catalogue)
    named = dict.fromkeys(piece.style for piece in shown)
    return Found(words, shown, tuple(known[name] for name in named), len(found) - len(shown))
