"""Counting a place: what should lie there, what was seen, and the count booked after a look at both."""

from collections.abc import Callable, Mapping

from flask import Blueprint, jsonify, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.booking import answered
from remnants.actions.count_place import LONG, Seen, SeenTag, book_count, count_mark, count_place, look_at, place_named, places
from remnants.actions.places import place_meant
from remnants.actions.rack import count_at, pieces_at
from remnants.actions.show_piece import show_piece
from remnants.actions.undo import undo_count
from remnants.errors import BadInput, Fault, NotFound, StockChanged
from remnants.limits import COUNTED_CHARACTERS
from remnants.model import Role
from remnants.report.counts import handed_over_words
from remnants_web.access import needs, signature
from remnants_web.choices import digits
from remnants_web.leaves import leaf_of_places
from remnants_web.own_branch import branch_told
from remnants_web.scanned import tag_of
from remnants_web.sent_texts import sent_key, sent_place
from remnants_web.shapes import Typed
from remnants_web.shop import catalogue

__all__ = ["area", "compared_again"]

area = Blueprint("count", __name__, url_prefix="/count")

MOST_LISTED = 400
"""Pieces that are listed to be ticked; of more it is told how many there are."""

MOST_TOLD = 200
"""Pieces that are listed of each outcome of a count, so that a page of all outcomes stays under 300 KB."""


SEEN = "seen "
"""What the name of a ticked piece's field begins with; its tag follows."""

_TOLD: dict[Seen, Callable[[SeenTag], str]] = {
    Seen.HERE: lambda _: "here",
    Seen.ELSEWHERE: lambda found: f"by the book at {found.place or 'no place'}; booking moves it here",
    Seen.GONE: lambda found: f"by the book {found.words}, so it can't be counted",
    Seen.UNKNOWN: lambda _: "no piece has this tag; read it again, or log it after the count",
}


@area.get("")
@needs(Role.WORK)
def where() -> str | Response:
    """Which place."""
    meant = place_meant(catalogue(), sent_place(), own=branch_told()) if sent_place() else None
    if meant and not meant.asks:
        return redirect(url_for("count.ask", place=meant.place), 303)
    every = places(catalogue())
    leaf = leaf_of_places(len(every), request.args.get("leaf", ""))
    return render_template("count_where.html", places=leaf.of(every), leaf=leaf, which=meant.others if meant else ())


@area.get("/<path:place>")
@needs(Role.WORK)
def ask(place: str) -> str:
    """What should lie at the place, to be ticked, scanned or typed."""
    return _page(place, {})


@area.post("")
@needs(Role.WORK)
def compare() -> str | tuple[str, int]:
    """What the tags seen say of the place. Nothing is changed yet."""
    place = _place()
    try:
        tags = _seen()
        count = count_place(catalogue(), place, tags)
    except BadInput as error:
        return _again(place, error)
    over = [(standing.piece.tag, handed_over_words(standing, to)) for standing, to in count.handed_over]
    told = {"count": count, "tags": tags, "handed_over": over, "most": MOST_TOLD, "long": LONG}
    return render_template("counted.html", **told, shown=count_mark(count))


@area.get("/<path:place>/seen.json")
@needs(Role.WORK)
def seen(place: str) -> Response:
    """What the books say of one tag that was scanned at the place, to be told while the piece is in hand."""
    found = look_at(catalogue(), place, tag_of(request.args.get("tag", "")))
    return jsonify({"tag": found.tag, "told": _TOLD[found.how](found)})


@area.post("/book")
@needs(Role.WORK)
def book() -> Response | tuple[str, int]:
    """Books the count that was looked at: one entry a piece, all of them or none. Sent again it is booked already.

    Raises StockChanged when it comes out otherwise than it was shown, as when somebody moved a piece meanwhile.
    """
    place = _place()
    key = sent_key()
    try:
        tags = _seen()
        if not answered(catalogue(), key):
            count = count_place(catalogue(), place, tags)
            if count_mark(count) != request.form.get("shown"):
                raise StockChanged(f"{place!r} is not as this count was shown, so nothing was booked; compare it again")
            book_count(catalogue(), count, signed=signature(), key=key)
    except BadInput as error:
        return _again(place, error)
    return redirect(url_for("racks.show", place=place, counted=_last(place, tags)), 303)


@area.post("/<path:place>/undo")
@needs(Role.WORK)
def undo(place: str) -> Response:
    """Takes a whole count back, by one of its pieces and the number of that one's entry."""
    tag, seen = request.form.get("tag", ""), digits(request.form.get("seen", ""))
    if seen is None:
        raise BadInput([Fault("seen", "open the count's page again and take it back from there")])
    back = undo_count(catalogue(), tag, seen=seen, signed=signature(), key=sent_key())
    return redirect(url_for("racks.show", place=place, back=len(back)), 303)


def compared_again(form: Typed, _: bool) -> str:
    """What was seen, as it was sent when its maker's session was over."""
    place = place_named(catalogue(), form["place"])
    return _page(place, form)


def _last(place: str, tags: tuple[str, ...]) -> str:
    """The number of the last entry of a piece that was counted, and its tag: `57 R-0001`."""
    for tag in (*tags, *(standing.piece.tag for standing in pieces_at(catalogue(), place, most=1))):
        try:
            standing = show_piece(catalogue(), tag).standing
        except NotFound:
            continue
        return f"{standing.version} {standing.piece.tag}"
    return "yes"


def _again(place: str, error: BadInput) -> tuple[str, int]:
    return _page(place, request.form, faults=error.faults), 422


def _page(place: str, form: Mapping[str, str], *, faults: tuple[Fault, ...] = ()) -> str:
    return render_template(
        "count.html",
        place=place,
        expected=pieces_at(catalogue(), place, most=MOST_LISTED),
        count=count_at(catalogue(), place),
        typed=form.get("typed", ""),
        ticked=[name.removeprefix(SEEN) for name in form if name.startswith(SEEN)],
        faults=faults,
    )


def _place() -> str:
    """The place that was counted. Raises BadInput when none is named."""
    place = place_named(catalogue(), sent_place())
    if not place:
        raise BadInput([Fault("place", "say which place was counted, such as Bay 3")])
    return place


def _seen() -> tuple[str, ...]:
    """The tags that were ticked, then those that were scanned or typed, each once.

    Raises BadInput where more is typed than can be counted: a tag that was cut off would count as missing.
    """
    ticked = [name.removeprefix(SEEN) for name in request.form if name.startswith(SEEN)]
    typed = request.form.get("typed", "")
    if len(typed) > COUNTED_CHARACTERS:
        told = f"{len(typed):,} characters of tags, and at most {COUNTED_CHARACTERS:,} are counted at once"
        raise BadInput([Fault("typed", f"{told}; nothing was counted. Give parts of the place names of their own")])
    return tuple(dict.fromkeys(tag for text in (*ticked, *typed.splitlines()) if (tag := tag_of(text))))
