"""The files that a question is asked with: jobs, and the stock where it isn't the catalogue."""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from remnants.actions import open_catalogue
from remnants.actions.shop_rules import own_rules
from remnants.cli.printing import remark
from remnants.errors import BadFile, BadInput, Fault
from remnants.exchange import Note, Stock, read_damaged_job, read_job, read_stock
from remnants.model import DamagedJob, Job
from remnants.rules import AT_FIRST, ShopRules
from remnants.store.server_address import CatalogueAt

__all__ = ["damaged_job_and_stock", "job_and_stock", "jobs_and_stock", "rules_for"]

V = TypeVar("V")


def rules_for(catalogue: CatalogueAt, stock: Path | None) -> ShopRules:
    """The rules by which jobs are read: the shop's, and for a stock in a file those of a shop that changed none."""
    if stock or not catalogue.exists():
        return AT_FIRST
    with open_catalogue(catalogue, write=False) as opened:
        return own_rules(opened)


def job_and_stock(job: Path, stock: Path | None, rules: ShopRules = AT_FIRST) -> tuple[Job, Stock | None]:
    """The job, and the stock where a file of it is named. Raises BadFile with the faults of both at once."""
    (asked,), offered = jobs_and_stock([job], stock, rules)
    return asked, offered


def damaged_job_and_stock(
    job: Path | Mapping[str, Any], stock: Path | None, rules: ShopRules = AT_FIRST
) -> tuple[DamagedJob, Stock | None]:
    """As `job_and_stock`, of a job whose patches may be told by their damage."""
    faults: list[Fault] = []
    asked = _read(partial(read_damaged_job, job, note=remark, rules=rules), faults)
    offered = _read(partial(read_stock, stock, note=remark), faults) if stock else None
    if faults or asked is None:
        raise BadFile(faults)
    return asked, offered


def jobs_and_stock(jobs: Sequence[Path], stock: Path | None, rules: ShopRules = AT_FIRST) -> tuple[tuple[Job, ...], Stock | None]:
    """The jobs in the files, and the stock where a file of it is named. Raises BadFile with the faults of all at once.

    What a job leaves out is as the shop's `rules` have it.
    """
    faults: list[Fault] = []
    asked: dict[Path, Job] = {}
    for path in jobs:
        job = _read(partial(read_job, path, note=_note(path) if len(jobs) > 1 else remark, rules=rules), faults)
        if job is not None:
            asked[path] = job
    offered = _read(partial(read_stock, stock, note=remark), faults) if stock else None
    if faults := [*faults, *_one_name_each(jobs, asked)]:
        raise BadFile(faults)
    return tuple(asked.values()), offered


def _read(read: Callable[[], V], faults: list[Fault]) -> V | None:
    try:
        return read()
    except BadInput as error:
        faults += error.faults
        return None


def _note(path: Path) -> Note:
    """Tells remarks with their file."""
    return lambda fault: remark(Fault(f"{path}: {fault.where}" if fault.where else str(path), fault.what))


def _one_name_each(paths: Sequence[Path], jobs: Mapping[Path, Job]) -> list[Fault]:
    named = defaultdict(list)
    for path in paths:
        if path in jobs:
            named[jobs[path].name].append(str(path))
    return [
        Fault(", ".join(files), f"all are named {name!r}; give each job its own name, by which it is held and cut")
        for name, files in named.items()
        if len(files) > 1
    ]
