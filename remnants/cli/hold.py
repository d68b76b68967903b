"""Keeps the pieces that a job would be cut from, until the end of a day. Fits for other jobs pass over them and say so.

    remnants hold job.json
    remnants hold job.json --until 2031-06-01

The job is fitted first, and its plan is kept with it under a number: `remnants cut J-0001` books it. Where a job of that
name is there already you are asked which is meant: `--job J-0001` makes the plan of that one anew, `--again` is another job.

    remnants hold job.json --way 2 --why "they leave the closet as it is"

Which way was taken, which pieces were asked for or left out, and your own words stand in the ledger as the reason.
"""

import argparse
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.fit_job import fit_job
from remnants.actions.keep_job import hold_job
from remnants.actions.shop_rules import held_until, own_rules
from remnants.cli.fit_options import add_belonging, add_way, asked_of, chosen, has_chosen
from remnants.cli.job_choice import add_which, which_job
from remnants.cli.options import add_signature, day, now, signature
from remnants.cli.printing import remark, remarks, show_text
from remnants.days import day_words
from remnants.exchange import read_job

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants hold`."""
    parser.add_argument("job", metavar="JOB", type=Path, help="a job file (JSON)")
    parser.add_argument(
        "--until",
        metavar="DATE",
        type=day,
        help="last day of the hold (default: `hold_days` of `remnants rules` from today, at first 14)",
    )
    add_belonging(parser, "beside what the job file says")
    add_way(parser)
    add_which(parser)
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Holds the donors and names them."""
    today = now().date()
    with open_catalogue(args.catalogue, write=True) as catalogue:
        job = asked_of(args, read_job(args.job, note=remark, rules=own_rules(catalogue)))
        until = args.until or held_until(catalogue, today)
        which, own = which_job(args, catalogue, job.name)
        fitted = fit_job(catalogue, job, today=today, own=own, ways=has_chosen(args))
        fitted = chosen(args, fitted)
        remarks(fitted.notes)
        held = hold_job(catalogue, fitted, until=until, signed=signature(args), key=args.key, which=which)
    for patch in fitted.plan.patches:
        show_text(f"{patch.name}: {patch.verdict.value}")
    name = held.label if held.number in held.label else f"{held.label} ({held.number})"
    show_text(f"held for {name} until {day_words(until)}: {', '.join(held.tags)}")
    return 0
