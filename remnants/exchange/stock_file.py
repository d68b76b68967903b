"""Reading the stock file: styles and pieces."""

from collections.abc import Mapping

from remnants.errors import Fault
from remnants.exchange.entries import PieceEntry, StockHeader, StyleEntry
from remnants.exchange.plain import plain_fields
from remnants.exchange.reading import Note, Reading, quiet
from remnants.exchange.shades import shade_of
from remnants.exchange.shapes import piece_outline
from remnants.exchange.source import Source, shown
from remnants.exchange.stock import SentPiece, Stock
from remnants.exchange.stock_branches import BRANCH_KEYS, read_branches, ways_read
from remnants.geometry import Outline
from remnants.limits import PIECES, STYLES
from remnants.model import Colourway, Piece, Repeat, Style
from remnants.model.attributes import PLAIN, Value
from remnants.model.money import Money, Price
from remnants.model.style_attributes import STYLE_PLAIN
from remnants.units import Unit

__all__ = ["piece_made", "read_stock", "twice"]

_SUMS = tuple(attribute.field for attribute in PLAIN if attribute.value is Value.MONEY)


def read_stock(source: Source, *, known: Mapping[str, Style] | None = None, note: Note = quiet) -> Stock:
    """The stock in a file (a Path), a JSON text (a str) or what is read of one (a mapping), lengths in mm.

    A piece may name a style that the file doesn't list: it is taken from `known`, or else made bare (cut pile, no pattern)
    and `note` is told. Raises BadFile with every fault and its place, such as `pieces[3].outline[2]`.
    """
    reading = Reading(source, "a stock file", note)
    raw = reading.raw
    header = reading.entry(StockHeader, {key: raw[key] for key in raw if key not in ("styles", "pieces", *BRANCH_KEYS)}, "")
    styles = _styles(reading)
    pieces = _pieces(reading)
    branches, sent = read_branches(reading), _sent(reading, pieces)
    for name in dict.fromkeys(piece.style for piece in (*pieces, *(each.piece for each in sent))):
        if name not in styles and known and name in known:
            styles[name] = known[name]
        elif name not in styles:
            styles[name] = Style(name)
            reading.note(Fault("styles", f"{name!r} is not described; it is taken for cut pile without a pattern"))
    reading.close()
    return Stock(tuple(styles.values()), pieces, header.unit if header else Unit.MM, branches, sent)


def _styles(reading: Reading) -> dict[str, Style]:
    styles: dict[str, Style] = {}
    for index, raw in enumerate(reading.items("styles", STYLES, needed=False)):
        place = f"styles[{index}]"
        style = reading.entry_made(StyleEntry, raw, place, _style)
        if style and style.name in styles:
            reading.faults.append(Fault(f"{place}.name", f"a style before it is called {style.name!r} too; keep one"))
        elif style:
            styles[style.name] = style
    return styles


def _style(entry: StyleEntry) -> Style:
    repeat = entry.repeat
    return Style(
        repeat=Repeat(repeat.across, repeat.along, repeat.drop) if repeat else None,
        colours=tuple(Colourway(colour.name.strip(), shade_of(colour)) for colour in entry.colours),
        **plain_fields(STYLE_PLAIN, entry),
    )


def _pieces(reading: Reading) -> tuple[Piece, ...]:
    pieces: list[Piece] = []
    places: dict[str, int] = {}
    raws = reading.items("pieces", PIECES, needed=True)
    for index, raw in enumerate(raws):
        place = f"pieces[{index}]"
        tag = raw.get("tag") if isinstance(raw, dict) else None
        if isinstance(tag, str) and (first := places.setdefault(tag.strip().casefold(), index)) != index:
            reading.faults.append(Fault(f"{place}.tag", twice(tag.strip(), f"pieces[{first}]", raws[first]["tag"].strip())))
        piece = reading.entry_made(PieceEntry, raw, place, piece_made)
        if piece:
            pieces.append(piece)
    return tuple(pieces)


def _sent(reading: Reading, pieces: tuple[Piece, ...]) -> tuple[SentPiece, ...]:
    """What is on the way. A tag of a piece that lies somewhere, or of another one on the way, is a fault."""
    sent: list[SentPiece] = []
    tags = {piece.tag.casefold(): piece.tag for piece in pieces}
    for place, entry in ways_read(reading):
        piece = reading.made(f"{place}.piece", piece_made, entry.piece)
        if piece and piece.tag.casefold() in tags:
            told = twice(piece.tag, "a piece before it", tags[piece.tag.casefold()])
            reading.faults.append(Fault(f"{place}.piece.tag", told))
        elif piece:
            tags[piece.tag.casefold()] = piece.tag
            sent.append(SentPiece(piece, entry.sent_from.strip(), entry.sent_to.strip(), entry.expected))
    return tuple(sent)


def twice(tag: str, other: str, others: str) -> str:
    """What is told of a tag that `other` has too, written as in `others`."""
    same = "" if tag == others else f", written {shown(others)}, which is the same tag"
    return f"{other} has the tag {shown(tag)} too{same}; each piece needs its own"


def piece_made(entry: PieceEntry) -> Piece:
    """The piece that an entry tells, lengths mm. Raises BadInput with places inside the entry."""
    outline, told = piece_outline(entry), plain_fields(PLAIN, entry)
    for field in _SUMS:
        told[field] = _whole(told[field], outline)
    return Piece(outline=outline, motif=entry.motif, lab=shade_of(entry), **told)


def _whole(told: Money | Price | None, outline: Outline) -> Money | None:
    """The sum for the whole piece, where a price by area is told: for its usable area, rounded half up."""
    return told.of(1000.0, outline.usable_area_mm2 / 1000.0) if isinstance(told, Price) else told
