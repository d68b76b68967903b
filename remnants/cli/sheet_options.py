"""What the commands that print a plan share: where it comes from, how it is wanted, and reading both."""

import argparse
from dataclasses import replace
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.fit_job import Fitted, fit_job, fit_offer, offer_in_hand
from remnants.actions.ledger_head import head_note
from remnants.actions.make_sheet import SheetWish, held_plan, kept_plan, make_sheet, own_texts, texts_in
from remnants.actions.shop_rules import least_sizes
from remnants.cli.job_files import job_and_stock, rules_for
from remnants.cli.options import now
from remnants.cli.preview_options import add_pictured, repairs_pictured
from remnants.cli.printing import remark
from remnants.errors import BadInput, Fault
from remnants.exchange import Stock, read_answer
from remnants.materials.needs import Fixing
from remnants.materials.rules import MaterialRules, changed
from remnants.model import Job
from remnants.report.page import PageSize
from remnants.report.sheet import Sheet
from remnants.rules import LeastSizes

__all__ = ["add_sheet_arguments", "made_sheet", "paper_of", "plan_of", "wish_of"]

PAPERS = {"a4": PageSize.A4, "letter": PageSize.LETTER}


def add_sheet_arguments(parser: argparse.ArgumentParser) -> None:
    """The options that they share."""
    parser.add_argument("job", metavar="JOB", type=Path, help="a job file (JSON)")
    parser.add_argument("--stock", metavar="FILE", type=Path, help="a stock file (JSON) to look in, instead of the catalogue")
    parser.add_argument(
        "--answer", metavar="FILE", type=Path, help="an answer file to print, proved anew; else the job is fitted"
    )
    parser.add_argument("--paper", choices=tuple(PAPERS), default="a4", help="size of the paper (default a4)")
    parser.add_argument(
        "--fixing", choices=tuple(Fixing), default=Fixing.STRETCHED, type=str, help="how carpet is held (default stretched)"
    )
    parser.add_argument(
        "--rule", metavar="NAME=VALUE", action="append", default=[], help="another figure for a material rule, in the rule's unit"
    )
    parser.add_argument(
        "--side", choices=("pile", "back"), default="pile", help="side that lies up when donors are cut (default pile)"
    )
    parser.add_argument("--texts", metavar="FOLDER", type=Path, help="the shop's own text templates")
    add_pictured(parser)
    parser.add_argument("--link", metavar="TEXT", default="", help="what the QR code holds (default: the job's name)")


def plan_of(args: argparse.Namespace) -> Fitted:
    """The plan to print: the answer file's, proved anew, or the job's, fitted now."""
    job, stock = job_and_stock(args.job, args.stock, rules_for(args.catalogue, args.stock))
    fitted = _held(args, job, stock) if args.answer else _fitted(args, job, stock)
    for note in fitted.notes:
        remark(Fault("", note))
    return fitted


def wish_of(args: argparse.Namespace) -> SheetWish:
    """How the sheet is wanted. Raises BadInput for a rule that is none, BadFile for a template that is missing."""
    texts, (note, keep) = texts_in(args.texts) if args.texts else own_texts(), _of_catalogue(args)
    fixing, rules, back = Fixing(args.fixing), _rules(args.rule), args.side == "back"
    return SheetWish(texts, fixing, rules, args.shown_unit, args.link, note=note, back=back, keep=keep)


def made_sheet(args: argparse.Namespace) -> tuple[Fitted, SheetWish, Sheet]:
    """The plan to print, how it is wanted, and its sheet, with the repairs that are shown to the customer."""
    wish, fitted = wish_of(args), plan_of(args)
    wish = replace(wish, repairs=repairs_pictured(args, fitted))
    return fitted, wish, make_sheet(fitted, wish)


def paper_of(args: argparse.Namespace) -> PageSize:
    """The paper's size."""
    return PAPERS[args.paper]


def _of_catalogue(args: argparse.Namespace) -> tuple[str, LeastSizes]:
    """The head of the ledger that the plan is from, before it is made, and what the shop keeps; nothing, and what is kept at
    first, where the stock is a file's.
    """
    if args.stock:
        return "", LeastSizes()
    with open_catalogue(args.catalogue, write=False) as catalogue:
        return head_note(catalogue), least_sizes(catalogue, today=now().date())


def _fitted(args: argparse.Namespace, job: Job, stock: Stock | None) -> Fitted:
    if stock:
        return fit_offer(offer_in_hand(stock, job), job)
    with open_catalogue(args.catalogue, write=False) as catalogue:
        return fit_job(catalogue, job)


def _held(args: argparse.Namespace, job: Job, stock: Stock | None) -> Fitted:
    plan = read_answer(args.answer)
    if stock:
        return held_plan(plan, job, by_tag=stock.piece_of, by_name=stock.style_of)
    with open_catalogue(args.catalogue, write=False) as catalogue:
        return kept_plan(catalogue, plan, job)


def _rules(given: list[str]) -> MaterialRules:
    values: dict[str, float] = {}
    faults = []
    for text in given:
        name, _, figure = text.partition("=")
        try:
            values[name.strip()] = float(figure)
        except ValueError:
            faults.append(Fault("--rule", f"{text!r} is no rule: write it as NAME=VALUE, such as tape_run_out=75"))
    if faults:
        raise BadInput(faults)
    return changed(MaterialRules(), values)
