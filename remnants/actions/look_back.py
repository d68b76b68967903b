"""After the repair: what was seen of each sight that was foretold, kept with the job, and how well the shop foretells.

Each look is an entry of every piece that its patch was cut from. It only grows: a wrong tap is mended by another look.
"""

from collections import Counter
from itertools import islice, product

from remnants.actions.booking import once
from remnants.actions.job_names import number_text, row_of
from remnants.actions.keep_job import KeptJob, State, find_job, replace_job
from remnants.errors import BadInput, Fault, NotAllowed
from remnants.ledger import Cut, LookedAt, Signed
from remnants.ledger.looks import SightLooked
from remnants.matching.seen import measured_range
from remnants.model import Sight, SightKind
from remnants.model.look import Look, LookBy, LookKind, LookWord, Step, told_grades
from remnants.model.shade_steps import MeasuredStep, steps_in
from remnants.model.sight import SEEN_WORDS
from remnants.model.tally import Foretold, Tally
from remnants.store import Catalogue, jobs, ledger, repair_looks
from remnants.store.jobs import JobStage

__all__ = ["SightLooked", "how_foretold", "jobs_cut_from", "look_back", "measure_back", "sights_looked", "take_look_back"]


def sights_looked(catalogue: Catalogue, job: str) -> tuple[SightLooked, ...]:
    """Every sight that the plan of the job of that number or name foretold, with what was seen. None before the cut.

    Raises NotFound.
    """
    kept = find_job(catalogue, job)
    return _looked(catalogue, kept) if kept.stage is State.CUT else ()


def look_back(catalogue: Catalogue, job: str, number: int, seen: str, *, signed: Signed, key: str = "") -> SightLooked:
    """Keeps how plainly somebody saw a sight: a grade in its words, `as foretold`, `better` or `worse`.

    An earlier look gives way. Raises NotFound; NotAllowed before the cut; BadInput for words that are none.
    """
    there = _sight(catalogue, job, number)
    grades = told_grades(seen, there.foretold)
    if grades is None:
        every = (*SEEN_WORDS, "as foretold", "better", "worse")
        words = ", ".join(f"`{word}`" for word in every if told_grades(word, there.foretold) is not None)
        raise BadInput([Fault("seen", f"{seen[:40]!r} is nothing that can be seen of it, foretold as it is: say one of {words}")])
    return _keep(catalogue, job, there, Look(number - 1, there.kind, there.foretold, LookBy.EYE, grades), signed=signed, key=key)


def measure_back(catalogue: Catalogue, job: str, number: int, step: str, *, signed: Signed, key: str = "") -> SightLooked:
    """Keeps the step in shade that a photograph of after told, as `remnants measure --shades` tells it of a piece.

    Raises as `look_back`; BadInput too where the sight is no shade beside the floor, or the piece isn't in its patch.
    """
    there = _sight(catalogue, job, number)
    if not there.measurable:
        raise BadInput([Fault("step", f"number {number} is a {there.kind}: a step in shade is told of carpet beside the floor")])
    found = _step(step, there.tags)
    figures: Step = found.delta_e, found.bar, found.graded, found.graded_bar
    seen = measured_range(found)
    look = Look(number - 1, there.kind, there.foretold, LookBy.PHOTOGRAPH, seen, figures)
    return _keep(catalogue, job, there, look, signed=signed, key=key)


def take_look_back(
    catalogue: Catalogue, job: str, number: int, *, by: LookBy = LookBy.EYE, signed: Signed, key: str = ""
) -> SightLooked:
    """Takes back what was told of a sight. Raises NotFound; NotAllowed where nothing was, and before the cut; BadInput for a
    number of none.
    """
    there = _sight(catalogue, job, number)
    return _keep(catalogue, job, there, Look(number - 1, there.kind, there.foretold, by, None), signed=signed, key=key)


def jobs_cut_from(catalogue: Catalogue, tag: str, *, most: int = 3) -> tuple[KeptJob, ...]:
    """The latest jobs that were cut from a piece and are cut still, newest first; none where no such piece is known."""
    cuts = [entry for entry in ledger.entries_of(catalogue, tag) if isinstance(entry.change, Cut)]
    rows = (jobs.find(catalogue, name) for name in dict.fromkeys(entry.signed.job for entry in reversed(cuts)))
    still = (row for row in rows if row and row.stage is JobStage.CUT and tag in row.donors)
    return tuple(find_job(catalogue, number_text(row.number)) for row in islice(still, most))


def how_foretold(catalogue: Catalogue) -> Foretold:
    """How what was seen of repairs came out against what was foretold, by kind and by way. It names no job and nobody."""
    looks = repair_looks.looks_of_all(catalogue)
    words = Counter((each.look.kind, each.look.by, each.look.word) for each in looks)
    loose = Counter((each.look.kind, each.look.by) for each in looks if each.look.foretold[0] != each.look.foretold[1])
    tallies = []
    for kind, by in product(LookKind, LookBy):
        as_foretold, better, worse = (words[kind, by, word] for word in LookWord)
        tallies.append(Tally(kind, by, as_foretold, better, worse, loose[kind, by]))
    looked = len({each.job for each in looks})
    return Foretold(tuple(tally for tally in tallies if tally.count), looked, repair_looks.count_cut_jobs(catalogue))


def _looked(catalogue: Catalogue, kept: KeptJob) -> tuple[SightLooked, ...]:
    looks = {(each.look.sight, each.look.by): each for each in repair_looks.looks_of(catalogue, kept.label)}
    donors = {patch.name: tuple(dict.fromkeys(part.piece for part in patch.parts)) for patch in kept.plan.patches}
    rings = {patch.name: tuple(patch.ring) for patch in kept.job.patches}
    every = tuple(dict.fromkeys(tag for tags in donors.values() for tag in tags))
    return tuple(
        SightLooked(
            place + 1,
            sight,
            _kind(sight),
            donors.get(sight.patch) or every,
            looks.get((place, LookBy.EYE)),
            looks.get((place, LookBy.PHOTOGRAPH)),
            rings.get(sight.patch, ()),
        )
        for place, sight in enumerate(kept.plan.sights)
    )


def _kind(sight: Sight) -> LookKind:
    if sight.kind is SightKind.SHADE:
        return LookKind.SHADE
    return LookKind.INNER_SEAM if sight.inside else LookKind.FLOOR_SEAM


def _sight(catalogue: Catalogue, job: str, number: int) -> SightLooked:
    kept = find_job(catalogue, job)
    if kept.stage is not State.CUT:
        raise NotAllowed(f"{kept.label!r} is not cut yet: what is seen of a repair is told once it is made")
    every = _looked(catalogue, kept)
    if not 1 <= number <= len(every):
        there = f"their numbers are 1 to {len(every)}" if every else "there are none"
        raise BadInput([Fault("number", f"{number} is none of the things foretold of {kept.label!r}; {there}")])
    return every[number - 1]


def _keep(catalogue: Catalogue, job: str, there: SightLooked, look: Look, *, signed: Signed, key: str) -> SightLooked:
    """One entry for each piece of the patch, as one booking, unless the job was changed since."""

    def do() -> int:
        row, now = row_of(catalogue, job), _sight(catalogue, job, there.number)
        if (now.sight, now.tags) != (there.sight, there.tags):
            raise NotAllowed(f"{row.name!r} was cut anew meanwhile; look at it again")
        if look.seen is None and look.by not in [each.look.by for each in now.looks]:
            raise NotAllowed(f"nothing was told by {look.by} of number {now.number}, so there is nothing to take back")
        first = ledger.next_number(catalogue)
        ledger.note_each(catalogue, there.tags, LookedAt(look), replace_job(signed, row.name))
        return first

    once(catalogue, key, ["looked at", job, there.number, look.by.value, look.seen, look.step], signed, do)
    return _sight(catalogue, job, there.number)


def _step(text: str, tags: tuple[str, ...]) -> MeasuredStep:
    try:
        found = steps_in(text)
    except BadInput as error:
        raise BadInput(Fault("step", fault.what) for fault in error.faults) from None
    own = {tag.casefold() for tag in tags}
    if len(found) != 1 or found[0].tag.casefold() not in own:
        raise BadInput([Fault("step", f"give one step, to a piece that the patch was cut from: {' or '.join(tags)}")])
    return found[0]
