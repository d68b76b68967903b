"""Answers whether a job's patches can be made from stock: whole, joined, or what is missing and by how much.

    remnants fit job.json
    remnants fit job.json --stock stock.json --svg drawings
    remnants fit patch.json --preview repair.png --photo hall.jpg
    remnants fit monday.json tuesday.json wednesday.json --workers 2

Several patches share the donors: the search ends by --tries, --seconds or Ctrl-C, and says how far from the best its plan can be.
Carpet of other customers and houses is left alone, and so is a floor of this house that is seen, unless --may-use allows it.
Several jobs are answered each on its own against the same stock; what two of them want is told. Without --stock it looks in the
catalogue. With --svg it draws every donor with its cuts and every patch with its parts. Nothing is held or cut.

--preview shows the repair in the photograph that its damage was measured in: each donor's carpet at its true scale, turned as it
will lie. It is a drawing, not a promise. A donor needs a picture to scale: `log --photo --keep-photo`, or `measure --scaled`.
"""

import argparse
from dataclasses import replace

from remnants.actions.fit_job import Fitted
from remnants.cli.answers import STOPPED_BY_HAND, answer_file, answer_text, draw_answer
from remnants.cli.fit_options import add_arguments, asked_of, chosen
from remnants.cli.fit_run import answers, asked_about
from remnants.cli.job_files import jobs_and_stock, rules_for
from remnants.cli.preview_options import preview_written
from remnants.cli.printing import remark, remarks, show_json, show_text
from remnants.errors import BadInput, Fault
from remnants.fitting import BEST_POSSIBLE, contested
from remnants.report.diagram import safe_names
from remnants.report.jobs_text import contested_lines, jobs_text

__all__ = ["add_arguments", "run"]


def run(args: argparse.Namespace) -> int:
    """Prints the answers, in the order of the jobs."""
    jobs, stock = jobs_and_stock(args.jobs, args.stock, rules_for(args.catalogue, args.stock))
    jobs = tuple(asked_of(args, job) for job in jobs)
    if args.shown_unit and not args.json:
        jobs = tuple(replace(job, unit=args.shown_unit) for job in jobs)
    found, stopped = answers(args, jobs, stock)
    found = asked_about(args, jobs, stock, found)
    found = tuple(chosen(args, fitted) for fitted in found)
    remarks(dict.fromkeys(note for fitted in found for note in fitted.notes))
    drawn = _draw(args, found)
    if args.preview:
        drawn = [line + shown for line, shown in zip(drawn, _previews(args, found), strict=True)]
    plans = [fitted.plan for fitted in found]
    both = contested(plans)
    if args.json:
        remarks(contested_lines(both))
        told = [answer_file(fitted) for fitted in found]
        show_json(told if len(told) > 1 else told[0])
    else:
        texts = [answer_text(fitted, args.shown_unit) + line for fitted, line in zip(found, drawn, strict=True)]
        show_text("\n\n".join([*texts, *([jobs_text(plans, both)] if len(plans) > 1 else [])]))
    unsure = [plan.job for plan in plans if plan.bound != BEST_POSSIBLE]
    if stopped and unsure:
        remark(Fault("", f"stopped by hand: the best found so far for {', '.join(unsure)}; a longer search may find better"))
        return STOPPED_BY_HAND
    return 0


def _previews(args: argparse.Namespace, found: tuple[Fitted, ...]) -> list[str]:
    """Shows the repair of the one job in its photograph, and gives lines about it. Raises BadInput."""
    if len(found) > 1:
        raise BadInput([Fault("--preview", "one job is shown in a photograph: give one job file")])
    return [preview_written(args, found[0])]


def _draw(args: argparse.Namespace, found: tuple[Fitted, ...]) -> list[str]:
    """Writes the drawings, of several jobs into a folder each, and gives a line about each job's."""
    if not args.svg:
        return [""] * len(found)
    folders = [args.svg / name for name in safe_names([each.job.name for each in found])] if len(found) > 1 else [args.svg]
    return [draw_answer(each, folder, args.shown_unit) for each, folder in zip(found, folders, strict=True)]
