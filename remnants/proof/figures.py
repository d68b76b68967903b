"""Questions about the sentences of a plan: do the figures and words in them say what its parts come to?

A sentence is held to what it says. Where it has none of the phrases asked for here it says nothing that is wrong.
"""

import re
from collections.abc import Iterator, Sequence

from remnants.errors import BadMeasure, Fault
from remnants.model.patch import Patch
from remnants.model.plan import Seam, SeamKind, Show
from remnants.model.style import Repeat
from remnants.proof.case import Case, Meeting, Pair, Question
from remnants.proof.cutting import strips
from remnants.proof.filling import kind_of, meant
from remnants.proof.lines import TOLERANCE_MM, Point
from remnants.proof.motion import turned
from remnants.units import MM_PER_IN, Unit, is_imperial, parse_length

__all__ = ["QUESTIONS"]

SIZE = re.compile(r"([^;:,]+?) across by ([^;:,]+?) along the pile, allowance included")
PARTS = re.compile(r"\b(one|two|three|four) parts (?:side by side|end to end|together) make it")
COUNTS = ("no", "one", "two", "three", "four")
KIND = re.compile(r"\b(side|cross|angled) seam\b")
STRENGTH = re.compile(r"\b(should hardly show|will show slightly|will show strongly|will show)\b")
SHOWS = {
    "should hardly show": Show.HARDLY,
    "will show slightly": Show.SLIGHTLY,
    "will show": Show.CLEARLY,
    "will show strongly": Show.STRONGLY,
}
REPEATS = re.compile(r"pattern repeats ([0-9.]+) times")
ROUNDED, STRAY = 0.05, 1e-4
"""A number of repeats is told to one decimal; and the share by which the length of a seam may stray."""


def sizes_told(case: Case) -> Iterator[Fault]:
    """Is the size told of a whole patch's cut the one that it has?"""
    for pair in case.pairs:
        if pair.complete and len(pair.laid) == 1:
            yield from _size_faults(case, f"{pair.where}.reason", pair.made.reason, pair.patch, pair.laid[0].lies.rings[0])


def needs_told(case: Case) -> Iterator[Fault]:
    """Is the size told of a patch that can't be made the one that it needs, its allowances included?"""
    for number, short in enumerate(case.plan.short):
        for pair in case.pairs:
            if pair.patch.name == short.patch and not pair.made.parts:
                extras = [case.job.allowance.of(edge) for edge in pair.patch.edges]
                ring = pair.outline.rings[0]
                needed = [*ring, *(point for _, region in strips(ring, extras) for point in region.rings[0])]
                yield from _size_faults(case, f"short[{number}].reason", short.reason, pair.patch, needed)
                if pair.made.reason != short.reason:
                    yield Fault(f"short[{number}].reason", f"{pair.where} tells another one")


def _size_faults(case: Case, where: str, text: str, patch: Patch, points: Sequence[Point]) -> Iterator[Fault]:
    """Faults of each size in a text, against the extents of the points (patch axes, mm) across and along the pile."""
    laid = [turned(point, -patch.pile_deg) for point in points]
    for found in SIZE.finditer(text):
        for axis, word in enumerate(("across", "along")):
            due = max(point[axis] for point in laid) - min(point[axis] for point in laid)
            told = found[axis + 1].rsplit(" is ", 1)[-1].rsplit(" needs ", 1)[-1]
            if not _reads(told, due, Unit(case.plan.unit)):
                yield Fault(where, f"{told} {word} told; it is {due:.2f} mm")


def _reads(told: str, due_mm: float, unit: Unit) -> bool:
    """True if the text is the length, as far as lengths are rounded where they are written: to 1/16 in or 1 mm."""
    step_mm = MM_PER_IN / 16 if is_imperial(unit) else 1.0
    try:
        return abs(parse_length(told, unit) - due_mm) <= step_mm / 2 + 2 * TOLERANCE_MM
    except BadMeasure:
        return False


def parts_told(case: Case) -> Iterator[Fault]:
    """Does the reason of a joined patch tell as many parts as it has, and seams as they run?"""
    for pair in case.pairs:
        for found in PARTS.finditer(pair.made.reason):
            if COUNTS.index(found[1]) != len(pair.made.parts):
                yield Fault(f"{pair.where}.reason", f"{found[1]} parts told; it has {len(pair.made.parts)}")
            yield from _way_faults(pair, pair.made.reason[found.end() :])


def _way_faults(pair: Pair, told: str) -> Iterator[Fault]:
    kinds = {kind_of(meeting, pair.patch.pile_deg) for meeting in pair.meetings if pair.complete}
    ways = {"along": SeamKind.SIDE in kinds, "across": kinds > {SeamKind.SIDE} or (bool(kinds) and SeamKind.SIDE not in kinds)}
    for way, due in ways.items():
        if kinds and (f"a seam {way} the pile" in told) is not due:
            yield Fault(f"{pair.where}.reason", f"a seam {way} the pile is {'not told' if due else 'told, and there is none'}")


def seams_told(case: Case) -> Iterator[Fault]:
    """Does the sentence of each seam name it as it runs, and as it is told to show?"""
    for pair, where, seam, meeting in _meant(case):
        due = kind_of(meeting, pair.patch.pile_deg)
        for found in KIND.finditer(seam.sentence):
            if found[1] != due.value:
                yield Fault(f"{where}.sentence", f"{found[1]} seam told; it is {due}")
        strength = STRENGTH.search(seam.sentence)
        if strength and SHOWS[strength[1]] is not seam.show:
            yield Fault(f"{where}.sentence", f"it {strength[1]}, while {seam.show} is told")


def repeats_told(case: Case) -> Iterator[Fault]:
    """Are as many repeats told along a seam as there are?"""
    for pair, where, seam, meeting in _meant(case):
        repeats = [repeat for number in meeting.parts if (repeat := _repeat(case, pair, number))]
        side = kind_of(meeting, pair.patch.pile_deg) is SeamKind.SIDE
        due = {max(meeting.length_mm / (repeat.along_mm if side else repeat.across_mm), 1.0) for repeat in repeats}
        for found in REPEATS.finditer(seam.sentence):
            if not any(abs(float(found[1]) - count) <= ROUNDED + count * STRAY for count in due):
                counts = " or ".join(f"{count:.2f}" for count in sorted(due)) or "none"
                yield Fault(f"{where}.sentence", f"{found[1]} repeats told; {counts} lie along it")


def _repeat(case: Case, pair: Pair, number: int) -> Repeat | None:
    piece = case.pieces.get(pair.made.parts[number].piece)
    style = case.styles.get(piece.style) if piece is not None else None
    return style.repeat if style is not None else None


def _meant(case: Case) -> Iterator[tuple[Pair, str, Seam, Meeting]]:
    for pair in case.pairs:
        for index, seam in enumerate(pair.made.seams):
            meeting = meant(pair, seam)
            if meeting is not None:
                yield pair, f"{pair.where}.seams[{index}]", seam, meeting


QUESTIONS: tuple[Question, ...] = (
    sizes_told,
    needs_told,
    parts_told,
    seams_told,
    repeats_told,
)
