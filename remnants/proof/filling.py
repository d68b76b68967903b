"""Questions about the parts of a patch together: do they fill it, and are its seams where and what they are told to be?"""

import math
from collections.abc import Iterator
from itertools import combinations

from remnants.errors import Fault
from remnants.model.plan import Seam, SeamKind
from remnants.proof.case import Case, Meeting, Pair, Question
from remnants.proof.lines import TOLERANCE_MM, Point
from remnants.proof.motion import turned
from remnants.proof.regions import gaps, overlap_mm, sticks_out_mm

__all__ = ["QUESTIONS", "kind_of", "meant"]


def nets_inside(case: Case) -> Iterator[Fault]:
    """Does every net lie in its patch?"""
    for pair in case.pairs:
        for laid in pair.laid:
            if out := sticks_out_mm(laid.net, pair.outline):
                yield Fault(f"{laid.where}.net", f"reaches {out:.2f} mm outside the patch")


def nets_apart(case: Case) -> Iterator[Fault]:
    """Do no two nets of a patch lie on one another?"""
    for pair in case.pairs:
        for one, two in combinations(pair.laid, 2):
            if deep := overlap_mm(one.net, two.net):
                yield Fault(f"{one.where}.net", f"lies {deep:.2f} mm over that of part {two.number}")


def bare(case: Case) -> Iterator[Fault]:
    """Do the nets leave nothing of the patch bare?"""
    for pair in case.pairs:
        if pair.complete:
            found = gaps(pair.outline, [laid.net for laid in pair.laid])
            if found:
                most = max(found, key=lambda gap: gap.length_mm)
                yield Fault(pair.where, f"nothing lies beside {most.length_mm:.2f} mm from {_at(most.start)} to {_at(most.end)}")


def narrow(case: Case) -> Iterator[Fault]:
    """Is no part, square to any of its seams, narrower than the job allows?"""
    for pair in case.pairs:
        for meeting in pair.meetings:
            (x1, y1), (x2, y2) = meeting.line
            for laid in pair.laid:
                if laid.number not in meeting.parts:
                    continue
                across = [(x * (y2 - y1) - y * (x2 - x1)) / meeting.length_mm for x, y in laid.part.net]
                wide = max(across) - min(across)
                if wide < case.job.min_part_mm - TOLERANCE_MM:
                    yield Fault(laid.where, f"{wide:.2f} mm across its seam; {case.job.min_part_mm:g} mm is the least")


def seams_drawn(case: Case) -> Iterator[Fault]:
    """Is every seam told between two parts that meet, and drawn where they do?"""
    for pair, where, seam in _seams(case):
        if not all(0 <= number < len(pair.made.parts) for number in seam.parts) or seam.parts[0] == seam.parts[1]:
            yield Fault(where, f"told between the parts {list(seam.parts)}; the patch has {len(pair.made.parts)}")
            continue
        meeting = meant(pair, seam)
        if not pair.complete:
            continue
        if meeting is None:
            yield Fault(where, f"told between the parts {list(seam.parts)}, which don't meet")
        elif not (off := _off_mm(seam, meeting)) <= NEAR_MM:
            drawn, due = (f"from {_at(line[0])} to {_at(line[1])}" for line in (seam.line, meeting.line))
            yield Fault(where, f"drawn {drawn}; its parts meet {due}, {off:.2f} mm off")


def meetings_told(case: Case) -> Iterator[Fault]:
    """Is every stretch along which two parts meet told as a seam, once?"""
    for pair in case.pairs:
        told = [meant(pair, seam) for seam in pair.made.seams]
        for meeting in pair.meetings if pair.complete else ():
            if told.count(meeting) != 1:
                times = f"{told.count(meeting)} seams are" if meeting in told else "no seam is"
                parts = f"parts {meeting.parts[0]} and {meeting.parts[1]}"
                yield Fault(f"{pair.where}.seams", f"{parts} meet over {meeting.length_mm:.2f} mm, and {times} told")
        if len(pair.made.parts) < 2 and pair.made.seams:
            yield Fault(f"{pair.where}.seams", f"{len(pair.made.seams)} seams told of {len(pair.made.parts)} parts")


def seam_lengths(case: Case) -> Iterator[Fault]:
    """Is every seam told as long as its parts meet?"""
    for pair, where, seam in _seams(case):
        meeting = meant(pair, seam)
        if meeting is not None and not abs(seam.length_mm - meeting.length_mm) <= NEAR_MM:
            yield Fault(where, f"{seam.length_mm:.2f} mm told; its parts meet over {meeting.length_mm:.2f} mm")


def seam_kinds(case: Case) -> Iterator[Fault]:
    """Is every seam told as a side seam, a cross seam or an angled one as it runs against the patch's pile?"""
    for pair, where, seam in _seams(case):
        meeting = meant(pair, seam)
        due = kind_of(meeting, pair.patch.pile_deg) if meeting is not None else seam.kind
        if seam.kind is not due:
            yield Fault(where, f"told as a {seam.kind} seam; it is {due}")


NEAR_MM = 2 * TOLERANCE_MM
"""A line told and a line found have two ends each, either of which may be off by the tolerance."""


def _seams(case: Case) -> Iterator[tuple[Pair, str, Seam]]:
    for pair in case.pairs:
        for index, seam in enumerate(pair.made.seams):
            yield pair, f"{pair.where}.seams[{index}]", seam


def meant(pair: Pair, seam: Seam) -> Meeting | None:
    """The meeting of its two parts that a seam is drawn nearest to."""
    between = [meeting for meeting in pair.meetings if set(meeting.parts) == set(seam.parts)]
    return min(between, key=lambda meeting: _off_mm(seam, meeting), default=None)


def _off_mm(seam: Seam, meeting: Meeting) -> float:
    """How far the further end of a seam lies from where it should."""
    (a, b), (c, d) = seam.line, meeting.line
    return min(max(math.dist(a, c), math.dist(b, d)), max(math.dist(a, d), math.dist(b, c)))


def kind_of(meeting: Meeting, pile_deg: float) -> SeamKind:
    """Which kind of seam a meeting makes where the pile lies that way (degrees)."""
    start, end = (turned(point, -pile_deg) for point in meeting.line)
    if abs(end[0] - start[0]) <= NEAR_MM:
        return SeamKind.SIDE
    return SeamKind.CROSS if abs(end[1] - start[1]) <= NEAR_MM else SeamKind.ANGLED


def _at(point: Point) -> str:
    return f"({point[0]:.1f}, {point[1]:.1f})"


QUESTIONS: tuple[Question, ...] = (
    nets_inside,
    nets_apart,
    bare,
    narrow,
    seams_drawn,
    meetings_told,
    seam_lengths,
    seam_kinds,
)
