"""Books the cuts of a job in one step: donors shrink, usable leftovers get tags of their own, the ledger remembers.

    remnants cut "Alder Court 7"
    remnants cut job.json --yes

A job that is held is named; a job file is fitted now, shown, and booked after a yes. The largest usable leftover of a donor
keeps its tag; other usable ones become offcuts; the rest is waste. If the stock changed since the plan was made, nothing is
booked and what changed is told. `remnants undo` takes a cut back.

    remnants cut "Alder Court 7" --keep R-1/2 --discard R-1/1

`--keep` keeps a leftover that the answer calls waste, `--discard` throws one away that it would keep. The answer tells their
names; `all` means every one.
"""

import argparse
from dataclasses import replace
from pathlib import Path

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.fit_job import fit_job
from remnants.actions.keep_job import Booked, cut_job, cut_plan
from remnants.actions.leftovers import Choice
from remnants.actions.shop_rules import own_rules
from remnants.cli.fit_options import add_belonging, add_way, asked_of, chosen, has_chosen, named_of
from remnants.cli.job_choice import add_which, which_job
from remnants.cli.options import add_signature, now, signature
from remnants.cli.printing import agreed, page_width, remark, remarks, show_text
from remnants.errors import BadInput, Fault
from remnants.exchange import read_job
from remnants.report.plain import fit_text
from remnants.units import write_area

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants cut`."""
    parser.add_argument("job", metavar="JOB", help="the number or name of a job that is held, or a job file (JSON)")
    parser.add_argument("--yes", action="store_true", help="book a job file's plan without asking")
    add_belonging(parser, "beside what the job file says")
    add_way(parser)
    for option, help_text in (
        ("--keep", "keep this leftover, though it is called waste"),
        ("--discard", "throw it away, though it is kept"),
    ):
        parser.add_argument(option, metavar="LEFTOVER", action="append", default=[], help=f"{help_text}: R-1, R-1/2, or all")
    add_which(parser)
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Books the cuts and tells what became of the donors."""
    with open_catalogue(args.catalogue, write=True) as catalogue:
        if Path(args.job).is_file():
            booked = _cut_file(args, catalogue)
        else:
            _refuse_options(args)
            booked = cut_job(catalogue, args.job, signed=signature(args), key=args.key, choice=_choice(args))
    if booked is None:
        show_text("nothing was booked")
        return 0
    if booked.note:
        show_text(booked.note)
    left = [tag for tag in booked.donors if tag not in booked.used_up]
    told = [("cut", booked.donors), ("still there, smaller", left), ("used up", booked.used_up), ("new offcuts", booked.offcuts)]
    show_text("\n".join(f"{what}: {', '.join(tags)}" for what, tags in told if tags))
    show_text(f"waste: {write_area(booked.waste_mm2, args.unit)}")
    return 0


def _refuse_options(args: argparse.Namespace) -> None:
    """A job that is held has its plan. Raises BadInput where the options ask for another."""
    told = f"{args.job!r} is no file, and a job that is held is cut as it is planned: hold its file anew with this"
    faults = [Fault(name, told) for name in named_of(args)]
    if faults:
        raise BadInput(faults)


def _choice(args: argparse.Namespace) -> Choice:
    return Choice(tuple(args.keep), tuple(args.discard))


def _cut_file(args: argparse.Namespace, catalogue: Catalogue) -> Booked | None:
    job = asked_of(args, read_job(Path(args.job), note=remark, rules=own_rules(catalogue)))
    which, own = which_job(args, catalogue, job.name)
    fitted = fit_job(catalogue, job, today=now().date(), own=own, ways=has_chosen(args))
    fitted = chosen(args, fitted)
    fitted = replace(fitted, plan=_choice(args).made(fitted.plan))
    remarks(fitted.notes)
    width, styled = page_width()
    show_text(fit_text(fitted.plan, fitted.job, fitted.pieces, fitted.styles, unit=args.shown_unit, width=width, styled=styled))
    if not (args.yes or agreed("Book these cuts?", otherwise="--yes")):
        return None
    return cut_plan(catalogue, fitted, signed=signature(args), key=args.key, choice=_choice(args), which=which)
