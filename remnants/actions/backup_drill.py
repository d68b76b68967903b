"""A drill: a copy is brought back aside, never over the stock, and everything that it should hold is proved again."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from remnants.actions.bring_back import Tally, Watch, fetch, room_beside, unwatched
from remnants.actions.keep_job import KeptJob, find_job
from remnants.actions.known_copies import copies_of
from remnants.errors import CatalogueUnusable, NotFound, RemnantsError
from remnants.ledger import replay
from remnants.model import Piece
from remnants.proof import check_plan
from remnants.store import Catalogue, backup, jobs, ledger, open_catalogue, styles
from remnants.store.beside import beside
from remnants.store.copy_notes import Drill, read_notes, write_notes
from remnants.store.jobs import JobStage
from remnants.store.server_address import CatalogueAt

__all__ = ["MOST_PLANS", "Drilled", "drill"]

MOST_PLANS = 20
"""Plans that are proved again, the newest first."""


@dataclass(frozen=True)
class Drilled:
    """What came of it: the copy, when it was made (None: not known), what it holds, and how many of its plans were proved.

    `plans` were proved of the `kept` ones that were held or cut. Those in `outgrown` pass the check no better in the catalogue
    than in the copy: a style was described anew since, or the check has grown stricter. `faults` is what is wrong with the copy.
    """

    file: Path
    made: datetime | None
    holds: Tally | None = None
    plans: int = 0
    kept: int = 0
    outgrown: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    noted: bool = True


def drill(catalogue: CatalogueAt, file: Path | None, *, now: datetime, watch: Watch = unwatched) -> Drilled:
    """Tries out the copy `file`, or the newest that is known, and notes when. The catalogue is read, and never written to.

    `watch` sees how far the proof of its rows is. Raises NotFound when no copy is known or there; what is wrong with a copy is
    told, not raised.
    """
    path, made = _copy_of(catalogue, file)
    tried = _tried(catalogue, path, made, watch)
    try:
        write_notes(catalogue, replace(read_notes(catalogue), drill=Drill(now, passed=not tried.faults)))
    except OSError:
        return replace(tried, noted=False)
    return tried


def _copy_of(catalogue: CatalogueAt, file: Path | None) -> tuple[Path, datetime | None]:
    known = copies_of(read_notes(catalogue))
    if file is not None:
        if not file.is_file():
            raise NotFound(f"{file}: there is no such copy; name a file made by `remnants backup`")
        return file, next((copy.at for copy in known if copy.file == str(file.absolute())), None)
    if not known:
        raise NotFound("no copy of this catalogue is known; make one with `remnants backup FILE`, or name the copy to try out")
    there = [copy for copy in known if Path(copy.file).is_file()]
    if not there:
        raise NotFound(f"{known[-1].file}: the newest copy is not there; connect its disk, or make a new copy")
    return Path(there[-1].file), there[-1].at


def _tried(catalogue: CatalogueAt, path: Path, made: datetime | None, watch: Watch) -> Drilled:
    with room_beside(_place(catalogue, path)) as room:
        fresh = room.folder / "drill.db"
        try:
            fetch(path, fresh, watch=watch)
        except CatalogueUnusable as error:
            return Drilled(path, made, faults=(str(error),))
        with open_catalogue(fresh, write=False) as copy:
            rows = [row for row in jobs.listed(copy) if row.stage is not JobStage.RELEASED and row.donors]
            wrong = {row.name: told for row in rows[:MOST_PLANS] if (told := _plan_faults(copy, row.name))}
        outgrown = tuple(name for name, told in wrong.items() if told == _live_faults(catalogue, name))
        faults = tuple(f"the plan for {name!r}: {told}" for name, told in wrong.items() if name not in outgrown)
        return Drilled(path, made, backup.tally(fresh), len(rows[:MOST_PLANS]) - len(wrong), len(rows), outgrown, faults)


def _place(catalogue: CatalogueAt, path: Path) -> Path:
    """Beside what the copy is brought back: the catalogue, or the copy where this machine can keep nothing of a server's."""
    try:
        return beside(catalogue)
    except OSError:
        return path


def _live_faults(catalogue: CatalogueAt, name: str) -> str:
    try:
        with open_catalogue(catalogue, write=False) as opened:
            return _plan_faults(opened, name)
    except RemnantsError:
        return ""


def _plan_faults(catalogue: Catalogue, name: str) -> str:
    """What the independent check says against a job's plan, on the pieces as they were when it was booked."""
    try:
        kept = find_job(catalogue, name)
        return "; ".join(map(str, check_plan(kept.job, _pieces_then(catalogue, kept), styles.all_styles(catalogue), kept.plan)))
    except Exception as error:  # whatever reading it raises, it can't be proved
        return f"can't be read ({error})"


def _pieces_then(catalogue: Catalogue, kept: KeptJob) -> Mapping[str, Piece]:
    """The donors before the entry that holds or cuts them."""
    then = {
        tag: replay(entry for entry in ledger.entries_of(catalogue, tag) if entry.number < version).standing
        for tag, version in kept.versions.items()
    }
    return {tag: standing.piece for tag, standing in then.items() if standing}
