"""Labels as a PDF, from the page of a piece or of a place."""

from flask import Blueprint, Response, request

from remnants.actions.ledger_head import head_note
from remnants.actions.make_sheet import fonts
from remnants.actions.pick_pieces import pick_pieces, received_together
from remnants.actions.rack import count_at, pieces_at
from remnants.errors import BadInput, Fault
from remnants.limits import TAGS_PRINTED
from remnants.model import Role
from remnants.report.labels import SHEETS, labels_pdf, one_label
from remnants_web.access import needs
from remnants_web.choices import digits
from remnants_web.handed_out import handed_out
from remnants_web.leaves import leaf_of_pieces
from remnants_web.shop import catalogue, settings

__all__ = ["PAPERS", "PAPER_WORDS", "area", "usual_paper"]

area = Blueprint("tags", __name__)

PAPERS = {**SHEETS, "label-100x50": one_label(100, 50), "label-62x40": one_label(62, 40)}
"""What labels are printed on: sheets of them, or one at a time by a label printer."""

PAPER_WORDS = (
    ("a4-3x8", "A4 sheet, 3 by 8"),
    ("a4-2x7", "A4 sheet, 2 by 7"),
    ("a4-2x4", "A4 sheet, 2 by 4"),
    ("letter-3x10", "Letter sheet, 3 by 10"),
    ("letter-2x5", "Letter sheet, 2 by 5"),
    ("label-100x50", "label printer, 100 × 50 mm"),
    ("label-62x40", "label printer, 62 × 40 mm"),
)

_COOKIE = "remnants-paper"
_YEAR_S = 365 * 24 * 3600


@area.get("/tags.pdf")
@needs(Role.WORK)
def pdf() -> Response:
    """The labels of the pieces named by `tag` (once or more), that came in `together` by the number of their booking, or lying at
    `place`, on `paper`, the first `skip` left empty.

    Of a place with more than a page lists it is those of one `leaf`, where one is asked for.
    """
    asked = request.args
    paper = PAPERS.get(asked.get("paper") or usual_paper())
    skip = asked.get("skip", "").strip() or "0"
    faults = []
    if paper is None:
        faults.append(Fault("paper", f"{asked['paper'][:40]!r} is not one of: {', '.join(PAPERS)}"))
    if not (skip.isascii() and skip.isdigit() and len(skip) < 4):
        faults.append(Fault("skip", f"{skip[:40]!r} is no number of labels: give 0 or more"))
    together = digits(asked.get("together", ""))
    tags = asked.getlist("tag") + list(received_together(catalogue(), together) if together is not None else ())
    tags, place = _named(tags, asked.get("place", ""), asked.get("leaf", ""))
    count = len(tags) + (count_at(catalogue(), place) if place else 0)
    if count > TAGS_PRINTED:
        told = f"{count:,} tags, and at most {TAGS_PRINTED} are printed at once: print them in several goes"
        faults.append(Fault("tag", told))
    if not tags and not place:
        faults.append(Fault("tag", "say which pieces: a tag or a place"))
    if paper is None or faults:
        raise BadInput(faults)
    standings = pick_pieces(catalogue(), tags, place=place)
    shown = [standing.piece for standing in standings]
    notes = {"note": settings().paper_note, "witness": head_note(catalogue())}
    made = labels_pdf(shown, fonts(), sheet=paper, skip=int(skip), **notes)
    answer = handed_out(made, "tags.pdf", of=f"{len(shown)} piece{'s' * (len(shown) != 1)}")
    if asked.get("paper"):
        answer.set_cookie(_COOKIE, asked["paper"], max_age=_YEAR_S, secure=settings().https, httponly=True, samesite="Lax")
    return answer


def _named(tags: list[str], place: str, leaf: str) -> tuple[list[str], str]:
    """The tags that are asked for and those of the place's leaf, if one is asked for; else the place."""
    if not (place and leaf):
        return tags, place
    shown = leaf_of_pieces(count_at(catalogue(), place), leaf)
    there = pieces_at(catalogue(), place, after=shown.skipped, most=shown.most)
    return [*tags, *(standing.piece.tag for standing in there)], "" if there else place


def usual_paper() -> str:
    """What was printed on from this device last."""
    kept = request.cookies.get(_COOKIE, "")
    return kept if kept in PAPERS else next(iter(PAPERS))
