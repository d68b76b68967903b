"""Holding the donors of a job, releasing them, cutting them: what a plan does to the stock, each in one transaction."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from remnants.actions.booking import book, once
from remnants.actions.fit_job import Fitted
from remnants.actions.job_state import State, state_of
from remnants.actions.leftovers import AS_TOLD, Choice, keeps
from remnants.actions.log_pieces import free_tags
from remnants.actions.shop_rules import keep_rule
from remnants.errors import NoPlan, NotAllowed, NotFound, StockChanged
from remnants.exchange import answer_json, job_json, read_answer, read_job
from remnants.ledger import BESIDE, Act, Counted, Held, Received, Released, Signed, Standing
from remnants.ledger.cutting import DonorCut, cut_donors
from remnants.model import Job, Kind, Plan
from remnants.proof import check_plan
from remnants.store import Catalogue, jobs, ledger, pieces, styles
from remnants.store.jobs import JobRow, JobStage

__all__ = [
    "Booked",
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

_HARMLESS = BESIDE | {Act.MOVED}


@dataclass(frozen=True)
class KeptJob:
    """A job in the catalogue, its plan, the versions of its donors then, and how far it is on the day that it was looked at."""

    job: Job
    plan: Plan
    stage: State
    versions: Mapping[str, int]
    hold_until: date | None
    who: str


@dataclass(frozen=True)
class Booked:
    """What a cut made of the stock: tags of the donors, of those used up, and of the offcuts; waste in mm².

    `note` tells what else the person should know; mostly empty.
    """

    job: str
    donors: tuple[str, ...]
    used_up: tuple[str, ...]
    offcuts: tuple[str, ...]
    waste_mm2: float
    note: str = ""


def find_job(catalogue: Catalogue, name: str, *, day: date | None = None) -> KeptJob:
    """The job of that name as it is on a day, else today. Raises NotFound."""
    row = jobs.find(catalogue, name.strip())
    if row is None:
        known = ", ".join(job.name for job in jobs.every_job(catalogue)[:5])
        raise NotFound(f"no job {name!r} is in the catalogue" + (f"; the latest are {known}" if known else ""))
    return _kept(catalogue, [row], day)[0]


def every_job(catalogue: Catalogue) -> tuple[KeptJob, ...]:
    """All jobs in the catalogue as they are today, newest first."""
    return _kept(catalogue, jobs.every_job(catalogue))


def hold_job(catalogue: Catalogue, fitted: Fitted, *, until: date, signed: Signed, key: str = "") -> tuple[str, ...]:
    """Keeps the donors of a plan for its job until the end of a day; gives their tags.

    Donors that an earlier plan of the job held, and this one doesn't need, are released. Raises NoPlan when the plan makes
    nothing, StockChanged when a donor is no longer as the plan found it.
    """
    job = replace_job(signed, fitted.job.name)

    def do() -> list[str]:
        _refuse_empty(fitted.plan)
        refuse_changed(catalogue, fitted.versions, fitted.job.name)
        tags = sorted(fitted.versions)
        older = jobs.find(catalogue, fitted.job.name)
        if older and older.stage is JobStage.HELD:
            _release(catalogue, [tag for tag in older.donors if tag not in fitted.versions], older.name, job)
        after = book(catalogue, [(tag, Held(fitted.job.name, until)) for tag in tags], job)
        _put(catalogue, fitted.job, fitted.plan, donors=after, stage=JobStage.HELD, until=until, signed=job)
        return tags

    return tuple(once(catalogue, key, ["hold", fitted.job.name, sorted(fitted.versions)], job, do))


def release_job(catalogue: Catalogue, name: str, *, signed: Signed, key: str = "") -> tuple[str, ...]:
    """Lets go of what is held for a job; gives the tags. Raises NotFound, NotAllowed when nothing is held for it."""
    job = replace_job(signed, name)

    def do() -> list[str]:
        row = jobs.find(catalogue, name)
        held = pieces.tags_held_for(catalogue, name)
        if row is None or not (held or row.stage is JobStage.HELD):
            raise (NotAllowed if row else NotFound)(f"nothing is held for {name!r}")
        tags = _release(catalogue, held, name, job)
        if row.stage is JobStage.HELD:
            jobs.put(catalogue, replace(row, stage=JobStage.RELEASED, hold_until=None), job)
        return tags

    return tuple(once(catalogue, key, ["release", name], job, do))


def cut_job(catalogue: Catalogue, name: str, *, signed: Signed, key: str = "", choice: Choice = AS_TOLD) -> Booked:
    """Books the plan that is held for a job. One whose hold lapsed is held anew first, where its pieces are still free.

    Raises NotFound, NotAllowed, StockChanged; BadInput for a choice that is none.
    """

    def do() -> Booked:
        kept = find_job(catalogue, name, day=signed.at.date())
        if kept.stage is State.CUT:
            raise NotAllowed(f"{name!r} was cut already by {kept.who}; `remnants undo` takes it back")
        versions, note = _held_anew(catalogue, kept, signed) if kept.stage is State.LAPSED else (kept.versions, "")
        booked = _cut(catalogue, kept.job, kept.plan, versions=versions, signed=signed, choice=choice)
        return replace(booked, note=note)

    return _booked(once(catalogue, key, choice.beside(["cut", name]), signed, lambda: vars(do())))


def cut_plan(catalogue: Catalogue, fitted: Fitted, *, signed: Signed, key: str = "", choice: Choice = AS_TOLD) -> Booked:
    """Books a plan that was just made, without a hold. Raises NoPlan, NotAllowed, StockChanged; BadInput as `cut_job`."""
    asked = choice.beside(["cut plan", fitted.job.name, answer_json(fitted.plan)["patches"]])

    def do() -> dict[str, Any]:
        return vars(_cut(catalogue, fitted.job, fitted.plan, versions=fitted.versions, signed=signed, choice=choice))

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


def _cut(catalogue: Catalogue, job: Job, plan: Plan, *, versions: Mapping[str, int], signed: Signed, choice: Choice) -> Booked:
    """The plan booked: each donor cut, each offcut received, the job marked. The caller holds the transaction."""
    _refuse_empty(plan)
    written = replace_job(signed, job.name)
    donors = refuse_changed(catalogue, versions, job.name)
    by_tag = {tag: standing.piece for tag, standing in donors.items()}
    faults = check_plan(job, by_tag, styles.all_styles(catalogue), plan)
    if faults:
        raise StockChanged(f"the plan for {job.name!r} no longer holds: {'; '.join(map(str, faults))}. Fit the job anew")
    plan = choice.made(plan)
    keep = keeps(plan, keep_rule(catalogue, today=signed.at.date()))
    tags = free_tags(catalogue, Kind.OFFCUT)
    cuts = cut_donors(plan, by_tag, keep=keep, new_tag=lambda: next(tags))
    booking = ledger.next_number(catalogue)
    after = book(catalogue, [(cut.tag, cut.cut) for cut in cuts], written)
    made = [Received(offcut, cut.tag) for cut in cuts for offcut in cut.offcuts]
    ledger.receive(catalogue, made, written, booking=booking)
    older = jobs.find(catalogue, job.name)
    if older and older.stage is JobStage.HELD:
        _release(catalogue, [tag for tag in older.donors if tag not in donors], job.name, written)
    _put(catalogue, job, plan, donors=after, stage=JobStage.CUT, until=None, signed=written)
    return _outcome(job.name, cuts)


def _held_anew(catalogue: Catalogue, kept: KeptJob, signed: Signed) -> tuple[Mapping[str, int], str]:
    """The versions of the donors once they are held again, and what to tell. Raises StockChanged where one was taken since."""
    lapsed = f"the hold lapsed on {kept.hold_until}"
    try:
        refuse_changed(catalogue, kept.versions, kept.job.name)
    except StockChanged as error:
        raise StockChanged(f"{lapsed}, and {error}") from None
    held = [(tag, Held(kept.job.name, signed.at.date())) for tag in sorted(kept.versions)]
    after = book(catalogue, held, replace_job(signed, kept.job.name))
    return {standing.piece.tag: standing.version for standing in after}, f"{lapsed}; the pieces were still free"


def _outcome(job: str, cuts: tuple[DonorCut, ...]) -> Booked:
    return Booked(
        job,
        tuple(cut.tag for cut in cuts),
        tuple(cut.tag for cut in cuts if cut.cut.remaining is None),
        tuple(offcut.tag for cut in cuts for offcut in cut.offcuts),
        sum(cut.cut.waste_mm2 for cut in cuts),
    )


def _booked(answer: Mapping[str, Any]) -> Booked:
    """The outcome as it was, or as it came back from a repeated request."""
    donors, used_up, offcuts = (tuple(answer[name]) for name in ("donors", "used_up", "offcuts"))
    return Booked(answer["job"], donors, used_up, offcuts, answer["waste_mm2"], answer.get("note", ""))


def _refuse_empty(plan: Plan) -> None:
    if not any(patch.parts for patch in plan.patches):
        raise NoPlan(f"the stock makes nothing of {plan.job!r}, so there is nothing to hold or cut")


def _release(catalogue: Catalogue, tags: list[str], job: str, signed: Signed) -> list[str]:
    standings = pieces.standings_tagged(catalogue, tags)
    held = [tag for tag in tags if (hold := standings[tag].hold) and hold.job == job]
    book(catalogue, [(tag, Released()) for tag in held], signed)
    return held


def _put(
    catalogue: Catalogue,
    job: Job,
    plan: Plan,
    *,
    donors: tuple[Standing, ...],
    stage: JobStage,
    until: date | None,
    signed: Signed,
) -> None:
    versions = {standing.piece.tag: standing.version for standing in donors}
    row = JobRow(job.name, stage, job_json(job), answer_json(plan), versions, until, signed.who)
    jobs.put(catalogue, row, signed)


def _kept(catalogue: Catalogue, rows: Sequence[JobRow], day: date | None = None) -> tuple[KeptJob, ...]:
    held = sorted({tag for row in rows if row.stage is not JobStage.CUT for tag in row.donors})
    standings = pieces.standings_tagged(catalogue, held)
    made = []
    for row in rows:
        job, plan = read_job(row.file, kept=True), read_answer(row.plan)
        state = state_of(row, standings, day or catalogue.today())
        made.append(KeptJob(job, plan, state, row.donors, row.hold_until, row.who))
    return tuple(made)


def replace_job(signed: Signed, job: str) -> Signed:
    """The same signature for a job."""
    return replace(signed, job=job)
