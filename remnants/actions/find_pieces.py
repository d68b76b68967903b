"""Finding pieces by words: style, colour and lot as somebody remembers them, or a tag."""

from dataclasses import dataclass, replace

from remnants.errors import BadInput, Fault, NotFound
from remnants.ledger import Standing
from remnants.matching import finder
from remnants.matching.finder import Finder, Sure
from remnants.matching.stock_names import Label
from remnants.matching.words import checked, misreadings
from remnants.model import Piece, Style
from remnants.store import Catalogue, pieces, styles
from remnants.store.ways import on_the_way

__all__ = ["Found", "Why", "find_pieces", "why_found"]

NEAREST_SHARE = 0.6
"""A label that scores under this share of the best one's score is no longer told."""

MOST_LABELS = 200
"""Labels (style, colour and lot) looked at, best first."""

MOST_KEPT = 2
_MADE: dict[bytes, Finder] = {}
"""Finders by the mark of the names that they were made of."""


@dataclass(frozen=True)
class Found:
    """Pieces that the words stand for, best first, their styles, and how many more there are at least.

    `scores[i]` (0 to 1) and `reasons[i]` tell how and why the words stand for `pieces[i]`. What is on the way,
    and so not to be cut yet, stands by itself: `coming`.
    """

    words: str
    standings: tuple[Standing, ...]
    styles: tuple[Style, ...] = ()
    more: int = 0
    scores: tuple[float, ...] = ()
    reasons: tuple[str, ...] = ()
    coming: tuple[Standing, ...] = ()

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """The pieces as they are now."""
        return tuple(standing.piece for standing in self.standings)


@dataclass(frozen=True)
class Why:
    """How the words score one piece: the score (0 to 1), the reason, and its label's place among the labels found, from 1."""

    piece: Piece
    score: float
    reason: str
    rank: int | None


def find_pieces(catalogue: Catalogue, words: str, *, most: int = 20) -> Found:
    """The pieces whose tag is among the words, then those of an exact lot, then those of names most like the words.

    Empty when nothing is like the words. Raises BadInput when there are no words, or too many.
    """
    if not checked(words):
        raise BadInput([Fault("words", "say what to look for: a style, colour, lot or tag")])
    tagged, rest = _tags_first(catalogue, words)
    rows = [(standing, 1.0, reason) for standing, reason in tagged.values()]
    hits = _finder(catalogue).find(rest, limit=MOST_LABELS) if rest else ()
    sent = on_the_way(catalogue) if rest else ()
    going = Finder({_label(each): None for each in sent}).find(rest, limit=MOST_LABELS) if sent else ()
    best = max((hit.score for hit in (*hits, *going)), default=0.0)
    for hit in hits:
        if len(rows) > most:
            break
        if hit.sure < Sure.NAMES or hit.score >= NEAREST_SHARE * best:
            labelled = pieces.standings_labelled(catalogue, hit.label, most=most + 1)
            rows += [(each, hit.score, hit.reason) for each in labelled if each.piece.tag not in tagged]
    like = {hit.label for hit in going if hit.sure < Sure.NAMES or hit.score >= NEAREST_SHARE * best}
    coming = [each.on(catalogue.today()) for each in sent if _label(each) in like and each.piece.tag not in tagged]
    return replace(_found(catalogue, words, rows, most), coming=tuple(coming[:most]))


def why_found(catalogue: Catalogue, tag: str, words: str) -> Why:
    """Why the words find the piece with this tag where they do. Raises NotFound when there is no such piece."""
    standing = pieces.find_standing(catalogue, tag.strip())
    if standing is None:
        raise NotFound(f"there is no piece {tag!r} in the catalogue; `remnants find WORDS` lists what there is")
    piece = standing.piece
    tagged, rest = _tags_first(catalogue, words)
    if piece.tag in tagged:
        return Why(piece, 1.0, tagged[piece.tag][1], 1)
    known = _finder(catalogue)
    label = Label(piece.style, piece.colour, piece.lot)
    hits: tuple[finder.Found, ...] = known.find(rest, limit=MOST_LABELS)
    rank = next((place for place, hit in enumerate(hits, 1) if hit.label == label), None)
    score = known.score(rest, label)
    return Why(piece, score.score, score.reason, rank + len(tagged) if rank else None)


def _label(standing: Standing) -> Label:
    return Label(standing.piece.style, standing.piece.colour, standing.piece.lot)


def _finder(catalogue: Catalogue) -> Finder:
    """The finder of the names on hand, made once for as long as they stay as they are: over many pieces it takes seconds."""
    mark = pieces.names_mark(catalogue)
    known = _MADE.get(mark)
    if known is None:
        ways = [(style, way) for style in styles.all_styles(catalogue).values() for way in style.colours]
        shades = {(style.name, way.name): way.lab for style, way in ways if way.lab}
        shades |= pieces.measured_shades(catalogue)
        known = Finder((Label(*label) for label in pieces.labels(catalogue)), shades=shades)
        if len(_MADE) >= MOST_KEPT:
            _MADE.clear()
        _MADE[mark] = known
    return known


def _tags_first(catalogue: Catalogue, words: str) -> tuple[dict[str, tuple[Standing, str]], str]:
    """Pieces whose tag is one of the words, or all of them, or reads like it; and the words that are none."""
    whole = _tagged(catalogue, words.strip())
    if whole:
        return {whole[0].piece.tag: whole}, ""
    found, rest = {}, []
    for word in words.split():
        one = _tagged(catalogue, word) if any(mark.isdigit() for mark in word) else None
        if one:
            found[one[0].piece.tag] = one
        else:
            rest.append(word)
    return found, " ".join(rest)


def _tagged(catalogue: Catalogue, word: str) -> tuple[Standing, str] | None:
    standing = pieces.find_standing(catalogue, word)
    if standing:
        return standing, "tag: same"
    alike = pieces.standings_tagged(catalogue, misreadings(word))
    if len(alike) != 1:
        return None
    (standing,) = alike.values()
    return standing, f"tag: {standing.piece.tag!r} reads like {word!r}"


def _found(catalogue: Catalogue, words: str, rows: list[tuple[Standing, float, str]], most: int) -> Found:
    shown = rows[:most]
    known = styles.all_styles(catalogue)
    named = dict.fromkeys(standing.piece.style for standing, _, _ in shown)
    return Found(
        words,
        tuple(standing.on(catalogue.today()) for standing, _, _ in shown),
        tuple(known[name] for name in named),
        len(rows) - len(shown),
        tuple(score for _, score, _ in shown),
        tuple(reason for _, _, reason in shown),
    )
