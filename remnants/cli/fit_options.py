"""The options of `remnants fit`."""

import argparse
import os
from dataclasses import replace
from pathlib import Path

from remnants.actions.fit_job import Fitted
from remnants.actions.fit_tasks import Limits
from remnants.cli.options import at_least_one
from remnants.cli.preview_options import add_preview
from remnants.errors import BadInput, Fault
from remnants.fitting import TRIES
from remnants.model import Job, MayUse
from remnants.units import parse_length

__all__ = ["add_arguments", "add_belonging", "add_way", "asked_of", "chosen", "has_chosen", "limits_of", "named_of"]


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
    parser.add_argument(
        "--why-not", metavar="TAG", default="", help="tell why this piece isn't the choice, and what would make it so"
    )
    parser.add_argument("--seconds", type=at_least_one, metavar="N", help="longest search of a job for a better share of donors")
    parser.add_argument("--tries", type=at_least_one, metavar="N", help=f"most tries of that search (default {TRIES})")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another seed may find another plan (default 0)")
    add_belonging(parser, "beside what the job files say; of several jobs, of each")
    add_way(parser)
    add_preview(parser)
    where = parser.add_mutually_exclusive_group()
    where.add_argument("--workers", type=at_least_one, metavar="N", help="answer so many jobs at a time, each in a process")
    where.add_argument("--cluster", metavar="ADDRESS", help="answer on the Dask cluster whose scheduler is at tcp://HOST:PORT")


def add_belonging(parser: argparse.ArgumentParser, told: str) -> None:
    """The options that say which carpet a job may use; `told` is said above them."""
    belonging = parser.add_argument_group("whose carpet", told)
    belonging.add_argument("--house", metavar="ADDRESS", help="where the job is (default: its name up to the first comma)")
    belonging.add_argument("--customer", metavar="REFERENCE", help="your own reference of whom the job is for")
    belonging.add_argument(
        "--branch", metavar="BRANCH", help="the branch or van that asks, of a shop with several (default: $REMNANTS_BRANCH)"
    )
    belonging.add_argument("--use", metavar="TAG", action="append", default=[], help="cut from this piece; repeatable")
    belonging.add_argument("--avoid", metavar="TAG", action="append", default=[], help="cut nothing from this piece; repeatable")
    belonging.add_argument(
        "--may-use",
        metavar="WHAT",
        action="append",
        default=[],
        choices=tuple(each.value for each in MayUse),
        help="also use what is left alone otherwise: 'in view', 'other customers' or 'other houses'; repeatable",
    )


def _moved(args: argparse.Namespace, job: Job) -> Job:
    """The job with the seam of its patch moved as the option says. Raises BadInput where it has several patches."""
    if args.shift_seam is None:
        return job
    if len(job.patches) > 1:
        what = f"{job.name!r} has {len(job.patches)} patches: say it in the job file, as `seam_shift` of the patch that is meant"
        raise BadInput([Fault("--shift-seam", what)])
    by = parse_length(args.shift_seam, args.shown_unit or job.unit)
    return replace(job, patches=(replace(job.patches[0], seam_shift_mm=by),))


def asked_of(args: argparse.Namespace, job: Job) -> Job:
    """The job with what the options say of whose carpet it may use and where its seam is to be. Raises BadInput."""
    return replace(
        _moved(args, job),
        house=job.house if args.house is None else args.house.strip(),
        customer=job.customer if args.customer is None else args.customer.strip(),
        branch=(args.branch or job.branch or os.environ.get("REMNANTS_BRANCH", "")).strip(),
        use=(*job.use, *(tag.strip() for tag in args.use)),
        avoid=(*job.avoid, *(tag.strip() for tag in args.avoid)),
        may_use=job.may_use | frozenset(map(MayUse, args.may_use)),
    )


def named_of(args: argparse.Namespace) -> tuple[str, ...]:
    """Those of these options that were given, as they are called."""
    given = {
        "--way": args.way > 1,
        "--take": args.take is not None,
        "--house": args.house is not None,
        "--customer": args.customer is not None,
        "--branch": args.branch is not None,
        "--use": args.use,
        "--avoid": args.avoid,
        "--may-use": args.may_use,
        "--shift-seam": args.shift_seam is not None,
    }
    return tuple(name for name, told in given.items() if told)


def limits_of(args: argparse.Namespace) -> Limits:
    """When each job's search ends: by the tries or seconds given, else by the usual tries."""
    return Limits(args.tries or (None if args.seconds else TRIES), args.seconds, args.seed, ways=True)


def add_shift(parser: argparse.ArgumentParser) -> None:
    """The option that moves the seam."""
    parser.add_argument(
        "--shift-seam",
        metavar="LENGTH",
        help="move the patch's seam the way the pile lays, or right with the pile up; the other way as in --shift-seam=-2in",
    )


def has_chosen(args: argparse.Namespace) -> bool:
    """Whether another way, or a change that would help, is taken: these have to be looked for."""
    return args.way > 1 or args.take is not None


def chosen(args: argparse.Namespace, fitted: Fitted) -> Fitted:
    """The way, or the change, that the options take. Raises BadInput where there is no such one."""
    return fitted.taken(args.way) if args.take is None else fitted.with_bargain(args.take)


def add_way(parser: argparse.ArgumentParser) -> None:
    """The options that take another of the ways that `remnants fit` tells, or one of the changes that would help."""
    add_shift(parser)
    parser.add_argument("--way", type=at_least_one, metavar="N", default=1, help="take way N of those that `remnants fit` tells")
    parser.add_argument(
        "--take",
        type=at_least_one,
        metavar="N",
        help="make change N of those that `remnants fit` tells would help, and go on",
    )
