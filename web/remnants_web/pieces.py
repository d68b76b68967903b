"""Finding pieces, and all about one."""

from flask import Blueprint, jsonify, redirect, render_template, request, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response

from remnants.actions.find_pieces import Found, find_pieces
from remnants.actions.photos import photos_shown
from remnants.actions.promised_seen import promised_like
from remnants.actions.show_piece import Life, Shown, history_of, show_piece
from remnants.actions.told_to import life_told, shown_told
from remnants.errors import BadInput
from remnants.limits import NAME_CHARACTERS, PIECES_FOUND
from remnants.model import Piece, Role
from remnants.report.donor_view import donor_drawing
from remnants.report.life import life_lines, life_table
from remnants.report.pieces import more_lines, style_lines
from remnants_web.access import asking, needs
from remnants_web.choices import digits
from remnants_web.coming import promised_lines
from remnants_web.figures import SCREEN, on_page
from remnants_web.own_branch import here_now
from remnants_web.scanned import tag_of
from remnants_web.shop import catalogue
from remnants_web.tables import page_tables
from remnants_web.tags import PAPER_WORDS, usual_paper
from remnants_web.transfers import goals_from
from remnants_web.words import reader_unit

__all__ = ["area", "piece_drawing"]

area = Blueprint("pieces", __name__)

MOST_SUGGESTED = 12


@area.get("/find")
@needs(Role.LOOK)
def find() -> str | Response:
    """Pieces by words as remembered; a tag, as a scanner types it, goes straight to its piece."""
    words = tag_of(request.args.get("words", ""))
    if not words:
        return render_template("find.html", words="", found=None, refused="", coming=(), by_branch=())
    try:
        found = find_pieces(catalogue(), words, most=60)
    except BadInput as error:
        return render_template("find.html", words=words, found=None, refused=str(error), coming=(), by_branch=())
    if [piece.tag.casefold() for piece in found.pieces] == [words.casefold()]:
        return redirect(url_for("pieces.show", tag=found.pieces[0].tag), 303)
    coming = promised_lines(promised_like(catalogue(), words))
    return render_template("find.html", words=words, found=found, refused="", coming=coming, by_branch=_by_branch(found.pieces))


def _by_branch(found: tuple[Piece, ...]) -> list[tuple[str, list[Piece]]]:
    """Pieces found by who works from a branch or van: those there first, then all others; else as they were found."""
    own = here_now()
    if not own.name:
        return []
    here = [piece for piece in found if own.has(piece)]
    rest = [piece for piece in found if not own.has(piece)]
    return [group for group in ((f"At {own.name}", here), ("Elsewhere", rest)) if group[1]]


@area.get("/pieces/<path:tag>")
@needs(Role.LOOK)
def show(tag: str) -> str:
    """All about one piece."""
    role = asking().role
    shown, life = shown_told(role, show_piece(catalogue(), tag)), life_told(role, history_of(catalogue(), tag))
    return render_template(
        "piece.html",
        piece=shown.piece,
        **goals_from(shown.piece),
        style=shown.style,
        standing=shown.standing,
        customer=shown.customer,
        more=(*style_lines(shown.style, reader_unit()), *more_lines(shown.piece, reader_unit(), seen_by=role)),
        drawing=piece_drawing(shown),
        papers=PAPER_WORDS,
        paper=usual_paper(),
        did=_did(life, digits(request.args.get("did", ""))),
        photos=photos_shown(catalogue(), shown.piece.tag, role),
        life_told=life_lines(life.standing, parents=life.parents, offcuts=life.offcuts),
        life_rows=page_tables((life_table(life.entries, reader_unit(), seen_by=role),))[0],
    )


def _did(life: Life, number: int | None) -> str:
    """What one has just done to the piece, in words, while nothing happened to it since."""
    if number is None or number != life.standing.version or not asking().role.covers(Role.WORK):
        return ""
    own = (entry for entry in life.entries if entry.number == number and entry.signed.who == asking().name)
    found = next(own, None)
    return f"{life.standing.piece.tag} is {found.act.value}" if found else ""


@area.get("/suggest")
@needs(Role.LOOK)
def suggest() -> Response:
    """Styles, colours and lots like the words, for a form to offer as one types."""
    words = request.args.get("words", "").strip()
    asked = 0 < len(words) <= NAME_CHARACTERS  # longer than any name: nothing is like it, and a part of it would be like others
    found = find_pieces(catalogue(), words, most=PIECES_FOUND) if asked else Found("", ())
    names = {
        key: list(dict.fromkeys(text for piece in found.pieces if (text := getattr(piece, key))))[:MOST_SUGGESTED]
        for key in ("style", "colour", "lot")
    }
    return jsonify(names)


def piece_drawing(shown: Shown) -> Markup:
    """The piece to scale, as it lies before the next cut."""
    return on_page(donor_drawing(shown.piece, shown.style, cuts=(), leftovers=(), unit=reader_unit(), paper=SCREEN), 1)
