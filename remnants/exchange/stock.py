"""A stock, and how it is written. `stock_file` reads it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from remnants.exchange.figures import corners, figure, given_only
from remnants.exchange.plain import plain_json
from remnants.exchange.shades import shade_json
from remnants.model import Piece, Role, Style
from remnants.model.attributes import PIECE, PLAIN, Attribute
from remnants.model.branches import NO_BRANCHES, Branches
from remnants.model.style_attributes import STYLE, STYLE_PLAIN
from remnants.units import Unit

__all__ = ["SentPiece", "Stock", "piece_json", "stock_json"]


@dataclass(frozen=True)
class SentPiece:
    """A piece on the way, its place that where it lay: the branch or van that it left ("" the shop) and goes to, and by when."""

    piece: Piece
    start: str
    goal: str
    expected: date


@dataclass(frozen=True)
class Stock:
    """Styles and pieces that were read together, lengths mm. Every piece's style is among `styles`.

    `branches` tell whose the places are, where the shop told of any. What is `sent` is on the way between them, and not planned
    with: it is none of the `pieces`.
    """

    styles: tuple[Style, ...]
    pieces: tuple[Piece, ...]
    unit: Unit = Unit.MM
    branches: Branches = NO_BRANCHES
    sent: tuple[SentPiece, ...] = ()

    @property
    def style_of(self) -> dict[str, Style]:
        """Styles by name."""
        return {style.name: style for style in self.styles}

    @property
    def piece_of(self) -> dict[str, Piece]:
        """Pieces by tag."""
        return {piece.tag: piece for piece in self.pieces}


def stock_json(stock: Stock, *, seen_by: Role = Role.MANAGE) -> dict[str, Any]:
    """The stock as the content of a stock file, in the stock's own unit. `read_stock` reads it back the same.

    What is not for people of the role `seen_by` is left out.
    """
    unit = stock.unit
    sent = [_sent_json(each, unit, seen_by) for each in stock.sent]
    told: dict[str, Any] = {
        "unit": unit,
        "styles": [_style_json(style, unit) for style in stock.styles],
        "pieces": [piece_json(piece, unit, seen_by) for piece in stock.pieces],
    }
    return told | _branches_json(stock.branches) | ({"on_the_way": sent} if sent else {})


def _branches_json(found: Branches) -> dict[str, Any]:
    """The keys that tell branches and vans; none where there are none."""
    branches = []
    for number, branch in enumerate(found.branches):
        before = ((other.name, found.between(branch.name, other.name)) for other in found.branches[:number])
        away = {name: distance.words for name, distance in before if distance}
        told = {"places": list(branch.places)} if branch.places else {}
        branches.append({"name": branch.name, **told, **({"away": away} if away else {})})
    vans = [
        {"name": van.name, "custodian": van.custodian, **({"branch": van.branch} if van.branch else {})} for van in found.vans
    ]
    return ({"branches": branches} if branches else {}) | ({"vans": vans} if vans else {})


def _sent_json(sent: SentPiece, unit: Unit, seen_by: Role) -> dict[str, Any]:
    start = {"sent_from": sent.start} if sent.start else {}
    way = {**start, "sent_to": sent.goal, "expected": sent.expected.isoformat()}
    return {"piece": piece_json(sent.piece, unit, seen_by), **way}


def _style_json(style: Style, unit: Unit) -> dict[str, Any]:
    repeat = style.repeat
    size = {"across": figure(repeat.across_mm, unit), "along": figure(repeat.along_mm, unit)} if repeat else {}
    own = given_only(
        construction=style.construction.value,
        repeat=size | {"drop": repeat.drop} if repeat else None,
        colours=[{"name": colour.name, **shade_json(colour.lab)} for colour in style.colours] or None,
    )
    return _in_order(STYLE, plain_json(STYLE_PLAIN, style, unit) | own)


def _in_order(attributes: Sequence[Attribute], told: Mapping[str, Any]) -> dict[str, Any]:
    return {attribute.name: told[attribute.name] for attribute in attributes if attribute.name in told}


def piece_json(piece: Piece, unit: Unit, seen_by: Role) -> dict[str, Any]:
    """A piece as a stock file in `unit` tells it, without what is not for people of the role `seen_by`."""
    left, bottom, right, top = piece.outline.bounds
    square = piece.outline.is_rectangle and (left, bottom) == (0.0, 0.0)
    sides = {"width": figure(right, unit), "length": figure(top, unit)}
    own = given_only(
        **(sides if square else {"outline": corners(piece.outline.ring, unit)}),
        cutouts=[corners(ring, unit) for ring in piece.outline.cutouts] or None,
        motif=corners((piece.motif,), unit)[0] if piece.motif else None,
        **shade_json(piece.lab),
    )
    return _in_order(_seen(seen_by), plain_json(PLAIN, piece, unit) | own)


@cache
def _seen(seen_by: Role) -> tuple[Attribute, ...]:
    return tuple(attribute for attribute in PIECE if seen_by.covers(attribute.seen_by))
