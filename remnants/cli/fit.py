"""Answers whether a job's patches can be made from stock: whole, joined, or what is missing and by how much.

    remnants fit job.json
    remnants fit job.json --stock stock.json --svg drawings

Several patches share the donors: the search ends by --tries, --seconds or Ctrl-C, and says how far from the best its plan can be.
Without --stock it looks in the catalogue. With --svg it draws every donor with its cuts and every patch with its parts.
Nothing is held or cut.
"""

import argparse
import time
from collections.abc import Sequence
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.fit_job import Fitted, Searching, fit_job, fit_stock
from remnants.cli.files import write_texts
from remnants.cli.options import at_least_one, now
from remnants.cli.printing import page_width, remark, remarks, show_json, show_text
from remnants.cli.progress import searching
from remnants.exchange import answer_json, read_job, read_stock
from remnants.fitting import TRIES
from remnants.packing import Watch
from remnants.report.diagram import write_svgs
from remnants.report.plain import fit_text

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants fit`."""
    parser.add_argument("job", metavar="JOB", type=Path, help="a job file (JSON)")
    parser.add_argument("--stock", metavar="FILE", type=Path, help="a stock file (JSON) to look in, instead of the catalogue")
    parser.add_argument("--json", action="store_true", help="print the answer file, in the job's unit")
    parser.add_argument("--svg", metavar="FOLDER", type=Path, help="draw donors and patches into this folder")
    parser.add_argument("--seconds", type=at_least_one, metavar="N", help="longest search for a better way to share donors")
    parser.add_argument("--tries", type=at_least_one, metavar="N", help=f"most tries of that search (default {TRIES})")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another seed may find another plan (default 0)")


def run(args: argparse.Namespace) -> int:
    """Prints the answer."""
    fitted = _fitted(args)
    remarks(fitted.notes)
    written: tuple[Path, ...] = ()
    if args.svg:
        drawn = write_svgs(fitted.plan, fitted.job, pieces=fitted.pieces, styles=fitted.styles, unit=args.shown_unit)
        written = write_texts(args.svg, drawn)
    if args.json:
        show_json(answer_json(fitted.plan))
        return 0
    width, styled = page_width()
    show_text(fit_text(fitted.plan, fitted.job, fitted.pieces, fitted.styles, unit=args.shown_unit, width=width, styled=styled))
    if written:
        show_text(f"Drawings in {args.svg}: {', '.join(path.name for path in written)}")
    return 0


def _fitted(args: argparse.Namespace) -> Fitted:
    job = read_job(args.job, note=remark)
    tries = args.tries or (None if args.seconds else TRIES)
    with searching() as progress:
        watch = Watch(tries=tries, seconds=args.seconds, clock=time.monotonic, stop=progress.stop)
        search = Searching(args.seed, watch, lambda merit, bound: progress.say(_progress(merit, bound)))
        if args.stock:
            return fit_stock(read_stock(args.stock, note=remark), job, search=search)
        with open_catalogue(args.catalogue, write=False) as catalogue:
            return fit_job(catalogue, job, today=now().date(), search=search)


def _progress(merit: Sequence[int], bound: Sequence[int]) -> str:
    """The best yet and the bound: patches not filled, and parts."""
    return f"best yet: {merit[0]} not filled, {merit[3]} parts; at best {bound[0]} and {bound[3]}"
