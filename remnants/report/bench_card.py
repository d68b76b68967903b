"""The bench card: all that a bench needs to cut one donor, on its first page; more of the key runs on where it must."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from remnants.belonging import consent_words
from remnants.errors import NotFound
from remnants.materials.cautions import Caution
from remnants.materials.cuts import cuts_of, donor_cuts, donors_of
from remnants.materials.lifting import piece_load
from remnants.materials.steps import Setting
from remnants.model import Job, Piece, Plan
from remnants.report.board import Paper
from remnants.report.code import code_area
from remnants.report.diagram import donor_picture
from remnants.report.donor_view import donor_scale
from remnants.report.flow import (
    SLACK_MM,
    Block,
    beside,
    caution,
    drawing_block,
    gap,
    heading,
    marks_block,
    new_page,
    taken_mm,
    text,
    title,
)
from remnants.report.plan_pages import Redrawn, fitted_drawing, key_blocks
from remnants.report.wording import VERDICTS, bearing_text, extent_text, piece_line, scale_text, spare_lines, where_text
from remnants.units import write_length

__all__ = ["Carded", "bench_cards"]

CODE_MM = 20.0
KEY_MM = 76.0
GAP_MM = 6.0
"""The width of a key beside its drawing, with what is left free between them."""

BESIDE_TOP_MM = 8.0
"""A key beside a drawing begins about where the carpet does."""

LEAST_MM = 110.0
"""A drawing gets this much height at least: then its key runs on over the page."""


@dataclass(frozen=True)
class Carded:
    """What a card is made from; `link` is what its code holds. With `back` it is drawn for cutting from the back."""

    plan: Plan
    job: Job
    setting: Setting
    link: str = ""
    back: bool = False


def bench_cards(carded: Carded, room: tuple[float, float], above: Sequence[Block] = ()) -> Iterator[Block]:
    """A card for each donor, in the order in which they are cut, each on a new page of `room` mm but the first.

    `above` stands over the first.

    Raises NotFound when a donor is not among the pieces.
    """
    for number, tag in enumerate(donors_of(carded.plan)):
        piece = carded.setting.pieces.get(tag)
        if piece is None:
            raise NotFound(f"the plan cuts {tag!r}, which is not among the pieces given; draw it with the stock it was made from")
        if number:
            yield new_page()
        yield from _card(carded, piece, room, () if number else above)


def _card(carded: Carded, piece: Piece, room: tuple[float, float], above: Sequence[Block]) -> Iterator[Block]:
    """The card with its key under the drawing, or beside it where carpet that is long and narrow is drawn larger so."""
    head, foot = [*above, *_head(carded, piece, room[0])], list(_foot(carded, piece))
    picture = _pictured(carded, piece)
    keys = list(key_blocks(picture.on(Paper(room[0], room[1], 0.5, keyed=False, headed=False, slim=True)), small=True))
    free = room[1] - taken_mm([*head, *foot, text("scale", small=True)], room[0]) - SLACK_MM
    under = fitted_drawing(picture.on, room[0], max(LEAST_MM, free - taken_mm(keys, room[0])))
    aside = fitted_drawing(picture.on, room[0] - KEY_MM, free) if taken_mm(keys, KEY_MM - GAP_MM) <= free else under
    yield from head
    if aside.scale < under.scale:
        yield text(scale_text(aside.scale, carded.setting.unit), small=True)
        yield beside(drawing_block(aside), [gap(BESIDE_TOP_MM), *key_blocks(aside, small=True)], room[0], KEY_MM - GAP_MM)
    else:
        yield text(scale_text(under.scale, carded.setting.unit), small=True)
        yield drawing_block(under)
        yield from key_blocks(under, small=True)
    yield from foot


def _pictured(carded: Carded, piece: Piece) -> Redrawn:
    plan, unit, pieces, styles = carded.plan, carded.setting.unit, carded.setting.pieces, carded.setting.styles
    return Redrawn(
        lambda paper: donor_scale(piece, unit=unit, paper=paper),
        lambda paper: donor_picture(plan, piece.tag, pieces=pieces, styles=styles, unit=unit, paper=paper, back=carded.back),
    )


def _by_tape(carded: Carded, piece: Piece) -> Iterator[str]:
    """The donor and the patches cut from it that were measured from a photograph."""
    given = {patch.name for patch in carded.plan.patches for part in patch.parts if part.piece == piece.tag}
    bars = [(piece.tag, piece.photo_bar_mm)]
    bars += [(patch.name, patch.photo_bar_mm) for patch in carded.job.patches if patch.name in given]
    told = ", ".join(f"{name} within {write_length(bar, carded.setting.unit)}" for name, bar in bars if bar)
    if told:
        yield f"Check with a tape: measured from a photograph, {told}."


def _head(carded: Carded, piece: Piece, room: float) -> Iterator[Block]:
    plan, setting = carded.plan, carded.setting
    load = piece_load(piece, setting.styles.get(piece.style), setting.rules)
    weight = f"about {load.mass_kg:.1f} kg{', two people' if load.heavy else ''}"
    bearing = -piece.pile_deg if carded.back else piece.pile_deg
    lines = (
        f"{VERDICTS[plan.verdict].capitalize()}. To cut: {_patches_of(carded, piece)}.",
        ", ".join(each for each in (where_text(piece, plan.asking), f"wear {piece.worn} of 4", weight) if each),
        f"{extent_text(piece.outline.ring, setting.unit)}, pile {bearing_text(bearing)}",
        *_by_tape(carded, piece),
    )
    left = [
        title(carded.job.name),
        heading(f"{piece.tag}: {piece_line(piece)}", small=True),
        *(text(line, small=True) for line in lines),
    ]
    code = marks_block((code_area(carded.link or f"job {carded.job.name}", CODE_MM),), (CODE_MM, CODE_MM))
    yield beside(left, code, room, CODE_MM)
    if carded.back:
        yield text("BACK UP. This card is mirrored: turn the piece over sideways, so that edge A lies at your right.")
    for each in plan.asking:
        if each.piece == piece.tag:
            yield caution(f"Ask first: {consent_words(each, setting.pieces)}", small=True)


def _patches_of(carded: Carded, piece: Piece) -> str:
    cuts = donor_cuts(cuts_of(carded.plan), piece.tag)
    return ", ".join(dict.fromkeys(cut.patch for cut in cuts))


def _foot(carded: Carded, piece: Piece) -> Sequence[Block]:
    lines = spare_lines(carded.plan, carded.job, carded.setting.unit)
    return [*(text(line, small=True) for line in lines), caution(Caution.KNIFE.value.text, small=True)]
