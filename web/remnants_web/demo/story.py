"""Twelve weeks in the invented shop, written into its ledger by the same actions that the pages call.

Told backwards from `now`, so that the last entries are of these days; the same each time but for the dates. What the demo's
own jobs cut (the hall at Tollgate Yard 3, the landing at Alder Court 7) is left alone, so that they can still be asked.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from importlib.resources import files

from remnants.actions import Catalogue, Signed
from remnants.actions.branches import put_branch, put_van
from remnants.actions.change_piece import discard_piece, move_piece
from remnants.actions.count_place import book_count, count_place
from remnants.actions.customers import put_customer
from remnants.actions.fit_job import Fitted, fit_job
from remnants.actions.keep_job import cut_job, cut_plan, hold_job, release_job
from remnants.actions.log_pieces import known_styles, log_pieces
from remnants.actions.rack import pieces_at
from remnants.actions.shop_rules import held_until
from remnants.actions.style_sizes import change_sizes
from remnants.actions.transfers import call_back, send, take_in
from remnants.actions.undo import undo_last
from remnants.exchange import Stock, read_job, read_stock
from remnants.model import Kind, Piece
from remnants.model.branches import Van
from remnants.model.customer import Customer
from remnants.units import Unit

__all__ = ["WEEKS", "tell"]

WEEKS = 12
LEFT_ALONE = frozenset({"L-0101", "K-0031", "R-0188", "O-0140", "R-0142", "K-0044"})
"""Pieces of the demo's own jobs: there from the first day, cut for nothing else."""

STRIP = {"keep_short": "8 in", "keep_long": "24 in"}
"""Of the dearest style narrow strips are kept too."""

CUSTOMERS = (
    Customer("Tollgate Yard 3", "Ottoline Fenn", "555 0107", "3 Tollgate Yard, Nether Quill", may_call=True),
    Customer("Millrace House", "Perrin Oake", "555 0142", "Millrace House, Nether Quill", may_call=False),
)
"""Nobody: invented names, a place that doesn't exist, and numbers of the range that the North American plan keeps for fiction."""


@dataclass(frozen=True)
class _Asked:
    """A rectangular patch that was asked for `days` ago, inches."""

    days: float
    name: str
    style: str
    colour: str
    width_in: float
    length_in: float


CUT = (
    _Asked(79, "Plover Close 21, landing", "Velder Loop", "Slate", 30, 24),
    _Asked(72, "Fennel Row 12, study", "Tarn Hollow", "Heather", 24, 20),
    _Asked(66, "Millrace House, stair head", "Velder Loop", "Moss", 36, 18),
    _Asked(58, "Alder Court 7, back room", "Aldern Twist", "Claret", 28, 28),
    _Asked(51, "Tollgate Yard 3, box room", "Brackle Cord", "Graphite", 40, 20),
    _Asked(44, "Plover Close 21, closet", "Quillam Plush", "Dove", 26, 16),
    _Asked(37, "Fennel Row 12, hearth side", "Sedgeby Weave", "Charcoal", 20, 20),
    _Asked(30, "Millrace House, bay window", "Velder Loop", "Slate", 44, 14),
    _Asked(23, "Alder Court 7, threshold", "Aldern Twist", "Ash Grey", 34, 9),
    _Asked(16, "Plover Close 21, den", "Tarn Hollow", "Reed", 18, 24),
    _Asked(9, "Fennel Row 12, passage", "Brackle Cord", "Rust", 36, 22),
    _Asked(3, "Millrace House, attic", "Velder Loop", "Moss", 22, 22),
)
HELD_THEN_CUT = _Asked(20, "Tollgate Yard 3, spare room", "Quillam Plush", "Dove", 20, 18)
LET_GO = _Asked(26, "Plover Close 21, porch", "Sedgeby Weave", "Flax", 22, 15)
HELD = _Asked(1, "Fennel Row 12, music room", "Aldern Twist", "Claret", 24, 20)


def tell(catalogue: Catalogue, *, now: datetime) -> None:
    """Fills a new catalogue with the shop's stock and the ledger of its last weeks, which end at `now` (UTC)."""
    stock = _stock()
    story: list[tuple[float, Callable[[Signed], object]]] = [*_arrivals(catalogue, stock), *_counts(catalogue)]
    story += [(asked.days, _cutting(catalogue, asked)) for asked in CUT]
    story += [
        (WEEKS * 7 - 0.1, _customers(catalogue)),
        (HELD_THEN_CUT.days, _holding(catalogue, HELD_THEN_CUT)),
        (HELD_THEN_CUT.days - 4, lambda signed: cut_job(catalogue, HELD_THEN_CUT.name, signed=signed)),
        (LET_GO.days, _holding(catalogue, LET_GO)),
        (LET_GO.days - 9, lambda signed: release_job(catalogue, LET_GO.name, signed=signed)),
        (HELD.days, _holding(catalogue, HELD)),
        (82, lambda signed: change_sizes(catalogue, "Sedgeby Weave", STRIP, unit=Unit.IN, signed=replace(signed, who="Maud"))),
        (40, lambda signed: discard_piece(catalogue, "O-0103", signed=replace(signed, why="moth in the pile"))),
        (19, lambda signed: discard_piece(catalogue, "R-0109", signed=replace(signed, why="kept wet too long"))),
        (14, lambda signed: move_piece(catalogue, "R-0111", "Bay 2", signed=signed)),
        (13.9, lambda signed: undo_last(catalogue, "R-0111", signed=replace(signed, why="was another piece"))),
        (6, lambda signed: move_piece(catalogue, "O-0108", "Bay 4", signed=signed)),
        *_branches(catalogue),
    ]
    for index, (days, do) in enumerate(sorted(story, key=lambda one: -one[0])):
        do(Signed(("Wim", "Maud")[index % 3 == 2], now - timedelta(days=days)))


def _branches(catalogue: Catalogue) -> list[tuple[float, Callable[[Signed], object]]]:
    """A second branch is opened, and a van told; of what was sent one piece came, one is late, one is on its way."""

    def opened(signed: Signed) -> object:
        put_branch(catalogue, "Mill Lane", new=True, signed=signed)
        put_branch(catalogue, "Harbour Yard", new=True, away=[("Mill Lane", "14 km")], signed=signed)
        return put_van(catalogue, Van("Grey van", "Wim", "Mill Lane"), signed=signed)

    return [
        (8.2, opened),
        (7.2, lambda signed: send(catalogue, ["R-0115"], "Harbour Yard", signed=signed)),
        (7.1, lambda signed: send(catalogue, ["R-0121"], "Harbour Yard", signed=signed)),
        (6.6, lambda signed: call_back(catalogue, ["R-0121"], signed=signed)),
        (6.2, lambda signed: take_in(catalogue, ["R-0115"], "left wall", signed=signed)),
        (4.2, lambda signed: send(catalogue, ["R-0122"], "Harbour Yard", signed=signed)),
        (0.4, lambda signed: send(catalogue, ["O-0152"], "Grey van", signed=signed)),
    ]


def _stock() -> Stock:
    return read_stock((files("remnants_web.demo") / "stock.json").read_text(encoding="utf-8"))


def _arrivals(catalogue: Catalogue, stock: Stock) -> list[tuple[float, Callable[[Signed], object]]]:
    """Two pieces of three are there when the ledger begins; the rest comes back week by week."""
    first = [piece for number, piece in enumerate(stock.pieces) if number % 3 or piece.tag in LEFT_ALONE]
    later = [piece for piece in stock.pieces if piece not in first]
    weeks = [(WEEKS * 7.0, first, "first count")]
    weeks += [(week * 7.0 - 1, later[week - 1 :: WEEKS], "came back from jobs") for week in range(1, WEEKS + 1)]
    return [(days, _logging(catalogue, stock, pieces, why)) for days, pieces, why in weeks if pieces]


def _bought(piece: Piece, number: int, logged: date) -> Piece:
    """What was there at the first count with the day on which it was delivered, over two years before; of some nobody knows."""
    if number % 5 == 0 or piece.kind not in (Kind.REMNANT, Kind.OFFCUT):
        return piece
    return replace(piece, received_on=logged - timedelta(days=37 * number % 720))


def _logging(catalogue: Catalogue, stock: Stock, pieces: list[Piece], why: str) -> Callable[[Signed], object]:
    def do(signed: Signed) -> object:
        begun = bool(known_styles(catalogue))
        styles = () if begun else stock.styles
        told = pieces if begun else [_bought(piece, number, signed.at.date()) for number, piece in enumerate(pieces)]
        return log_pieces(catalogue, Stock(styles, tuple(told), stock.unit), signed=replace(signed, why=why))

    return do


def _counts(catalogue: Catalogue) -> list[tuple[float, Callable[[Signed], object]]]:
    """Every few weeks a bay is counted; the last time one piece is not found."""
    return [
        (54.5, _counting(catalogue, "Bay 1")),
        (33.5, _counting(catalogue, "Bay 5")),
        (5, _counting(catalogue, "Bay 7", missing=1)),
    ]


def _counting(catalogue: Catalogue, place: str, *, missing: int = 0) -> Callable[[Signed], object]:
    def do(signed: Signed) -> object:
        tags = [standing.piece.tag for standing in pieces_at(catalogue, place)]
        return book_count(catalogue, count_place(catalogue, place, tags[missing:]), signed=signed)

    return do


def _customers(catalogue: Catalogue) -> Callable[[Signed], object]:
    def do(signed: Signed) -> object:
        for customer in CUSTOMERS:
            put_customer(catalogue, customer, signed=signed)
        return move_piece(
            catalogue,
            "K-0031",
            "Tollgate Yard 3, attic",
            customer=CUSTOMERS[0].reference,
            signed=replace(signed, why="left there"),
        )

    return do


def _holding(catalogue: Catalogue, asked: _Asked) -> Callable[[Signed], object]:
    def do(signed: Signed) -> object:
        until = held_until(catalogue, signed.at.date())
        return hold_job(catalogue, _fitted(catalogue, asked, signed), until=until, signed=signed)

    return do


def _cutting(catalogue: Catalogue, asked: _Asked) -> Callable[[Signed], object]:
    return lambda signed: cut_plan(catalogue, _fitted(catalogue, asked, signed), signed=signed)


def _fitted(catalogue: Catalogue, asked: _Asked, signed: Signed) -> Fitted:
    patch = {"name": "patch", "width": asked.width_in, "length": asked.length_in, "pile": 0, "edges": "seam"}
    file: Mapping[str, object] = {
        "unit": "in",
        "job": asked.name,
        "style": asked.style,
        "colour": asked.colour,
        "allowance": {"seam": 1},
        "patches": [patch],
    }
    return fit_job(catalogue, read_job(file), today=signed.at.date(), without=LEFT_ALONE)
