"""Answers what roll to order for rooms and stairs, once stock has given what it can.

    remnants order rooms.json
    remnants order rooms.json --stock stock.json --svg pictures --csv order.csv
    remnants order rooms.csv --roll-width 12ft
    remnants order plan.pdf --scale 1:50 --roll-width 3.66m
    remnants order plan.pdf --line 3 --known "12 ft 4 in" --roll-width 12ft
    remnants order plan.dxf --roll-width 3.66m --layer ROOMS --island HEARTHS

ROOMS is a rooms file (JSON), a spreadsheet with a room a row (CSV, .xlsx, .ods), or a drawing (DXF, PDF) in which closed
outlines, and lines that meet, bound the rooms. Rooms are laid in
breadths and fills with seams kept out of doorways and off the paths; what stock can give comes first; the rest is laid out on
the roll for the least length. The same question has the same answer, unless the time is up before the search is done, which is
said then. Ctrl-C stops with the best so far. Nothing is ordered, held or cut; with --save it is kept under a number,
and `remnants orders` tells it again.
"""

import argparse
import json
import time
from pathlib import Path
from typing import Any

from rich.text import Text

from remnants.actions import open_catalogue
from remnants.actions.order_house import HouseOrdered, StockFree, house_by_shop_rules, order_house, stock_free_for
from remnants.actions.order_rooms import Limits, Ordered, Way
from remnants.cli.files import write_bytes, write_texts
from remnants.cli.options import at_least_one, now
from remnants.cli.order_saving import add_saving, saved
from remnants.cli.plan_options import add_looking_options, add_plan_options, layers_told, page_told, plan_said
from remnants.cli.printing import remark, show, show_json, show_text
from remnants.cli.progress import searching
from remnants.errors import BadInput, Fault
from remnants.estimating import OrderPlan
from remnants.exchange import Stock, read_stock
from remnants.exchange.house import HouseAsked, read_house
from remnants.exchange.order import house_json, order_json, way_json
from remnants.exchange.plans.asked import file_of_plan
from remnants.exchange.room_lines import file_of_lines, is_lines
from remnants.exchange.rooms_kept import with_roll, without_drawing
from remnants.exchange.source import read_text
from remnants.model.house_plan import summed
from remnants.report.house_text import house_table
from remnants.report.order_text import house_csv, order_tables
from remnants.report.order_view import order_svgs
from remnants.report.ticket_text import ticket_text
from remnants.units import Unit, typed_size, write_length

__all__ = ["add_arguments", "add_question", "ordered_of", "run"]

SECONDS = 20
TRIES_A_SECOND = 40
"""Effort for each second asked for: a machine of 2026 at rest spends it sooner, so that the clock seldom ends a search."""

USUAL_WIDTHS = ("12 ft", "13' 6\"", "15 ft", "3.66 m", "4 m", "5 m")
"""Widths that broadloom comes in (trade and shop pages: 12 ft commonest in the US, 3.66 m, 4 m and 5 m elsewhere)."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants order`."""
    add_question(parser)
    add_looking_options(parser)
    parser.add_argument(
        "--ticket", action="store_true", help="print the cut ticket too: lengths off each roll, then how each is cut"
    )
    parser.add_argument("--json", action="store_true", help="print the order as JSON, in the file's unit")
    parser.add_argument("--csv", metavar="FILE", type=Path, help="write a table for a spreadsheet")
    parser.add_argument("--svg", metavar="FOLDER", type=Path, help="draw the roll and the rooms into this folder")


def add_question(parser: argparse.ArgumentParser) -> None:
    """What is to be ordered, and how long to look."""
    parser.add_argument(
        "rooms", metavar="ROOMS", type=Path, help="a rooms file (JSON), a table (CSV, .xlsx, .ods) or a drawing (DXF, PDF)"
    )
    parser.add_argument("--stock", metavar="FILE", type=Path, help="a stock file (JSON) to look in, instead of the catalogue")
    parser.add_argument("--no-stock", action="store_true", help="leave stock out")
    parser.add_argument("--roll-width", metavar="WIDTH", help="width of the roll, over what the file says")
    parser.add_argument("--roll-length", metavar="LENGTH", help="how long a roll comes, over what the file says")
    parser.add_argument(
        "--compare", action="store_true", help="compare the usual widths too: 12', 13' 6\", 15', 3.66 m, 4 m, 5 m"
    )
    parser.add_argument("--seconds", type=at_least_one, metavar="N", help="longest search (default 20); longer looks further")
    parser.add_argument(
        "--tries", type=at_least_one, metavar="N", help=f"how far to look, whatever the time (default {TRIES_A_SECOND} a second)"
    )
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another seed may find another plan (default 0)")
    parser.add_argument("--carpet", default="", metavar="STYLE", help="of a table that names several: the rooms of this one")
    add_plan_options(parser)
    add_saving(parser)


def run(args: argparse.Namespace) -> int:
    """Prints the order."""
    if args.layers:
        show_text(layers_told(args.rooms))
        return 0
    if args.lines:
        told, picture = page_told(args.rooms, args.page, args.shown_unit or Unit.MM)
        if args.svg:
            write_texts(args.svg, {"lines.svg": picture})
        show_text(told)
        return 0
    house, file = ordered_of(args)
    unit = args.shown_unit or house.asked.unit
    if args.svg:
        write_texts(args.svg, _pictures(house, unit))
    if args.csv:
        columns = [(part.carpet, _columns(each.chosen)) for part, each in zip(house.plans, house.carpets, strict=True)]
        write_bytes(args.csv, house_csv(columns, unit=unit).encode())
    revision = saved(args, house, file)
    if args.json:
        show_json(_answer(house) | ({"saved": {"order": revision.number, "revision": revision.revision}} if revision else {}))
        return 0
    for part, each in zip(house.plans, house.carpets, strict=True):
        _show_order(each, part.carpet, unit, ticket=args.ticket)
    if not house.asked.is_one:
        show(Text(), Text("In all", style="bold"), house_table(house.plans, unit))
    if revision:
        show_text(f"Saved: {revision.called}.")
    return 0


def _show_order(ordered: Ordered, carpet: str, unit: Unit, *, ticket: bool) -> None:
    way = ordered.chosen
    name = ", ".join(filter(None, (ordered.asked.floors.name, carpet)))
    more, passed = _others(ordered, unit), way.best.passed_over
    show(*order_tables(name, _columns(way), more, unit=unit, choices=way.choices, near=way.near_misses, passed=passed))
    if ticket:
        show(*ticket_text(way.best, unit))
    if carpet:
        show(Text())


def _answer(house: HouseOrdered) -> dict[str, Any]:
    unit, made = house.asked.unit, []
    for each in house.carpets:
        ways = [way_json(way.best, way.without, unit, choices=way.choices, near=way.near_misses) for way in each.ways]
        made.append(order_json(house.asked.name, unit, ways, notes=each.notes, refused=each.refused))
    if house.asked.is_one:
        return made[0]
    named = [{"carpet": part.carpet, **one} for part, one in zip(house.plans, made, strict=True)]
    return house_json(house.asked.name, unit, named, summed(house.plans))


def ordered_of(args: argparse.Namespace) -> tuple[HouseOrdered, str]:
    """The order for the house asked, in the stock to look in, and the rooms file that asks for it; what is to be said is said.

    Raises as `order_house`.
    """
    asked, file = _asked(args)
    unit = args.shown_unit or asked.unit
    asked, free = _stock(args, asked)
    with searching() as search:
        limits = Limits(
            seconds=args.seconds or (None if args.tries else SECONDS),
            tries=args.tries or (args.seconds or SECONDS) * TRIES_A_SECOND,
            seed=args.seed,
            clock=time.monotonic,
            stop=search.stop,
        )
        ordered = order_house(
            asked,
            free.stock,
            limits=limits,
            told=lambda length, bound: search.say(_progress(length, bound, unit)),
            names=free.names,
        )
    for part, each in zip(ordered.plans, ordered.carpets, strict=True):
        for note in (*each.notes, *each.refused):
            remark(Fault(part.carpet, note))
    return ordered, file


def _pictures(house: HouseOrdered, unit: Unit) -> dict[str, str]:
    """Those of each carpet's order; the carpets after the first have their number before the name."""
    drawn: dict[str, str] = {}
    for number, each in enumerate(house.carpets, start=1):
        own = _pictures_of(each.chosen, unit)
        drawn |= own if number == 1 else {f"carpet-{number}-{name}": text for name, text in own.items()}
    return drawn


def _pictures_of(way: Way, unit: Unit) -> dict[str, str]:
    """Those of the order to take, and of each other choice in the order of the table."""
    drawn = order_svgs(way.best, unit=unit)
    for number, plan in enumerate(way.choices, start=1):
        if plan != way.without:
            drawn |= {f"choice-{number}-{name}": text for name, text in order_svgs(plan, unit=unit).items()}
    return drawn


def _asked(args: argparse.Namespace) -> tuple[HouseAsked, str]:
    """The rooms with what options say of the roll, and the rooms file that asks for just that, as a saved order keeps it."""
    typed = args.shown_unit or Unit.MM
    if is_lines(args.rooms.name):
        file = file_of_lines(args.rooms, typed, carpet=args.carpet, note=remark)
    elif args.rooms.suffix.lower() in (".dxf", ".dwg", ".pdf"):
        file = file_of_plan(args.rooms, plan_said(args, typed), typed, note=remark)
    else:
        house, text = read_house(args.rooms, note=remark), read_text(args.rooms)
        raw = json.loads(text)
        said = _roll_said(args, house)
        if not said and not raw.get("drawing"):
            return house, text
        file = with_roll(without_drawing(raw, args.rooms.parent), said)
        return read_house(file), json.dumps(file)
    house = read_house(file)
    said = _roll_said(args, house)
    if "width" not in said and not all(each.asked.rolls for each in house.carpets):
        raise BadInput([Fault("--roll-width", "say how wide the roll is, as what tells the rooms doesn't")])
    file = with_roll(file, said)
    return read_house(file), json.dumps(file)


def _roll_said(args: argparse.Namespace, house: HouseAsked) -> dict[str, Any]:
    """What the options say of the roll, over what the file says of any."""
    said = {key: text for key in ("width", "length") if (text := _size(args, f"roll_{key}", house.unit))}
    return said | ({"widths": list(USUAL_WIDTHS)} if args.compare else {})


def _size(args: argparse.Namespace, name: str, unit: Unit) -> str:
    """A length above zero as a file has it; "" where none was given."""
    if not getattr(args, name):
        return ""
    try:
        return str(typed_size(getattr(args, name), args.shown_unit or unit))
    except BadInput as error:
        raise BadInput(Fault(f"--{name.replace('_', '-')}", fault.what) for fault in error.faults) from None


def _stock(args: argparse.Namespace, asked: HouseAsked) -> tuple[HouseAsked, StockFree]:
    """The stock to look in; where that is the catalogue, the rooms are asked by the shop's rules."""
    if args.no_stock:
        return asked, StockFree(Stock((), ()))
    if args.stock:
        return asked, StockFree(read_stock(args.stock, note=remark))
    with open_catalogue(args.catalogue, write=False) as catalogue:
        today = now().date()
        return house_by_shop_rules(catalogue, asked, today=today), stock_free_for(catalogue, asked, today=today)


def _progress(length_mm: float, bound_mm: float, unit: Unit) -> str:
    return f"searching: {write_length(length_mm, unit)} of roll, at least {write_length(bound_mm, unit)} for these cuts"


def _columns(way: Way) -> list[tuple[str, OrderPlan]]:
    if way.best is way.without or way.best.placed == way.without.placed:
        return [("all from the roll", way.best)]
    return [("all from the roll", way.without), ("stock first", way.best)]


def _others(ordered: Ordered, unit: Unit) -> list[tuple[str, OrderPlan]]:
    return [(f"roll {write_length(way.roll.width_mm, unit)} wide", way.best) for way in ordered.ways[1:]]
