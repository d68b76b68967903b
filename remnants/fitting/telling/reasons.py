"""Why a plan is as it is, in the trade's words and the job's unit."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Leaf
from remnants.fitting.patch.look import least_look, least_trouble
from remnants.fitting.patch.made import Made, settled
from remnants.fitting.patch.out_of_reach import COUNT_WORDS
from remnants.fitting.patch.question import OUT_OF_TIME, Ask
from remnants.fitting.patch.same_donor_layouts import Option
from remnants.fitting.patch.whole import lost
from remnants.fitting.telling.misses import Misses, miss_of
from remnants.geometry.outline import TOLERANCE_MM, bounds
from remnants.geometry.turn import whole_turn
from remnants.model.merit import STEP_MM2
from remnants.model.patch import Job
from remnants.model.piece import Kind
from remnants.model.plan import PassedOver, PatchPlan, SeamKind, Short
from remnants.units import Unit, write_length

__all__ = ["not_chosen", "reason_joined", "reason_whole", "short_of"]

PLACE_WORDS = {Kind.REMNANT: "remnant", Kind.OFFCUT: "offcut", Kind.KEPT: "kept piece", Kind.LAID: "laid piece"}


def reason_whole(ask: Ask, parts: Sequence[Leaf], job: Job) -> str:
    """Why one piece makes the patch."""
    donor = parts[0].donor
    match = donor.candidate.match.sentence
    made = f"{_name(donor)} makes it in one piece: the cut is {_size(ask, job.unit)}."
    return f"{made} Match: {match}." if match else made


def reason_joined(ask: Ask, plan: PatchPlan, parts: Sequence[Leaf], job: Job) -> str:
    """Why a join is needed and where."""
    donors = list({leaf.donor.tag: leaf.donor for leaf in parts}.values())
    why = [_why_not_whole(ask, donor, job.unit) for donor in donors]
    count = COUNT_WORDS[len(parts)]
    kinds = {seam.kind for seam in plan.seams}
    sides = "side by side" if kinds == {SeamKind.SIDE} else "end to end" if kinds == {SeamKind.CROSS} else "together"
    seams = " and ".join(
        f"a seam {'along' if kind is SeamKind.SIDE else 'across'} the pile" for kind in sorted(kinds, reverse=True)
    )
    whole = "No one piece that matches as well makes it whole. " if len(donors) > 1 and not ask.patch.use else ""
    return f"{whole}{'; '.join((why[0], *map(_small, why[1:])))}; {count} parts {sides} make it, with {seams}."


def _small(clause: str) -> str:
    """A clause as it stands inside a sentence."""
    return clause[:1].lower() + clause[1:]


def short_of(ask: Ask, misses: Misses, job: Job) -> Short:
    """What is missing for a patch that can't be made from the donors whose `misses` these are."""
    name = ask.patch.name
    if not misses.field.donors:
        return Short(
            name, f"Nothing in stock that the job may use matches the carpet asked for; {name} needs {_size(ask, job.unit)}."
        )
    parts = COUNT_WORDS.get(ask.patch.max_parts, "one")
    tried = "no piece makes it whole" + (f" and none join into it from up to {parts} parts" if ask.patch.max_parts > 1 else "")
    if ask.undecided:
        tried += f" (undecided within the limits of the search: {'; '.join(sorted(ask.undecided))})"
    need = f"{name} needs {_size(ask, job.unit)}"
    place = misses.nearest
    if place is None and OUT_OF_TIME in ask.undecided:
        return Short(name, f"{need}: undecided, {OUT_OF_TIME}. Give it more time.")
    if place is None:
        return Short(name, f"{need}: every piece that would do is used up by the other patches.")
    missing_mm = float(misses.missing_mm[place])
    figure = missing_mm if np.isfinite(missing_mm) else None
    nearest = f"{_name(misses.field.donors[place])}: {misses.words(place)}"
    return Short(name, f"{need}; {tried}. Nearest miss: {_small(nearest)}.", nearest, figure)


def not_chosen(misses: Sequence[Misses], plans: Sequence[PatchPlan], made: Sequence[Made | None]) -> Iterator[PassedOver]:
    """Each candidate that no patch uses, with the first test it failed for the first patch it was a candidate for."""
    told = {part.piece for plan in plans for part in plan.parts}
    for each, plan, own in zip(misses, plans, made, strict=True):
        why = _Why(each, plan, own)
        missing = each.missing_mm.tolist()
        tags = [donor.candidate.piece.tag for donor in each.field.donors]
        for tag, group in groupby(range(len(tags)), key=tags.__getitem__):
            if tag not in told:
                told.add(tag)
                first, *others = group
                nearest = min((first, *others), key=missing.__getitem__) if others else first
                yield PassedOver(tag, _amiss(each, nearest) or why.not_this(nearest))


def _amiss(misses: Misses, place: int) -> str:
    """What is amiss with a donor, and at which turn where that isn't the first one allowed; empty if nothing is."""
    words = misses.words(place)
    if not words or len(misses.ask.patch.turns) == 1:
        return words
    lay_deg = misses.field.donors[place].lay_deg
    return words if whole_turn(lay_deg - misses.ask.patch.turns[0]) == 0.0 else f"{words}, turned {lay_deg:g} degrees"


class _Why:
    """Why a patch's plan does without pieces that would make it alone: the first term in which the two ways differ."""

    def __init__(self, misses: Misses, plan: PatchPlan, made: Made | None) -> None:
        self.misses, self.plan, self.made = misses, plan, made
        self.chosen = " and ".join(dict.fromkeys(part.piece for part in plan.parts))
        self.terms: dict[int, str | None] = {}
        self.odd = 0

    @cached_property
    def spent(self) -> NDArray[np.int64]:
        """Steps of worth that the whole patch would take from each donor, exact for plain rectangles."""
        worth = lost(self.misses.ask, self.misses.field, np.arange(len(self.misses.field.donors)))
        return np.ceil(np.round(worth, 3) / STEP_MM2).astype(np.int64)

    def not_this(self, place: int) -> str:
        """The sentence for one piece."""
        if self.made is None and OUT_OF_TIME in self.misses.ask.undecided:
            return "would do alone; the time given was up before it was weighed"
        if self.made is None:
            return "would do alone, but not beside the other patches"
        candidate = self.misses.field.donors[place].candidate
        term = self._term(place)
        if term == "sights" and candidate.match.shade > self.shade:
            return f"would do, but {self.chosen} {self.verbs['matches']} better: {candidate.match.sentence}"
        if term == "trouble" and candidate.fetch:
            return f"would do, but {self.chosen} {self.verbs['is']} nearer; this comes {candidate.fetch.words}"
        return self.words[term]

    @cached_property
    def words(self) -> dict[str, str]:
        """The sentences, by term."""
        return {term: words.format(chosen=self.chosen, **self.verbs) for term, words in WHY.items()}

    @cached_property
    def verbs(self) -> dict[str, str]:
        """The verbs for the chosen pieces, one or several."""
        several = len({part.piece for part in self.plan.parts}) > 1
        return {one: many if several else one for one, many in VERBS.items()}

    @cached_property
    def shade(self) -> tuple[int, int]:
        """The shade of the patch's worst carpet."""
        return max((leaf.donor.candidate.match.shade for leaf in self.made.parts), default=(0, 0)) if self.made else (0, 0)

    def _term(self, place: int) -> str:
        """The first term in which the patch from this piece alone is worse; `better`, or `not known` where that is so."""
        assert self.made is not None
        look = int(self.misses.field.looks[0][place])
        if look not in self.terms:
            self.terms[look] = self._by_look(self.misses.field.donors[place])
        term = self.terms[look]
        if term is not None:
            return term
        spent = int(self.spent[place])
        if not (self.misses.field.plain[place] and self.misses.ask.shape.is_rectangle):
            self.odd += 1
            if self.odd > MOST_ODD or self.misses.ask.watch.timed_out():
                return "not known"
            known = self.misses.spent
            if place not in known:
                way = settled(self.misses.ask, Option(Leaf(self.misses.ask.shape, self.misses.field.donors[place])))
                known[place] = way.merit.spent if way else spent
            spent = known[place]
        own = self.made.merit.spent
        return "spent" if spent > own else "better" if spent < own else ""

    def _by_look(self, donor: Donor) -> str | None:
        """The same for all that look alike; None where only what is spent tells them apart."""
        assert self.made is not None
        look = replace(least_look(self.misses.ask, None, (donor,)), trouble=least_trouble((donor,)))
        made = replace(self.made.merit, spent_mm2=0.0)
        term = look.differs_in(made)
        return ("better" if look.key < made.key else term) if term else None


MOST_ODD = 20
"""Odd pieces of which it is worked out, for one patch, what they would have lost."""

WHY = {
    "sights": "would do, but with {chosen} less will be seen",
    "points": "would do, but with {chosen} the seams show less",
    "seen_mm": "would do, but with {chosen} less seam is seen",
    "trouble": "would do, but {chosen} {lies} ready, and this must be lifted or asked for",
    "spent": "would do, but {chosen} {spares} more of the stock",
    "": "would do just as well; {chosen} {was} taken",
    "better": "would do alone, but not beside the other patches, where {chosen} {serves} better",
    "not known": "would do and show as little; {chosen} {was} taken",
}
"""By the first term in which a piece and the chosen ones differ."""

VERBS = {"matches": "match", "is": "are", "lies": "lie", "spares": "spare", "was": "were", "serves": "serve"}
"""What one piece does, and several."""


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
