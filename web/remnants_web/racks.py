"""What lies where, drawn to scale; and how much of each style there is."""

from flask import Blueprint, render_template, request

from remnants.actions.rack import Whereabouts, pieces_at, place_shares, shares
from remnants.actions.told_to import standings_told
from remnants.limits import NAME_CHARACTERS
from remnants.model import Role
from remnants.report.rack_view import rack_bar, rack_drawings
from remnants_web.access import asking, needs
from remnants_web.choices import digits
from remnants_web.figures import on_page
from remnants_web.shop import catalogue
from remnants_web.tags import PAPER_WORDS, usual_paper
from remnants_web.words import reader_unit

__all__ = ["area"]

area = Blueprint("racks", __name__, url_prefix="/racks")


@area.get("")
@needs(Role.LOOK)
def every() -> str:
    """All places, ours, in vans and with customers, or those with the words asked for; and the share of each style."""
    words = request.args.get("words", "").strip()[:NAME_CHARACTERS]
    found = place_shares(catalogue(), words)
    groups = [(where, [share for share in found if share.where is where]) for where in Whereabouts]
    return render_template("racks.html", words=words, groups=[each for each in groups if each[1]], shares=shares(catalogue()))


@area.get("/<path:place>")
@needs(Role.LOOK)
def show(place: str) -> str:
    """One place."""
    number, _, tag = request.args.get("counted", "").partition(" ")
    standings = standings_told(asking().role, pieces_at(catalogue(), place))
    pieces = [standing.piece for standing in standings]
    shapes = [on_page(drawing, number) for number, drawing in enumerate(rack_drawings(pieces), 1)]
    return render_template(
        "rack.html",
        place=place,
        standings=standings,
        shapes=shapes,
        bar=on_page(rack_bar(pieces, reader_unit()), 0),
        counted="counted" in request.args,
        seen=digits(number),
        counted_by=tag,
        taken_back=digits(request.args.get("back", "")),
        papers=PAPER_WORDS,
        paper=usual_paper(),
    )
