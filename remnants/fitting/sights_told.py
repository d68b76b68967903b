"""What will be seen of a plan, as a list that a customer can be told: each shade and each seam with its grade and why."""

from collections.abc import Iterator, Sequence

from remnants.fitting.ask import Ask
from remnants.fitting.look import carpet_of, grounds_between, grounds_round, inner_runs, reaches_stretch
from remnants.fitting.one import Made
from remnants.fitting.showing import listed
from remnants.geometry.outline import Point
from remnants.geometry.turn import turned_point, whole_turn
from remnants.model.sight import MOST_SEEN, SEEN_WORDS, Sight, SightKind
from remnants.sights import Grounds, grade_of, points_in
from remnants.units import Unit, write_length

__all__ = ["sights_of"]


def sights_of(ask: Ask, made: Made, unit: Unit) -> tuple[Sight, ...]:
    """The sights of one patch: its carpets beside the floor, the seams round it, those inside. Lines in room axes (mm)."""
    return (*_shades(ask, made), *_round(ask, made, unit), *_inside(ask, made, unit))


def _shades(ask: Ask, made: Made) -> Iterator[Sight]:
    found: dict[tuple[tuple[str, str, str], tuple[int, int], str], list[str]] = {}
    for leaf in made.parts:
        match = leaf.donor.candidate.match
        found.setdefault((carpet_of(leaf.donor).name, match.shade, match.sentence), []).append(leaf.donor.tag)
    for (_, (worst, best), sentence), tags in found.items():
        grades = min(best, MOST_SEEN), min(worst, MOST_SEEN)
        why = sentence[:1].upper() + sentence[1:]
        told = f"Carpet of {listed(dict.fromkeys(tags))} beside the floor: {_range(*grades)}. {why}."
        yield Sight(SightKind.SHADE, ask.patch.name, *grades, told)


def _round(ask: Ask, made: Made, unit: Unit) -> Iterator[Sight]:
    for run in ask.runs:
        grounds: list[Grounds] = [
            grounds_round(ask, stretch, carpet_of(leaf.donor))
            for stretch in run.stretches
            for leaf in made.parts
            if len(made.parts) == 1 or reaches_stretch(leaf.shape.ring, stretch)
        ]
        worst = max(grounds, key=points_in, default=[])
        yield _seam(ask, worst, run.line, length_mm=run.length_mm, what="Seam with the floor, {}", unit=unit)


def _inside(ask: Ask, made: Made, unit: Unit) -> Iterator[Sight]:
    for _, length_mm, segments in inner_runs(ask, made.layout):
        grounds = [
            grounds_between(ask, each.axis, made.parts[each.parts[0]].donor, made.parts[each.parts[1]].donor) for each in segments
        ]
        line = (segments[0].line[0], segments[-1].line[1])
        yield _seam(ask, max(grounds, key=points_in), line, length_mm=length_mm, what="Seam inside the patch, {}", unit=unit)


def _seam(ask: Ask, grounds: Grounds, line: Sequence[Point], *, length_mm: float, what: str, unit: Unit) -> Sight:
    grade = grade_of(points_in(grounds))
    why = f": {listed(words for _, words in grounds)}" if grounds else ": it runs with the pile; no seam is invisible"
    told = f"{what.format(write_length(length_mm, unit))}: {SEEN_WORDS[grade]}{why}."
    pile = whole_turn(ask.patch.pile_deg)
    return Sight(SightKind.SEAM, ask.patch.name, grade, grade, told, tuple(turned_point(point, pile) for point in line))


def _range(best: int, worst: int) -> str:
    return SEEN_WORDS[best] if best == worst else f"{SEEN_WORDS[best]} at best, {SEEN_WORDS[worst]} at worst"
