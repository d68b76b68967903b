"""What programs can do, as JSON: the file formats in and out, one shape for every refusal (RFC 9457)."""

from flask import Blueprint, jsonify, request
from werkzeug.exceptions import UnsupportedMediaType
from werkzeug.wrappers import Response

from remnants.actions.find_pieces import find_pieces
from remnants.actions.fit_job import fit_job
from remnants.actions.log_pieces import known_styles, log_pieces
from remnants.actions.show_piece import show_piece
from remnants.errors import BadInput, Fault
from remnants.exchange import Stock, answer_json, read_job, read_stock, stock_json
from remnants.model import Role
from remnants.units import Unit
from web.access import anyone, needs, signature
from web.api_description import description
from web.choices import chosen
from web.shop import catalogue, settings
from web.turns import in_turn

__all__ = ["area"]

area = Blueprint("api", __name__, url_prefix="/api")

MOST_FOUND = 200


@area.get("/openapi.json")
@anyone
def described() -> Response:
    """The description of all this (OpenAPI 3.1); holds no data."""
    return jsonify(description(settings().shop))


@area.post("/fit")
@needs(Role.LOOK)
def fit() -> Response:
    """A job in, its answer out. Changes nothing."""
    return jsonify(answer_json(in_turn(fit_job)(catalogue(), read_job(_body())).plan))


@area.get("/pieces")
@needs(Role.LOOK)
def find() -> Response:
    """Pieces like the words, the likeliest first, as a stock file."""
    unit = chosen(Unit, request.args.get("unit"), "unit", default=Unit.MM)
    found = find_pieces(catalogue(), request.args.get("words", ""), most=_most())
    return jsonify(stock_json(Stock(found.styles, found.pieces, unit)))


@area.post("/pieces")
@needs(Role.WORK)
def log() -> tuple[Response, int]:
    """Logs the pieces of a stock file: all of them, or none."""
    opened = catalogue()
    stock = read_stock(_body(), known=known_styles(opened))
    tags = log_pieces(opened, stock, signed=signature(), key=request.headers.get("Idempotency-Key", ""))
    return jsonify({"tags": list(tags)}), 201


@area.get("/pieces/<path:tag>")
@needs(Role.LOOK)
def show(tag: str) -> Response:
    """One piece, as a stock file that holds it alone."""
    unit = chosen(Unit, request.args.get("unit"), "unit", default=Unit.MM)
    shown = show_piece(catalogue(), tag)
    return jsonify(stock_json(Stock((shown.style,), (shown.piece,), unit)))


def _body() -> str:
    if request.mimetype != "application/json":
        raise UnsupportedMediaType("send JSON, and say so: Content-Type: application/json")
    try:
        return request.get_data().decode("utf-8")
    except UnicodeDecodeError:
        raise BadInput("the request is not UTF-8 text; send JSON in UTF-8") from None


def _most() -> int:
    text = request.args.get("most", "20")
    if not (text.isascii() and text.isdigit() and len(text) < 5 and 1 <= int(text) <= MOST_FOUND):
        raise BadInput([Fault("most", f"{text[:20]!r} is no count: give a whole number from 1 to {MOST_FOUND}")])
    return int(text)
