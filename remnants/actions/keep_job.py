"""Holding the donors of a job, releasing them, cutting them: what a plan does to the stock, each in one transaction."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from remnants.actions.booking import book, once
from remnants.actions.chosen import beside, why_taken
from remnants.actions.fit_job import Fitted
from remnants.actions.held_for import refuse_with_another
from remnants.actions.job_names import AS_NAMED, Target, Which, number_text, refuse_another_home, row_of, target_of
from remnants.actions.job_state import State, state_of
from remnants.actions.leftovers import AS_TOLD, Choice, keeps
from remnants.actions.log_pieces import free_tags
from remnants.actions.shop_rules import least_sizes
from remnants.days import day_words
from remnants.errors import NoPlan, NotAllowed, StockChanged
from remnants.exchange import answer_json, job_json, read_answer, read_job
from remnants.fitting.telling.passed import with_most_telling
from remnants.ledger import BESIDE, Act, Counted, Held, Received, Released, Signed, Standing
from remnants.ledger.cutting import DonorCut, cut_donors
from remnants.model import Job, Kind, Plan
from remnants.proof import check_plan
from remnants.store import Catalogue, jobs, ledger, pieces, styles
from remnants.store.jobs import JobRow, JobStage
from remnants.store.worth_kept import tell_least_where_far

__all__ = [
    "Booked",
    "Holding",
    "KeptJob",
    "State",
    "cut_job",
    "cut_plan",
    "every_job",
    "find_job",
    "hold_job",
    "refuse_changed",
    "release_job",
]

MOST_PASSED = 200
"""Pieces passed over that are kept with a job one by one; in a stock of a million all of them would be two megabytes a job."""

_HARMLESS = BESIDE | {Act.MOVED, Act.SENT, Act.TAKEN_IN, Act.CALLED_BACK}


@dataclass(frozen=True)
class KeptJob:
    """A job in the catalogue, its plan, the versions of its donors then, and how far it is on the day that it was looked at.

    `label` is what the ledger calls it: its name, with its `number` where an earlier job has that name. `why` is the reason that
    the ledger keeps for its plan; mostly empty.
    """

    job: Job
    plan: Plan
    stage: State
    versions: Mapping[str, int]
    hold_until: date | None
    who: str
    number: str
    label: str
    why: str = ""


@dataclass(frozen=True)
class Booked:
    """What a cut made of the stock, for the job that the ledger calls so, of that number.

    Tags of the donors, of those used up, and of the offcuts; waste in mm². `note` tells what else to know; mostly empty.
    """

    job: str
    donors: tuple[str, ...]
    used_up: tuple[str, ...]
    offcuts: tuple[str, ...]
    waste_mm2: float
    note: str = ""
    number: str = ""


@dataclass(frozen=True, slots=True)
class Holding:
    """The number of the job that pieces are held for, what the ledger calls it, and their tags."""

    number: str
    label: str
    tags: tuple[str, ...]


def find_job(catalogue: Catalogue, name: str, *, day: date | None = None) -> KeptJob:
    """The job of that number or name as it is on a day, else today. Raises NotFound, also where several have the name."""
    return _kept(catalogue, [row_of(catalogue, name)], day)[0]


def every_job(catalogue: Catalogue) -> tuple[KeptJob, ...]:
    """All jobs in the catalogue as they are today, newest first."""
    return _kept(catalogue, jobs.every_job(catalogue))


def hold_job(
    catalogue: Catalogue, fitted: Fitted, *, until: date, signed: Signed, key: str = "", which: Which = AS_NAMED
) -> Holding:
    """Keeps the donors of a plan for its job until the end of a day.

    A job that is planned anew lets go of what its earlier plan held and this one doesn't need; no other job lets go of anything.
    Raises NoPlan when the plan makes nothing, StockChanged when a donor is no longer as the plan found it, and as `target_of`
    and `refuse_another_home`.
    """

    def do() -> dict[str, Any]:
        _refuse_empty(fitted.plan)
        _refuse_not_there(fitted)
        mine = target_of(catalogue, fitted.job.name, which)
        refuse_another_home(catalogue, mine, fitted.job)
        written = replace_job(signed, mine.label)
        refuse_changed(catalogue, fitted.versions, mine.label)
        tags = sorted(fitted.versions)
        _release_others(catalogue, mine, fitted.versions, written)
        taken = replace(written, why=why_taken(fitted, signed.why))
        after = book(catalogue, [(tag, Held(mine.label, until)) for tag in tags], taken)
        _put(catalogue, mine, fitted, donors=after, stage=JobStage.HELD, until=until, signed=written)
        return {"number": number_text(mine.number), "label": mine.label, "tags": tags}

    asked = which.beside(["hold", fitted.job.name, sorted(fitted.versions)])
    made = once(catalogue, key, asked, replace_job(signed, fitted.job.name), do)
    if isinstance(made, list):  # as it was answered before jobs had numbers
        made = {"number": "", "label": fitted.job.name, "tags": made}
    return Holding(made["number"], made["label"], tuple(made["tags"]))


def release_job(catalogue: Catalogue, name: str, *, signed: Signed, key: str = "") -> tuple[str, ...]:
    """Lets go of what is held for a job; gives the tags. Raises NotFound, NotAllowed when nothing is held for it."""

    def do() -> list[str]:
        row = row_of(catalogue, name)
        held = pieces.tags_held_for(catalogue, row.name)
        if not (held or row.stage is JobStage.HELD):
            raise NotAllowed(f"nothing is held for {row.name!r}")
        written = replace_job(signed, row.name)
        tags = _release(catalogue, held, row.name, written)
        if row.stage is JobStage.HELD:
            jobs.put(catalogue, replace(row, stage=JobStage.RELEASED, hold_until=None), written)
        return tags

    return tuple(once(catalogue, key, ["release", name], replace_job(signed, name), do))


def cut_job(catalogue: Catalogue, name: str, *, signed: Signed, key: str = "", choice: Choice = AS_TOLD) -> Booked:
    """Books the plan that is held for a job. One whose hold lapsed is held anew first, where its pieces are still free.

    Raises NotFound, NotAllowed, StockChanged; BadInput for a choice that is none.
    """

    def do() -> Booked:
        row = row_of(catalogue, name)
        (kept,) = _kept(catalogue, [row], signed.at.date())
        if kept.stage is State.CUT:
            raise NotAllowed(f"{kept.label!r} was cut already by {kept.who}; `remnants undo` takes it back")
        why = beside(kept.why, signed.why)
        versions, note = _held_anew(catalogue, kept, signed) if kept.stage is State.LAPSED else (kept.versions, "")
        mine = Target(row.number, row.name, row)
        planned = Fitted(kept.plan, kept.job, {}, {}, versions=versions)
        booked = _cut(catalogue, mine, planned, signed=signed, choice=choice, why=why)
        return replace(booked, note=note)

    return _booked(once(catalogue, key, choice.beside(["cut", name]), signed, lambda: vars(do())))


def cut_plan(
    catalogue: Catalogue,
    fitted: Fitted,
    *,
    signed: Signed,
    key: str = "",
    choice: Choice = AS_TOLD,
    which: Which = AS_NAMED,
) -> Booked:
    """Books a plan that was just made, without a hold. What its job held for an earlier plan and isn't cut is let go.

    Raises NoPlan, NotAllowed, StockChanged, BadInput as `cut_job`, and as `target_of` and `refuse_another_home`.
    """
    asked = which.beside(choice.beside(["cut plan", fitted.job.name, answer_json(fitted.plan)["patches"]]))

    def do() -> dict[str, Any]:
        _refuse_not_there(fitted)
        mine = target_of(catalogue, fitted.job.name, which)
        refuse_another_home(catalogue, mine, fitted.job)
        return vars(_cut(catalogue, mine, fitted, signed=signed, choice=choice, why=why_taken(fitted, signed.why)))

    return _booked(once(catalogue, key, asked, signed, do))


def refuse_changed(catalogue: Catalogue, versions: Mapping[str, int], job: str) -> dict[str, Standing]:
    """The donors as they stand. `versions` are those that the plan for the job was made from, by tag.

    Raises StockChanged, telling what happened to them since, by whom, for which job and when; NotFound when one isn't known.
    """
    changed = []
    for tag, version in sorted(versions.items()):
        for entry in ledger.entries_since(catalogue, tag, version):
            seen = isinstance(entry.change, Counted) and entry.change.seen
            if entry.act not in _HARMLESS and not seen:
                changed.append(f"{tag} was {entry.act.value} {entry.signed.words}")
    if changed:
        raise StockChanged(f"the stock is not as the plan for {job!r} found it: {'; '.join(changed)}. Fit the job anew")
    return pieces.standings_tagged(catalogue, sorted(versions))


def _cut(catalogue: Catalogue, mine: Target, fitted: Fitted, *, signed: Signed, choice: Choice, why: str) -> Booked:
    """The plan booked: each donor cut, for the reason `why`, each offcut received, the job marked. The caller holds the
    transaction.
    """
    job, plan = fitted.job, fitted.plan
    _refuse_empty(plan)
    written = replace_job(signed, mine.label)
    donors = refuse_changed(catalogue, fitted.versions, mine.label)
    by_tag = {tag: standing.piece for tag, standing in donors.items()}
    refuse_with_another(job, by_tag, donors)
    faults = check_plan(job, by_tag, styles.all_styles(catalogue), plan)
    if faults:
        raise StockChanged(f"the plan for {job.name!r} no longer holds: {'; '.join(map(str, faults))}. Fit the job anew")
    plan = choice.made(plan)
    least = least_sizes(catalogue, today=signed.at.date())
    tell_least_where_far(catalogue, least)
    keep = keeps(plan, least)
    tags = free_tags(catalogue, Kind.OFFCUT)
    cuts = cut_donors(plan, by_tag, keep=keep, new_tag=lambda: next(tags))
    booking = ledger.next_number(catalogue)
    after = book(catalogue, [(cut.tag, cut.cut) for cut in cuts], replace(written, why=why))
    made = [Received(offcut, cut.tag) for cut in cuts for offcut in cut.offcuts]
    ledger.receive(catalogue, made, written, booking=booking)
    _release_others(catalogue, mine, donors, written)
    _put(catalogue, mine, replace(fitted, plan=plan), donors=after, stage=JobStage.CUT, until=None, signed=written)
    return _outcome(mine, cuts)


def _held_anew(catalogue: Catalogue, kept: KeptJob, signed: Signed) -> tuple[Mapping[str, int], str]:
    """The versions of the donors once they are held again, and what to tell. Raises StockChanged where one was taken since."""
    lapsed = f"the hold lapsed on {day_words(kept.hold_until or signed.at.date())}"
    try:
        refuse_changed(catalogue, kept.versions, kept.label)
    except StockChanged as error:
        raise StockChanged(f"{lapsed}, and {error}") from None
    held = [(tag, Held(kept.label, signed.at.date())) for tag in sorted(kept.versions)]
    after = book(catalogue, held, replace(replace_job(signed, kept.label), why=beside(kept.why, signed.why)))
    return {standing.piece.tag: standing.version for standing in after}, f"{lapsed}; the pieces were still free"


def _outcome(mine: Target, cuts: tuple[DonorCut, ...]) -> Booked:
    return Booked(
        mine.label,
        tuple(cut.tag for cut in cuts),
        tuple(cut.tag for cut in cuts if cut.cut.remaining is None),
        tuple(offcut.tag for cut in cuts for offcut in cut.offcuts),
        sum(cut.cut.waste_mm2 for cut in cuts),
        number=number_text(mine.number),
    )


def _booked(answer: Mapping[str, Any]) -> Booked:
    """The outcome as it was, or as it came back from a repeated request."""
    donors, used_up, offcuts = (tuple(answer[name]) for name in ("donors", "used_up", "offcuts"))
    return Booked(answer["job"], donors, used_up, offcuts, answer["waste_mm2"], answer.get("note", ""), answer.get("number", ""))


def _refuse_empty(plan: Plan) -> None:
    if not any(patch.parts for patch in plan.patches):
        raise NoPlan(f"the stock makes nothing of {plan.job!r}, so there is nothing to hold or cut")


def _refuse_not_there(fitted: Fitted) -> None:
    """Raises NotAllowed where a plan is cut from what is yet to come, such as roll to be ordered."""
    used = dict.fromkeys(part.piece for patch in fitted.plan.patches for part in patch.parts)
    if missing := [tag for tag in used if tag not in fitted.versions]:
        raise NotAllowed(f"not in the catalogue yet: {', '.join(missing)}. Log it once it is here, then fit the job anew")


def _release(catalogue: Catalogue, tags: list[str], job: str, signed: Signed) -> list[str]:
    standings = pieces.standings_tagged(catalogue, tags)
    held = [tag for tag in tags if (hold := standings[tag].hold) and hold.job == job]
    book(catalogue, [(tag, Released()) for tag in held], signed)
    return held


def _release_others(catalogue: Catalogue, mine: Target, needed: Collection[str], signed: Signed) -> None:
    """Lets go of what an earlier plan of the job held and is not needed now."""
    if mine.row and mine.row.stage is JobStage.HELD:
        _release(catalogue, [tag for tag in mine.row.donors if tag not in needed], mine.label, signed)


def _put(
    catalogue: Catalogue,
    mine: Target,
    fitted: Fitted,
    *,
    donors: tuple[Standing, ...],
    stage: JobStage,
    until: date | None,
    signed: Signed,
) -> None:
    versions = {standing.piece.tag: standing.version for standing in donors}
    plan = answer_json(with_most_telling(fitted.plan, MOST_PASSED))
    job, called = job_json(fitted.job), fitted.job.name
    row = JobRow(mine.label, stage, job, plan, versions, until, signed.who, mine.number, called)
    jobs.put(catalogue, row, signed)


def _kept(catalogue: Catalogue, rows: Sequence[JobRow], day: date | None = None) -> tuple[KeptJob, ...]:
    held = sorted({tag for row in rows if row.stage is not JobStage.CUT for tag in row.donors})
    standings = pieces.standings_tagged(catalogue, held)
    made = []
    for row in rows:
        job, plan = read_job(row.file, kept=True), read_answer(row.plan)
        state = state_of(row, standings, day or catalogue.today())
        why = ledger.why_of(catalogue, row.donors.values(), row.name)
        made.append(KeptJob(job, plan, state, row.donors, row.hold_until, row.who, number_text(row.number), row.name, why))
    return tuple(made)


def replace_job(signed: Signed, job: str) -> Signed:
    """The same signature for a job."""
    return replace(signed, job=job)
