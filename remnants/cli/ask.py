"""Answers a question in one line, as it would be said: what must be filled, which carpet, and what carpet is there.

    remnants ask "hall 36 x 33, wall left and right, pile to the door; aldern twist wheat; closet 84 x 31 1/2 pile to the right"
    remnants ask "circle of 14 in, pile up; velder loop oatmeal" --svg drawings
    remnants ask "L 60 x 40, notch 20 x 15 upper left, walls all round, pile down; velder loop" --as-job > job.json

It says first what each word was taken for. What it did not understand, what is missing and what is said in two ways is asked
for; nothing is guessed, and nothing is answered before it is told: the exit code is 1.
The door is drawn at the bottom unless a side is told. Carpet that the line tells of, such as the closet's, counts for this answer
and isn't logged. Nothing is held or cut. A file made with --as-job goes on to `fit`, `hold` and `cut`; `log` takes its carpet.
"""

import argparse
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.ask_in_words import (
    job_understood,
    offer_with_told,
    understood,
    understood_in_hand,
    with_free_tags,
    with_its_house,
)
from remnants.actions.fit_job import Fitted
from remnants.actions.fit_tasks import Limits, Task, fit_here
from remnants.cli.answers import STOPPED_BY_HAND, answer_file, answer_text, draw_answer
from remnants.cli.job_files import rules_for
from remnants.cli.options import now
from remnants.cli.printing import remark, remarks, show_json, show_text
from remnants.cli.progress import searching
from remnants.errors import Fault
from remnants.exchange import read_stock
from remnants.exchange.sentence import Sentence, asked_lines, still_to_tell
from remnants.fitting import BEST_POSSIBLE, TRIES
from remnants.units import Unit

__all__ = ["add_arguments", "run"]

MORE_TO_TELL = 1


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants ask`."""
    parser.add_argument("words", metavar="WORDS", nargs="+", help="the question, in one line or several words")
    parser.add_argument("--stock", metavar="FILE", type=Path, help="a stock file (JSON) to look in, instead of the catalogue")
    form = parser.add_mutually_exclusive_group()
    form.add_argument(
        "--as-job", action="store_true", help="print what was understood as a job file, its `ask` naming what is missing"
    )
    form.add_argument("--json", action="store_true", help="print the answer file")
    parser.add_argument("--svg", metavar="FOLDER", type=Path, help="draw donors and patches into this folder")


def run(args: argparse.Namespace) -> int:
    """Prints what was understood and the answer; exits with 1 while something must still be told."""
    text, unit = " ".join(args.words), _unit(args)
    stock = read_stock(args.stock, note=remark) if args.stock else None
    if stock:
        sentence = understood_in_hand(stock, text, unit)
    else:
        with open_catalogue(args.catalogue, write=False) as catalogue:
            sentence = understood(catalogue, text, unit)
            sentence = with_free_tags(catalogue, sentence) if args.as_job else sentence
    if args.as_job:
        return _print_job(with_its_house(sentence))
    if not args.json:
        show_text("\n".join(asked_lines(sentence)))
    if sentence.ask:
        remark(Fault("", "nothing is answered yet: say it again with what is still to be told"))
        return MORE_TO_TELL
    job = job_understood(sentence, rules_for(args.catalogue, args.stock))
    if stock:
        offer = offer_with_told(stock, job, sentence, today=now().date())
    else:
        with open_catalogue(args.catalogue, write=False) as catalogue:
            offer = offer_with_told(catalogue, job, sentence, today=now().date())
    with searching() as progress:
        (fitted,) = fit_here([Task(job, offer)], Limits(TRIES, ways=True), stop=progress.stop)
        stopped = progress.asked_to_stop
    _print(args, fitted, sentence)
    if stopped and fitted.plan.bound != BEST_POSSIBLE:
        remark(Fault("", "stopped by hand: this is the best found so far; a longer search may find better"))
        return STOPPED_BY_HAND
    return 0


def _print_job(sentence: Sentence) -> int:
    told = {"pieces": list(sentence.pieces)} if sentence.pieces else {}
    unread = {"unread": list(sentence.unread)} if sentence.unread else {}
    show_json({**sentence.job, **told, "ask": list(sentence.ask), **unread})
    remarks(still_to_tell(sentence))
    return MORE_TO_TELL if sentence.ask else 0


def _unit(args: argparse.Namespace) -> Unit:
    unit = args.shown_unit or Unit.IN
    return Unit.IN if unit is Unit.FT else unit


def _print(args: argparse.Namespace, fitted: Fitted, sentence: Sentence) -> None:
    remarks(fitted.notes)
    drawn = draw_answer(fitted, args.svg, args.shown_unit) if args.svg else ""
    if args.json:
        show_json(answer_file(fitted))
        return
    show_text(f"\n{answer_text(fitted, args.shown_unit)}{drawn}")
    used = {part.piece for patch in fitted.plan.patches for part in patch.parts}
    if unlogged := [str(piece["tag"]) for piece in sentence.pieces if piece["tag"] in used]:
        named = f"{' and '.join(unlogged)} {'is' if len(unlogged) == 1 else 'are'} not in the catalogue"
        remark(Fault("", f"{named}: make a job file with --as-job, log it from there, then hold or cut"))
