"""What a photograph's bar makes of an answer: what it makes fits for sure, what it does not may fit within the bar, or does not.

Outlines out of photographs are on the safe side already: a patch larger by its bar, a piece smaller. So a plan with them holds,
95 times of 100. Where there is none, it is looked whether there would be one as the photograph read, without its bar.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace

from remnants.actions.fitted import Fitted
from remnants.exchange import Stock
from remnants.geometry.grow import drawn_in, grown
from remnants.geometry.outline import Outline
from remnants.model import Job, Patch, Piece, Plan, Verdict
from remnants.report.measured_text import bar_text
from remnants.units import Unit

__all__ = ["photo_notes"]


def photo_notes(stock: Stock, job: Job, fitted: Fitted, answer: Callable[[Stock, Job], Plan]) -> tuple[str, ...]:
    """What to say of patches and pieces that were measured from a photograph; nothing where none was."""
    return tuple(_notes(stock, job, fitted.plan, answer))


def _notes(stock: Stock, job: Job, plan: Plan, answer: Callable[[Stock, Job], Plan]) -> Iterator[str]:
    unit, pieces = Unit(job.unit), stock.piece_of
    by_name = {patch.name: patch for patch in job.patches}
    for made in plan.patches:
        if made.verdict is Verdict.NONE or made.name not in by_name:
            continue
        bars = [(made.name, by_name[made.name].photo_bar_mm)]
        bars += [(tag, pieces[tag].photo_bar_mm) for tag in dict.fromkeys(part.piece for part in made.parts) if tag in pieces]
        told = ", ".join(f"{name} {bar_text(bar, unit)}" for name, bar in bars if bar)
        if told:
            yield f"{made.name} fits for sure as far as its photograph goes ({told}). Check with a tape before you cut"
    open_ones = {short.patch for short in plan.short}
    if not open_ones or not (any(patch.photo_bar_mm for patch in job.patches) or any(each.photo_bar_mm for each in stock.pieces)):
        return
    read = answer(
        replace(stock, pieces=tuple(_as_read(piece) for piece in stock.pieces)),
        replace(job, patches=tuple(_patch_as_read(patch) for patch in job.patches)),
    )
    for made in read.patches:
        if made.name in open_ones and made.verdict is not Verdict.NONE:
            tags = ", ".join(dict.fromkeys(part.piece for part in made.parts))
            yield f"{made.name} may fit, out of {tags}: it does as the photograph read, not within its bar. Measure with a tape"


def _as_read(piece: Piece) -> Piece:
    """The piece as large as the photograph read, without its bar."""
    if not piece.photo_bar_mm:
        return piece
    ring = grown(piece.outline.ring, [piece.photo_bar_mm] * len(piece.outline.ring))
    return replace(piece, outline=Outline(ring, piece.outline.cutouts))


def _patch_as_read(patch: Patch) -> Patch:
    """The patch as small as the photograph read; as it is where that would take an edge."""
    if not patch.photo_bar_mm:
        return patch
    left = drawn_in(Outline(patch.ring), patch.photo_bar_mm)
    if len(left) != 1 or len(left[0].ring) != len(patch.ring):
        return patch
    start = min(range(len(patch.ring)), key=lambda at: _apart(left[0].ring[at], patch.ring[0]))
    return replace(patch, ring=(*left[0].ring[start:], *left[0].ring[:start]))


def _apart(one: tuple[float, float], other: tuple[float, float]) -> float:
    return (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2
