"""Labels as a PDF or as pictures for a label printer, from the page of a piece or of a place."""

from io import BytesIO
from zipfile import ZIP_STORED, ZipFile, ZipInfo

from flask import Blueprint, Response, request

from remnants.actions.ledger_head import head_note
from remnants.actions.make_sheet import fonts
from remnants.actions.pick_pieces import pick_pieces, received_together
from remnants.actions.rack import count_at, pieces_at
from remnants.errors import BadInput, Fault
from remnants.limits import TAGS_PRINTED, TEXT_CHARACTERS
from remnants.model import Piece, Role
from remnants.report.dots import RESOLUTIONS, label_png, read_label_size
from remnants.report.labels import SHEETS, Rack, labels_of, labels_pdf, one_label
from remnants_web.access import needs
from remnants_web.choices import digits
from remnants_web.handed_out import handed_out
from remnants_web.leaves import leaf_of_pieces
from remnants_web.sent_texts import within
from remnants_web.shapes import collected
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
_LABEL_COOKIE = "remnants-label"
_YEAR_S = 365 * 24 * 3600


@area.get("/tags.pdf")
@needs(Role.WORK)
def pdf() -> Response:
    """The labels of what is asked for, see `_asked_for`, on `paper`, the first `skip` left empty."""
    asked = request.args
    paper = PAPERS.get(asked.get("paper") or usual_paper())
    skip = asked.get("skip", "").strip() or "0"
    faults = []
    if paper is None:
        faults.append(Fault("paper", f"{asked['paper'][:40]!r} is not one of: {', '.join(PAPERS)}"))
    if not (skip.isascii() and skip.isdigit() and len(skip) < 4):
        faults.append(Fault("skip", f"{skip[:40]!r} is no number of labels: give 0 or more"))
    things = _asked_for(faults)
    if paper is None or faults:
        raise BadInput(faults)
    notes = {"note": settings().paper_note, "witness": head_note(catalogue())}
    made = labels_pdf(things, fonts(), sheet=paper, skip=int(skip), **notes)
    answer = handed_out(made, "tags.pdf", of=_count_words(things))
    if asked.get("paper"):
        _keep(answer, _COOKIE, asked["paper"])
    return answer


@area.get("/tags.png")
@needs(Role.WORK)
def png() -> Response:
    """The labels as pictures of a label printer's dots, `label` large, `dots` to the inch: one, or several in an archive."""
    asked, faults = request.args, list[Fault]()
    size = collected(faults, read_label_size, asked.get("label") or usual_label()[0])
    dots = RESOLUTIONS.get(digits(asked.get("dots") or usual_label()[1]) or 0)
    if dots is None:
        faults.append(Fault("dots", f"{asked['dots'][:40]!r} is not one of: {', '.join(map(str, RESOLUTIONS))}"))
    things = _asked_for(faults)
    if size is None or dots is None or faults:
        raise BadInput(faults)
    labels = labels_of(things, size, note=settings().paper_note, witness=head_note(catalogue()))
    made = [label_png(label, fonts(), size_mm=size, dots_per_mm=dots) for label in labels]
    told = _count_words(things)
    answer = handed_out(made[0], "tag.png", of=told) if len(made) == 1 else handed_out(_archive(made), "tags.zip", of=told)
    _keep(answer, _LABEL_COOKIE, f"{asked.get('label') or usual_label()[0]}|{asked.get('dots') or usual_label()[1]}")
    return answer


def _archive(pictures: list[bytes]) -> bytes:
    """The pictures in one file, numbered in their order; they are packed already."""
    out = BytesIO()
    with ZipFile(out, "w", ZIP_STORED) as archive:
        for number, picture in enumerate(pictures, 1):
            archive.writestr(ZipInfo(f"tag-{number:03d}.png"), picture)
    return out.getvalue()


def _count_words(things: list[Piece | Rack]) -> str:
    """For the door book: `2 pieces`, `1 rack`."""
    racks = sum(isinstance(thing, Rack) for thing in things)
    told = ((len(things) - racks, "piece"), (racks, "rack"))
    return " and ".join(f"{count} {word}{'s' * (count != 1)}" for count, word in told if count)


def _keep(answer: Response, name: str, text: str) -> None:
    answer.set_cookie(name, text, max_age=_YEAR_S, secure=settings().https, httponly=True, samesite="Lax")


def _asked_for(faults: list[Fault]) -> list[Piece | Rack]:
    """The `rack`s asked for, then the pieces named by `tag`, that came in `together` by their booking's number, or at `place`.

    Of a place with more than a page lists it is those of one `leaf`, where one is asked for. What is wrong goes to `faults`,
    and nothing is looked up then.
    """
    asked = request.args
    together = digits(asked.get("together", ""))
    tags = asked.getlist("tag") + list(received_together(catalogue(), together) if together is not None else ())
    tags, place = _named(tags, asked.get("place", ""), asked.get("leaf", ""))
    racks = [within(rack, "rack", TEXT_CHARACTERS) for rack in asked.getlist("rack") if rack.strip()]
    count = len(tags) + len(racks) + (count_at(catalogue(), place) if place else 0)
    if count > TAGS_PRINTED:
        told = f"{count:,} tags, and at most {TAGS_PRINTED} are printed at once: print them in several goes"
        faults.append(Fault("tag", told))
    if not tags and not place and not racks:
        faults.append(Fault("tag", "say which pieces: a tag or a place"))
    if faults:
        return []
    return [*map(Rack, racks), *(standing.piece for standing in pick_pieces(catalogue(), tags, place=place))]


def _named(tags: list[str], place: str, leaf: str) -> tuple[list[str], str]:
    """The tags that are asked for and those of the place's leaf, if one is asked for; else the place."""
    if not (place and leaf):
        return tags, place
    shown = leaf_of_pieces(count_at(catalogue(), place), leaf)
    there = pieces_at(catalogue(), place, after=shown.skipped, most=shown.most)
    return [*tags, *(standing.piece.tag for standing in there)], "" if there else place


@area.app_context_processor
def _for_every_page() -> dict[str, object]:
    return {"usual_label": usual_label}


def usual_label() -> tuple[str, str]:
    """How large a label was printed as a picture from this device last, and with how many dots to the inch."""
    size, _, dots = request.cookies.get(_LABEL_COOKIE, "").partition("|")
    return (size, dots) if size and digits(dots) in RESOLUTIONS else ("62 x 29 mm", "203")


def usual_paper() -> str:
    """What was printed on from this device last."""
    kept = request.cookies.get(_COOKIE, "")
    return kept if kept in PAPERS else next(iter(PAPERS))
