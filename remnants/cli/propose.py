"""Proposes where the patch should end, from the damage and its room.

    remnants propose burn.json
    remnants propose burn.json --svg drawings
    remnants propose burn.json --take 1 --save patch.json
    remnants propose burn.json --photo hall.jpg --corners 812,640 1020,655 1004,880

The job file tells the damage of a patch (`damage`, and `margin` round it) instead of its size, and the room that it lies in:
walls, doorways, where people walk, light, furniture. Up to three outlines come with their plans, the recommended one first: what
each is, why its sides stop where they do, and what will be seen. Without the room's walls it is a rectangle between rows. --take
answers the job with one of them, as `remnants fit` does; --save writes that job, for `fit`, `hold`, `sheet` and `cut`.

--photo tells the damage of the one patch that has none, out of a photograph with a marker page (`remnants photo-page`); the
margin grows by what it may be off. Lay the page with its top up the room's +y, or tell --page-at.
"""

import argparse
import json
import shlex
import time
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from remnants.actions import open_catalogue
from remnants.actions.fit_job import Searching, offer_in_hand
from remnants.actions.photo_outlines import damaged_entry
from remnants.actions.propose_job import Proposed, proposals_from, proposals_of
from remnants.cli.files import write_bytes, write_texts
from remnants.cli.job_files import damaged_job_and_stock, rules_for
from remnants.cli.options import at_least_one, now
from remnants.cli.photo_options import outline_in, page_place, photo_wish
from remnants.cli.printing import page_width, remarks, show_json, show_text
from remnants.cli.progress import searching
from remnants.errors import BadInput, Fault
from remnants.exchange import Stock, answer_json, job_json
from remnants.exchange.proposals import proposals_json
from remnants.model import DamagedJob
from remnants.packing import Watch
from remnants.report.diagram import safe_names, write_svgs
from remnants.report.outline_view import outline_drawings
from remnants.report.plain import fit_text
from remnants.report.proposal_text import ask_next, proposals_text
from remnants.report.svg import svg_text
from remnants.rules import ShopRules
from remnants.units import Unit

__all__ = ["add_arguments", "run"]


SECONDS = 5
"""Nobody waits longer for where to cut."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants propose`."""
    parser.add_argument("job", metavar="JOB", type=Path, help="job file (JSON) with the damage of its patch")
    parser.add_argument("--stock", metavar="FILE", type=Path, help="a stock file (JSON) to look in, instead of the catalogue")
    parser.add_argument("--json", action="store_true", help="print the proposals with their answers, in the job's unit")
    parser.add_argument("--svg", metavar="FOLDER", type=Path, help="draw each outline in its room into this folder")
    parser.add_argument("--take", type=at_least_one, metavar="N", help="answer the job with outline N of those told")
    parser.add_argument("--save", metavar="FILE", type=Path, help="with --take: write the job with that outline into this file")
    photo_wish(parser, "the damage of the patch that has none")
    parser.add_argument(
        "--page-at",
        metavar="X,Y",
        type=page_place,
        help="where the page's middle lies in the room; X,Y,DEGREES where its top is turned",
    )
    parser.add_argument(
        "--seconds",
        type=at_least_one,
        metavar="N",
        default=SECONDS,
        help=f"longest search, of processor time (default {SECONDS})",
    )


def run(args: argparse.Namespace) -> int:
    """Prints the outlines, or the answer with the one that is taken."""
    if args.save and args.take is None:
        raise BadInput([Fault("--save", "say which outline is meant: give --take too")])
    rules = rules_for(args.catalogue, args.stock)
    asked, stock = damaged_job_and_stock(_with_photo(args, rules) if args.photo else args.job, args.stock, rules)
    if args.shown_unit and not args.json:
        asked = replace(asked, job=replace(asked.job, unit=args.shown_unit))
    with searching() as progress:
        progress.say("looking for outlines")
        watch = Watch(seconds=args.seconds, clock=time.process_time, stop=progress.stop)
        found = _found(args, asked, stock, Searching(watch=watch))
    remarks(dict.fromkeys(note for each in found for note in each.fitted.notes))
    chosen = _taken(args, found)
    drawn = _draw(args, asked, found, chosen)
    if chosen is not None:
        _answer(args, chosen, drawn)
    elif args.json:
        show_json(proposals_json([each.proposal for each in found], ask=ask_next(asked)))
    else:
        width, _ = page_width()
        pieces = {tag: piece for each in found for tag, piece in each.fitted.pieces.items()}
        told = [each.proposal for each in found]
        show_text(proposals_text(told, asked, pieces, width=width, command=_taking(args)) + drawn)
    return 0


def _with_photo(args: argparse.Namespace, rules: ShopRules) -> Mapping[str, Any] | Path:
    """The job with the damage that the photograph shows; a file that tells no job is left for the reader to refuse."""
    path: Path = args.job
    try:
        job = json.loads(path.read_bytes())
    except (OSError, ValueError):
        return path
    if not isinstance(job, dict) or job.get("unit") not in tuple(Unit):
        return path
    view, found = outline_in(args, most_bar_mm=rules.seam_mm / 2)
    return damaged_entry(job, found, view.picture.digest, args.page_at)


def _found(args: argparse.Namespace, asked: DamagedJob, stock: Stock | None, search: Searching) -> tuple[Proposed, ...]:
    if stock:
        return proposals_from(offer_in_hand(stock, asked.job), asked, search=search)
    with open_catalogue(args.catalogue, write=False) as catalogue:
        return proposals_of(catalogue, asked, today=now().date(), search=search)


def _taken(args: argparse.Namespace, found: Sequence[Proposed]) -> Proposed | None:
    """The outline that is taken, its job written where that is asked for. Raises BadInput where there is no such outline."""
    if args.take is None:
        return None
    if args.take > len(found):
        count = len(found)
        raise BadInput([Fault("--take", f"{count} outlines are told: give 1 to {count}" if count > 1 else "one is told: give 1")])
    chosen: Proposed = found[args.take - 1]
    if args.save:
        write_bytes(args.save, (json.dumps(job_json(chosen.proposal.job), indent=1, ensure_ascii=False) + "\n").encode())
    return chosen


def _taking(args: argparse.Namespace) -> str:
    """The command that takes the first outline, from the same stock."""
    stock = ["--stock", str(args.stock)] if args.stock else []
    return shlex.join(["remnants", "propose", str(args.job), *stock, "--take", "1", "--save", "FILE"])


def _answer(args: argparse.Namespace, chosen: Proposed, drawn: str) -> None:
    fitted = chosen.fitted
    if args.json:
        show_json(answer_json(fitted.plan, notes=fitted.notes))
        return
    width, styled = page_width()
    about = "\n".join(chosen.proposal.words)
    told = fit_text(fitted.plan, fitted.job, fitted.pieces, fitted.styles, unit=args.shown_unit, width=width, styled=styled)
    saved = f"The job with this outline is in {args.save}.\n" if args.save else ""
    show_text(f"{about}\n\n{told}{drawn}{saved}")


def _draw(args: argparse.Namespace, asked: DamagedJob, found: Sequence[Proposed], chosen: Proposed | None) -> str:
    """Draws the outlines, or the one that is taken with its cuts, and gives a line about it."""
    if not args.svg:
        return ""
    shown = [(number, each) for number, each in enumerate(found, 1) if chosen is None or each is chosen]
    made = [
        drawing
        for number, each in shown
        for drawing in outline_drawings(
            each.proposal,
            asked,
            number=number,
            pieces=each.fitted.pieces,
            styles=each.fitted.styles,
            unit=args.shown_unit,
        )
    ]
    names = safe_names([drawing.name for drawing in made])
    texts = {f"{name}.svg": svg_text(drawing) for name, drawing in zip(names, made, strict=True)}
    if chosen is not None:
        fitted = chosen.fitted
        texts |= write_svgs(fitted.plan, fitted.job, pieces=fitted.pieces, styles=fitted.styles, unit=args.shown_unit)
    written = write_texts(args.svg, texts)
    return f"Drawings in {args.svg}: {', '.join(path.name for path in written)}\n"
