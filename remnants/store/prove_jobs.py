"""Whether jobs are as far as the entries of their donors say, and every hold and cut has its job."""

from collections.abc import Callable, Iterator
from typing import Any

from remnants.days import day_words
from remnants.errors import CatalogueUnusable, Fault
from remnants.ledger import Act, Cut, Entry, Held, History, Released, replay
from remnants.store.catalogue import Catalogue
from remnants.store.jobs import JobRow, JobStage, job_in
from remnants.store.ledger import entry_in
from remnants.store.soundness import entry_name, told, unvouched, where

__all__ = ["job_faults"]


def job_faults(catalogue: Catalogue, *, donors_of: Callable[[JobRow], frozenset[str]]) -> Iterator[Fault]:
    """Jobs that can't be read or are not where their entries lead; holds and cuts for jobs that are not there.

    `donors_of` reads a job's file and plan, and gives the tags of the pieces that the plan cuts.
    """
    try:
        for row in unvouched(catalogue, "SELECT * FROM job ORDER BY name"):
            name = where("job", row)
            try:
                job = _formed(row)
                planned = donors_of(job)
            except Exception as error:  # whatever reading it raises, it can't be read as a job
                yield Fault(name, f"can't be read as it should: {' '.join(str(error).split())[:120]}")
                continue
            for what in (*_plan_faults(job, planned), *_stage_faults(catalogue, job)):
                yield Fault(name, what)
        yield from _jobless(catalogue)
    except CatalogueUnusable as error:
        yield Fault("jobs", str(error))


def _formed(row: dict[str, Any]) -> JobRow:
    """The job in a row, where its parts are what they should be. Raises ValueError, and whatever reading a broken row does."""
    job = job_in(row)
    if row["hold_until"] == "":
        raise ValueError("`hold_until` is '', where a day or nothing belongs")
    if not (isinstance(job.donors, dict) and all(type(version) is int for version in job.donors.values())):
        raise ValueError(f"`donors` is {told(job.donors)}, where the last entry of each piece that it cuts belongs")
    return job


def _plan_faults(job: JobRow, planned: frozenset[str]) -> Iterator[str]:
    for tag in sorted(planned ^ job.donors.keys()):
        yield f"{tag} is {'cut by its plan and no donor of it' if tag in planned else 'a donor of it and not cut by its plan'}"
    if (job.stage is JobStage.HELD) != (job.hold_until is not None):
        yield f"it is {job.stage} and its hold ends on {day_words(job.hold_until) if job.hold_until else 'nothing'}"


def _stage_faults(catalogue: Catalogue, job: JobRow) -> Iterator[str]:
    """What the entries of the donors say against the job's stage, versions and end of its hold."""
    ends = []
    for tag, version in sorted(job.donors.items()):
        entries = _entries(catalogue, tag)
        if entries is None:
            continue  # told with the piece
        own = next((entry for entry in entries if entry.number == version), None)
        if own is None:
            yield f"it names entry {told(version)} of {tag}, which {tag} doesn't have"
            continue
        if own.signed.job != job.name:
            yield f"it names entry {version} of {tag}, which was {f'for {own.signed.job}' if own.signed.job else 'for no job'}"
            continue
        then, now = (replay(entry for entry in entries if entry.number <= last) for last in (version, entries[-1].number))
        if then.standing and then.standing.hold and then.standing.hold.job == job.name:
            ends.append(then.standing.hold.until)
        yield from _donor_faults(job, own, then, now, [entry for entry in entries if entry.number > version])
    if job.stage is JobStage.HELD and ends and job.hold_until and min(ends) != job.hold_until:
        yield f"its hold ends on {day_words(job.hold_until)}; by its entries it should end on {day_words(min(ends))}"


def _donor_faults(job: JobRow, own: Entry, then: History, now: History, since: list[Entry]) -> Iterator[str]:
    counting = {entry.number for entry, _ in now.counting}
    is_cut = isinstance(own.change, Cut) and own.signed.job == job.name and own.number in counting
    if (job.stage is JobStage.CUT) != is_cut:
        told_by = f"by entry {own.number} ({own.act} {own.signed.words})"
        yield f"it is {job.stage}; {told_by} {own.tag} {'was' if is_cut else 'is not'} cut for it"
        return
    if job.stage is JobStage.HELD:
        hold = then.standing.hold if then.standing else None
        gone = [entry for entry in since if isinstance(entry.change, Released) and entry.signed.job == job.name]
        if hold is None or hold.job != job.name:
            yield f"it is held; by entry {own.number} {own.tag} is {f'held for {hold.job}' if hold else 'not held'}"
        elif any(entry.number in counting for entry in gone):
            yield f"it is held; by entry {gone[-1].number} {own.tag} was released"
    if job.stage is JobStage.RELEASED and isinstance(own.change, Held) and own.number in counting:
        hold = now.standing.hold if now.standing else None
        if hold and hold.job == job.name and not any(entry.act in (Act.RELEASED, Act.UNDONE) for entry in since):
            yield f"it is released; by entry {own.number} {own.tag} is still held for it"


def _entries(catalogue: Catalogue, tag: str) -> list[Entry] | None:
    """A piece's entries; None when they can't be read or added up."""
    try:
        entries = [entry_in(row) for row in unvouched(catalogue, "SELECT * FROM entry WHERE tag = ? ORDER BY number", [tag])]
        replay(entries)
    except CatalogueUnusable:
        raise
    except Exception as error:  # told with the piece
        if catalogue.only_now(error):
            raise
        return None
    return entries


def _jobless(catalogue: Catalogue) -> Iterator[Fault]:
    """Holds and cuts for jobs that are not there."""
    sql = "SELECT * FROM piece WHERE hold_job IS NOT NULL AND hold_job NOT IN (SELECT name FROM job WHERE name IS NOT NULL)"
    for row in unvouched(catalogue, sql):
        yield Fault(where("piece", row), f"is held for the job {told(row['hold_job'])}, which is not there")
    sql = (
        "SELECT * FROM entry WHERE act = 'cut' AND job NOT IN (SELECT name FROM job WHERE name IS NOT NULL)"
        " AND CAST(number AS TEXT) NOT IN (SELECT CASE WHEN json_valid(facts)"
        " THEN coalesce(CAST(json_extract(facts, '$.number') AS TEXT), '') ELSE '' END FROM entry WHERE act = 'undone')"
    )
    for row in unvouched(catalogue, sql):
        yield Fault(entry_name(row), f"was for the job {told(row['job'])}, which is not there")
