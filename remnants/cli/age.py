"""Lists stored pieces that may not be worth their shelf: old, too small, never asked for; the least worth first.

    remnants age
    remnants age --days 180
    remnants age --most 1000

Worth is the area of full-value carpet that a piece stands for: a scrap is worth less by the area than a large remnant.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.age_stock import age_stock
from remnants.cli.options import add_most, at_least_one, now
from remnants.cli.printing import show, show_text
from remnants.report.counts import age_table
from remnants.units import write_area

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants age`."""
    parser.add_argument(
        "--days", type=at_least_one, metavar="N", help="older than this is old (default: `old_days` of `remnants rules`)"
    )
    add_most(parser, "so many, the least worth")


def run(args: argparse.Namespace) -> int:
    """Prints the list and what it comes to."""
    with open_catalogue(args.catalogue, write=False) as catalogue:
        aged = age_stock(catalogue, now=now(), days=args.days, most=args.most)
    if not aged.count:
        show_text("every piece is worth its shelf")
        return 0
    lines = [(a.standing, [g.value for g in a.grounds], f"{a.since:%Y-%m-%d}", a.area_mm2, a.worth_mm2) for a in aged.listed]
    show(age_table(lines, args.unit))
    area, worth = write_area(aged.area_mm2, args.unit), write_area(aged.worth_mm2, args.unit)
    show_text(f"{aged.count} pieces, {area}, worth {worth} of full-value carpet")
    if aged.count > len(aged.listed):
        show_text(f"the {len(aged.listed)} least worth are listed; --most {aged.count} lists them all")
    return 0
