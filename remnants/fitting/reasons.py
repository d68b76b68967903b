"""Why a plan is as it is, in the trade's words and the job's unit."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from remnants.fitting.ask import Ask
from remnants.fitting.donor import Donor
from remnants.fitting.layout import Leaf
from remnants.geometry.outline import TOLERANCE_MM, bounds
from remnants.geometry.room import room_for
from remnants.geometry.turn import whole_turn
from remnants.model.match import Candidate
from remnants.model.patch import Job
from remnants.model.piece import Kind
from remnants.model.plan import PassedOver, PatchPlan, SeamKind, Short
from remnants.units import Unit, write_length

__all__ = ["miss_of", "not_chosen", "reason_joined", "reason_whole", "short_of"]

PLACE_WORDS = {Kind.REMNANT: "remnant", Kind.OFFCUT: "offcut", Kind.KEPT: "kept piece", Kind.LAID: "laid piece"}
COUNT_WORDS = {2: "two", 3: "three", 4: "four"}


@dataclass(frozen=True, slots=True)
class Miss:
    """By how much a donor fails to make a patch whole: `missing_mm` (infinite if it isn't a matter of size), and in words."""

    missing_mm: float
    words: str


def miss_of(ask: Ask, donor: Donor, unit: Unit) -> Miss | None:
    """The first test that the donor fails for the whole patch, with the figure; None if it passes all."""
    if ask.motif is not None and donor.candidate.style.repeat is not None and donor.motif is None:
        return Miss(np.inf, "its motif point isn't recorded, so the pattern can't be met")
    left, bottom, right, top = bounds(ask.shape.cut)
    needs = (right - left, top - bottom)
    own = donor.ground.outline.bounds
    has = (own[2] - own[0], own[3] - own[1])
    lacks = [need - size if need > size + TOLERANCE_MM else 0.0 for need, size in zip(needs, has, strict=True)]
    if any(lacks):
        words = [f"{write_length(lack, unit)} short {way}" for lack, way in zip(lacks, WAYS, strict=True) if lack]
        return Miss(max(lacks), " and ".join(words))
    if ask.lies(ask.shape, donor):
        return None
    if ask.shape.is_rectangle:
        found = _clear_miss(donor, needs, unit)
        if found is not None:
            return found
        return Miss(np.inf, "large enough, but the pattern doesn't meet anywhere on it")
    return Miss(np.inf, "no clear place on it for the patch's outline")


WAYS = ("across the pile", "along the pile")


def _clear_miss(donor: Donor, needs: tuple[float, float], unit: Unit) -> Miss | None:
    """How short the clear room is, where the outline as a whole would do."""
    lacks = [needs[axis] - room_for(donor.ground, axis, needs[1 - axis]) for axis in (0, 1)]
    best = min((0, 1), key=lambda axis: (lacks[axis], -axis))
    if lacks[best] <= TOLERANCE_MM:
        return None
    if not np.isfinite(lacks[best]):
        return Miss(np.inf, "no clear place on it for a cut of this size")
    return Miss(lacks[best], f"{write_length(lacks[best], unit)} short {WAYS[best]}, clear of cutouts and edges")


def reason_whole(ask: Ask, parts: Sequence[Leaf], job: Job) -> str:
    """Why one piece makes the patch."""
    donor = parts[0].donor
    match = donor.candidate.match.sentence
    made = f"{_name(donor)} makes it in one piece: the cut is {_size(ask, job.unit)}."
    return f"{made} Match: {match}." if match else made


def reason_joined(ask: Ask, plan: PatchPlan, parts: Sequence[Leaf], job: Job) -> str:
    """Why a join is needed and where."""
    donors = list(dict.fromkeys(leaf.donor for leaf in parts))
    why = [_why_not_whole(ask, donor, job.unit) for donor in donors]
    count = COUNT_WORDS[len(parts)]
    kinds = {seam.kind for seam in plan.seams}
    sides = "side by side" if kinds == {SeamKind.SIDE} else "end to end" if kinds == {SeamKind.CROSS} else "together"
    seams = " and ".join(
        f"a seam {'along' if kind is SeamKind.SIDE else 'across'} the pile" for kind in sorted(kinds, reverse=True)
    )
    whole = "No one piece that matches as well makes it whole. " if len(donors) > 1 else ""
    return f"{whole}{'; '.join((why[0], *map(_small, why[1:])))}; {count} parts {sides} make it, with {seams}."


def _small(clause: str) -> str:
    """A clause as it stands inside a sentence."""
    return clause[:1].lower() + clause[1:]


def short_of(ask: Ask, donors: Sequence[Donor], job: Job) -> Short:
    """What is missing for a patch that can't be made."""
    name = ask.patch.name
    if not donors:
        return Short(name, f"Nothing in stock matches the carpet asked for; {name} needs {_size(ask, job.unit)}.")
    misses = [(miss, donor) for donor in donors if (miss := miss_of(ask, donor, job.unit)) is not None]
    parts = COUNT_WORDS.get(ask.patch.max_parts, "one")
    tried = "no piece makes it whole" + (f" and none join into it from up to {parts} parts" if ask.patch.max_parts > 1 else "")
    if ask.undecided:
        tried += f" (undecided within the limits of the search: {'; '.join(sorted(ask.undecided))})"
    need = f"{name} needs {_size(ask, job.unit)}"
    if not misses:
        return Short(name, f"{need}: every piece that would do is used up by the other patches.")
    miss, donor = min(misses, key=lambda found: (found[0].missing_mm, found[1].tag))
    figure = float(miss.missing_mm) if np.isfinite(miss.missing_mm) else None
    nearest = f"{_name(donor)}: {miss.words}"
    return Short(name, f"{need}; {tried}. Nearest miss: {_small(nearest)}.", nearest, figure)


def not_chosen(asks: Sequence[tuple[Ask, Sequence[Donor]]], plans: Sequence[PatchPlan], job: Job) -> Iterator[PassedOver]:
    """Each candidate that no patch uses, with the first test it failed for the first patch it was a candidate for."""
    used = {part.piece for plan in plans for part in plan.parts}
    told: set[str] = set()
    for (ask, donors), plan in zip(asks, plans, strict=True):
        for donor in donors:
            if donor.tag in used or donor.tag in told:
                continue
            told.add(donor.tag)
            miss = miss_of(ask, donor, job.unit)
            yield PassedOver(donor.tag, _preferred(plan, donor.candidate) if miss is None else miss.words)


def _preferred(plan: PatchPlan, candidate: Candidate) -> str:
    chosen = " and ".join(dict.fromkeys(part.piece for part in plan.parts))
    if plan.match is not None and plan.match.rank < candidate.match.rank:
        return f"would do, but {chosen} matches better: {candidate.match.sentence}"
    return f"would do, but {chosen} spares more of the stock" if chosen else "would do alone, but not beside the other patches"


def _why_not_whole(ask: Ask, donor: Donor, unit: Unit) -> str:
    """`The laid piece L-01 (closet) runs across the patch: laid with the pile it is 31 1/2 in long, 8 1/2 in short of …`."""
    box = donor.ground.outline.bounds
    needs = bounds(ask.shape.cut)
    turn = whole_turn(ask.patch.pile_deg + donor.turn_deg)
    runs = "runs across the patch: laid with the pile it" if turn in (90.0, 270.0) else "laid with the pile"
    found = []
    for axis, word in ((1, "long"), (0, "wide")):
        has, need = box[axis + 2] - box[axis], needs[axis + 2] - needs[axis]
        if need > has + TOLERANCE_MM:
            lack = f"{write_length(need - has, unit)} short of the {write_length(need, unit)} needed"
            found.append(f"{write_length(has, unit)} {word}, {lack}")
    if found:
        return f"{_name(donor)} {runs} is {' and '.join(found)}"
    miss = miss_of(ask, donor, unit)
    return f"{_name(donor)} is {miss.words}" if miss is not None else f"{_name(donor)} would do alone"


def _size(ask: Ask, unit: Unit) -> str:
    left, bottom, right, top = bounds(ask.shape.cut)
    return f"{write_length(right - left, unit)} across by {write_length(top - bottom, unit)} along the pile, allowance included"


def _name(donor: Donor) -> str:
    piece = donor.candidate.piece
    place = f" ({piece.place})" if piece.place else ""
    return f"{PLACE_WORDS[piece.kind].capitalize()} {piece.tag}{place}"
