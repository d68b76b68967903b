"""The answer file: a plan as JSON, and read back."""

from collections.abc import Sequence
from typing import Any

from remnants.belonging import asking_words
from remnants.errors import BadFile
from remnants.exchange.answer_entries import (
    AnswerFile,
    LeftoverEntry,
    MatchEntry,
    PartEntry,
    PatchPlanEntry,
    ProofEntry,
    SeamEntry,
    SightEntry,
)
from remnants.exchange.figures import corners, degrees, figure, given_only
from remnants.exchange.reading import Reading, quiet
from remnants.exchange.source import Source
from remnants.geometry import Outline
from remnants.model import (
    Asking,
    Bargain,
    Bargains,
    Change,
    Grade,
    Leftover,
    Match,
    MeasureAgain,
    Merit,
    NoProof,
    Part,
    PassedOver,
    PatchPlan,
    Plan,
    RoomFigure,
    Seam,
    Short,
    Sight,
    SightKind,
    Spare,
    Way,
    WhyNot,
)
from remnants.model.bargain import NO_BARGAINS
from remnants.model.merit import STEP_MM2
from remnants.model.sight import INNER_SEAM
from remnants.units import Unit

__all__ = ["answer_json", "read_answer"]


def answer_json(
    plan: Plan,
    ways: Sequence[Way] = (),
    *,
    notes: Sequence[str] = (),
    bargains: Bargains = NO_BARGAINS,
    measure: Sequence[MeasureAgain] = (),
    why_not: WhyNot | None = None,
) -> dict[str, Any]:
    """The plan as the content of an answer file, in the job's unit; `ways` are the plan itself and those beside it.

    `bargains` tell what would fill more of it, `measure` what to measure again, `why_not` of a piece that was asked about.
    `notes` are what is to be said of the job's own words: what was taken for what, and what may not be meant.
    """
    unit = Unit(plan.unit)
    told: dict[str, Any] = {
        "job": plan.job,
        "unit": unit.value,
        "verdict": plan.verdict.value,
        "patches": [_patch_json(patch, unit) for patch in plan.patches],
        "leftovers": [_leftover_json(leftover, unit) for leftover in plan.leftovers],
        "passed_over": [{"piece": passed.piece, "reason": passed.reason} for passed in plan.passed_over],
        "short": [
            given_only(patch=s.patch, reason=s.reason, nearest=s.nearest or None, missing=figure(s.missing_mm, unit))
            for s in plan.short
        ],
        "bound": plan.bound,
        "sights": [_sight_json(sight, unit) for sight in plan.sights],
        **_asking_json(plan),
        **given_only(notes=list(notes) or None, passed_over_more=plan.more_passed or None),
    }
    told |= {"proof": [_proof_json(proof, unit) for proof in plan.proof]} if plan.proof else {}
    if plan.spare is not None:
        told["spare"] = _spare_json(plan.spare, unit)
    if bargains.found:
        told["bargains"] = [_bargain_json(bargain, unit) for bargain in bargains.found]
    if bargains.no_help:
        told["no_help"] = list(bargains.no_help)
    if measure:
        told["measure_again"] = [_measure_json(each, unit) for each in measure]
    if why_not is not None:
        told["why_not"] = _why_not_json(why_not, unit)
    return told | ({"ways": [_way_json(way, unit) for way in ways]} if len(ways) > 1 else {})


def _asking_json(plan: Plan) -> dict[str, Any]:
    """Whom to ask first, without names: an answer may be read by anybody."""
    told = [{"piece": each.piece, "may_use": each.allowed.value, "told": asking_words(each, pieces={})} for each in plan.asking]
    return {"asking": told} if told else {}


def _measure_json(measure: MeasureAgain, unit: Unit) -> dict[str, Any]:
    by = figure(measure.by_mm, unit)
    return {"piece": measure.piece, "patch": measure.patch, "side": measure.side, "by": by, "sentence": measure.sentence}


def _why_not_json(why: WhyNot, unit: Unit) -> dict[str, Any]:
    return given_only(
        piece=why.piece,
        reason=why.reason or None,
        sentence=why.sentence,
        change=_changes_json(why.changes, unit) or None,
        answer=answer_json(why.plan) if why.plan else None,
    )


def _changes_json(changes: Sequence[Change], unit: Unit) -> list[dict[str, Any]]:
    return [
        given_only(
            kind=change.kind.value,
            patch=change.patch or None,
            by=change.count if change.by_mm is None else figure(change.by_mm, unit),
            edge=change.edge,
            finish=change.finish or None,
            piece=change.piece or None,
        )
        for change in changes
    ]


def _bargain_json(bargain: Bargain, unit: Unit) -> dict[str, Any]:
    changes = _changes_json(bargain.changes, unit)
    return given_only(
        change=changes[0] if len(changes) == 1 else changes,
        sentence=bargain.sentence,
        gain=bargain.gain or None,
        cost=bargain.cost or None,
        verdict=bargain.plan.verdict.value,
        answer=answer_json(bargain.plan),
    )


def _spare_json(spare: Spare, unit: Unit) -> dict[str, Any]:
    return {
        "plan": figure(spare.plan_mm, unit),
        "parts": [figure(part, unit) for part in spare.parts_mm],
        "seams": [[figure(back, unit), figure(forth, unit)] for back, forth in spare.seams_mm],
    }


def _sight_json(sight: Sight, unit: Unit) -> dict[str, Any]:
    return given_only(
        kind=sight.kind.value,
        patch=sight.patch or None,
        line=corners(sight.line, unit) if sight.line else None,
        inside=sight.inside if sight.kind is SightKind.SEAM else None,
        best=sight.best,
        worst=sight.worst,
        sentence=sight.sentence,
    )


def _proof_json(proof: NoProof, unit: Unit) -> dict[str, Any]:
    return {
        "patch": proof.patch,
        "proved": proof.proved,
        "searched": list(proof.searched),
        "undecided": list(proof.undecided),
        "not_tried": list(proof.not_tried),
        "figures": [
            {
                "piece": each.piece,
                "turn": degrees(each.turn_deg),
                "across": figure(each.across_mm, unit),
                "along": figure(each.along_mm, unit),
            }
            for each in proof.figures
        ],
    }


def _way_json(way: Way, unit: Unit) -> dict[str, Any]:
    merit = way.plan.merit or Merit()
    far, people, hidden, untold, km, vans = merit.trouble
    fetched = {"branches, how far isn't told": untold, "km to other branches": km, "vans": vans}
    return {
        "patches": [_patch_json(patch, unit) for patch in way.plan.patches],
        "sights": [_sight_json(sight, unit) for sight in way.plan.sights],
        "trouble": {"floors in view or other houses": far, "other customers": people, "hidden floors": hidden}
        | {what: count for what, count in fetched.items() if count},
        "spent_m2": round(merit.spent * STEP_MM2 / 1e6, 1),
        **_asking_json(way.plan),
        "for": list(way.speaks_for),
        "against": list(way.speaks_against),
    }


def read_answer(source: Source) -> Plan:
    """The plan in an answer file (a Path) or a JSON text (a str), lengths in mm. Raises BadFile with every fault's place."""
    reading = Reading(source, "an answer file", quiet)
    entry = reading.entry(AnswerFile, reading.raw, "")
    if entry is None:
        raise BadFile(reading.faults)
    return Plan(
        job=entry.job,
        verdict=entry.verdict,
        patches=tuple(_patch(patch) for patch in entry.patches),
        leftovers=tuple(_leftover(leftover) for leftover in entry.leftovers),
        passed_over=tuple(PassedOver(passed.piece, passed.reason) for passed in entry.passed_over),
        more_passed=entry.passed_over_more,
        short=tuple(Short(short.patch, short.reason, short.nearest, short.missing) for short in entry.short),
        unit=entry.unit,
        bound=entry.bound,
        sights=tuple(_sight(each) for each in entry.sights),
        proof=tuple(_proof(each) for each in entry.proof),
        asking=tuple(Asking(each.piece, each.may_use) for each in entry.asking),
        spare=Spare(entry.spare.plan, entry.spare.parts, entry.spare.seams) if entry.spare else None,
    )


def _sight(entry: SightEntry) -> Sight:
    """Files from before `inside` was a key tell by the sentence which seam is."""
    once = entry.kind is SightKind.SEAM and entry.sentence.startswith(INNER_SEAM)
    inside = once if entry.inside is None else entry.inside
    return Sight(entry.kind, entry.patch, entry.best, entry.worst, entry.sentence, entry.line, inside)


def _proof(entry: ProofEntry) -> NoProof:
    figures = tuple(RoomFigure(each.piece, each.turn, each.across, each.along) for each in entry.figures)
    return NoProof(entry.patch, entry.proved, entry.searched, entry.undecided, entry.not_tried, figures)


def _patch_json(patch: PatchPlan, unit: Unit) -> dict[str, Any]:
    match = patch.match
    return given_only(
        name=patch.name,
        verdict=patch.verdict.value,
        parts=[
            given_only(
                piece=part.piece,
                net=corners(part.net, unit),
                cut=corners(part.cut, unit),
                turn=degrees(part.turn_deg),
                shift=corners((part.shift,), unit)[0],
                finishes=list(part.finishes) or None,
            )
            for part in patch.parts
        ],
        seams=[_seam_json(seam, unit) for seam in patch.seams],
        reason=patch.reason,
        match=_match_json(match) if match else None,
    )


def _seam_json(seam: Seam, unit: Unit) -> dict[str, Any]:
    return given_only(
        kind=seam.kind.value,
        line=corners(seam.line, unit),
        length=figure(seam.length_mm, unit),
        parts=list(seam.parts),
        show=seam.show.value,
        sentence=seam.sentence or None,
    )


def _leftover_json(leftover: Leftover, unit: Unit) -> dict[str, Any]:
    width_mm, length_mm = leftover.largest
    return {
        "piece": leftover.piece,
        "outline": corners(leftover.outline.ring, unit),
        "cutouts": [corners(ring, unit) for ring in leftover.outline.cutouts],
        "largest": {
            "width": figure(width_mm, unit),
            "length": figure(length_mm, unit),
            "at": corners((leftover.largest_at,), unit)[0],
        },
        "usable": leftover.usable,
        **({"chosen": True} if leftover.chosen else {}),
    }


def _patch(entry: PatchPlanEntry) -> PatchPlan:
    return PatchPlan(
        name=entry.name,
        verdict=entry.verdict,
        parts=tuple(_part(part) for part in entry.parts),
        seams=tuple(_seam(seam) for seam in entry.seams),
        reason=entry.reason,
        match=_match(entry.match) if entry.match else None,
    )


def _part(entry: PartEntry) -> Part:
    return Part(entry.piece, entry.net, entry.cut, entry.turn, entry.shift, entry.finishes)


def _seam(entry: SeamEntry) -> Seam:
    return Seam(entry.kind, entry.line, entry.length, entry.parts, entry.show, entry.sentence)


def _leftover(entry: LeftoverEntry) -> Leftover:
    outline = Outline(entry.outline, entry.cutouts)
    largest = entry.largest
    return Leftover(entry.piece, outline, (largest.width, largest.length), largest.at, entry.usable, entry.chosen)


def _match_json(match: Match) -> dict[str, Any]:
    return given_only(grade=match.grade.word, wear_steps=match.wear_steps, sentence=match.sentence, delta_e=match.delta_e)


def _match(entry: MatchEntry) -> Match:
    grade = next(grade for grade in Grade if grade.word == entry.grade)
    return Match(grade, entry.wear_steps, entry.sentence, entry.delta_e)
