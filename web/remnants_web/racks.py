"""What lies where, drawn to scale; and how much of each style there is."""

from flask import Blueprint, render_template, request

from remnants.actions.branches import has_branches
from remnants.actions.rack import PlaceShare, Whereabouts, count_at, pieces_at, place_shares, shares
from remnants.actions.told_to import standings_told
from remnants.limits import NAME_CHARACTERS
from remnants.model import Role
from remnants.report.rack_view import rack_bar, rack_drawings
from remnants_web.access import asking, needs
from remnants_web.choices import digits
from remnants_web.figures import on_page
from remnants_web.leaves import leaf_of_pieces, leaf_of_places
from remnants_web.own_branch import branch_told
from remnants_web.shop import catalogue
from remnants_web.tags import PAPER_WORDS, usual_paper
from remnants_web.words import reader_unit

__all__ = ["area"]

area = Blueprint("racks", __name__, url_prefix="/racks")


@area.get("")
@needs(Role.LOOK)
def every() -> str:
    """Places, ours, in vans, with customers: all or those with the words asked for, leaf by leaf; and the share of each style."""
    words, only = request.args.get("words", "").strip()[:NAME_CHARACTERS], branch_told()
    found = place_shares(catalogue(), words, own=only)
    leaf = leaf_of_places(len(found), request.args.get("leaf", ""))
    shown = leaf.of(found)
    groups = [
        (group, [share for share in found if _group(share) == group], here)
        for group in dict.fromkeys(map(_group, found))
        if (here := [share for share in shown if _group(share) == group])
    ]
    branches = has_branches(catalogue())
    return render_template(
        "racks.html", words=words, only=only, groups=groups, leaf=leaf, shares=shares(catalogue()), branches=branches
    )


def _group(share: PlaceShare) -> str:
    """Under which heading a place stands: of several branches, its own."""
    return f"At {share.branch}" if share.branch and share.where is Whereabouts.STORE else share.where


@area.get("/<path:place>")
@needs(Role.LOOK)
def show(place: str) -> str:
    """One place, its pieces leaf by leaf."""
    number, _, tag = request.args.get("counted", "").partition(" ")
    leaf = leaf_of_pieces(count_at(catalogue(), place), request.args.get("leaf", ""))
    there = pieces_at(catalogue(), place, after=leaf.skipped, most=leaf.most)
    standings = standings_told(asking().role, there)
    pieces = [standing.piece for standing in standings]
    shapes = [on_page(drawing, number) for number, drawing in enumerate(rack_drawings(pieces), 1)]
    return render_template(
        "rack.html",
        place=place,
        standings=standings,
        leaf=leaf,
        shapes=shapes,
        bar=on_page(rack_bar(pieces, reader_unit()), 0),
        counted="counted" in request.args,
        seen=digits(number),
        counted_by=tag,
        taken_back=digits(request.args.get("back", "")),
        papers=PAPER_WORDS,
        paper=usual_paper(),
    )
