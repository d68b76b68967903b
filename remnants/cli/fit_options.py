"""The options of `remnants fit`, and the job files that it reads."""

import argparse
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path

from remnants.actions.fit_jobs import Limits
from remnants.cli.options import at_least_one
from remnants.cli.printing import remark
from remnants.errors import BadFile, BadInput, Fault
from remnants.exchange import read_job
from remnants.fitting import TRIES
from remnants.model import Job

__all__ = ["add_arguments", "limits_of", "read_jobs"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants fit`."""
    parser.add_argument("jobs", metavar="JOB", type=Path, nargs="+", help="job files (JSON); each is answered on its own")
    parser.add_argument("--stock", metavar="FILE", type=Path, help="a stock file (JSON) to look in, instead of the catalogue")
    parser.add_argument(
        "--json", action="store_true", help="print the answer file, in the job's unit; of several jobs a list, in their order"
    )
    parser.add_argument(
        "--svg",
        metavar="FOLDER",
        type=Path,
        help="draw donors and patches into this folder; several jobs into a folder each in it",
    )
    parser.add_argument("--seconds", type=at_least_one, metavar="N", help="longest search of a job for a better share of donors")
    parser.add_argument("--tries", type=at_least_one, metavar="N", help=f"most tries of that search (default {TRIES})")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another seed may find another plan (default 0)")
    where = parser.add_mutually_exclusive_group()
    where.add_argument("--workers", type=at_least_one, metavar="N", help="answer so many jobs at a time, each in a process")
    where.add_argument("--cluster", metavar="ADDRESS", help="answer on the Dask cluster whose scheduler is at tcp://HOST:PORT")


def limits_of(args: argparse.Namespace) -> Limits:
    """When each job's search ends: by the tries or seconds given, else by the usual tries."""
    return Limits(args.tries or (None if args.seconds else TRIES), args.seconds, args.seed)


def read_jobs(paths: Sequence[Path]) -> tuple[Job, ...]:
    """The jobs in the files. Raises BadFile with the faults of all of them, each with its file where there are several."""
    if len(paths) == 1:
        return (read_job(paths[0], note=remark),)
    jobs: dict[Path, Job] = {}
    faults: list[Fault] = []
    for path in paths:
        try:
            jobs[path] = read_job(path, note=lambda fault, path=path: remark(_in_file(path, fault)))  # type: ignore[misc]
        except BadInput as error:
            faults += [_in_file(path, fault) for fault in error.faults]
    if faults := [*faults, *_one_name_each(paths, jobs)]:
        raise BadFile(faults)
    return tuple(jobs.values())


def _one_name_each(paths: Sequence[Path], jobs: dict[Path, Job]) -> list[Fault]:
    named = defaultdict(list)
    for path in paths:
        if path in jobs:
            named[jobs[path].name].append(str(path))
    return [
        Fault(", ".join(files), f"all are named {name!r}; give each job its own name, by which it is held and cut")
        for name, files in named.items()
        if len(files) > 1
    ]


def _in_file(path: Path, fault: Fault) -> Fault:
    """The fault with its file before its place."""
    return fault if fault.where == str(path) else Fault(", ".join(filter(None, (str(path), fault.where))), fault.what)
