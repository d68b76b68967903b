"""Shows the shop's own prices, by which quotes are made, or puts a price file in their place.

    remnants prices
    remnants prices prices.json --by Maud --why "spring list"
    remnants prices --export prices.json
    remnants prices --history

A price file is as `remnants papers --prices` reads it. It is set as a whole, in one step, with who did it and when; the lists
before it stay in the history. A quote takes the kept prices where no file is given.
"""

import argparse
import json
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.price_lists import PricesSet, prices_in_force, prices_over_time, set_prices
from remnants.cli.files import write_bytes
from remnants.cli.options import add_signature, signature
from remnants.cli.printing import remark, show, show_json, show_text
from remnants.days import day_words
from remnants.errors import NotFound
from remnants.exchange.price_entries import price_list_json, read_price_list
from remnants.report.prices_text import changes_told, prices_table

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants prices`."""
    parser.add_argument(
        "file", metavar="FILE", nargs="?", type=Path, help="a price file (JSON) to put in force; none shows what is"
    )
    parser.add_argument("--export", metavar="FILE", type=Path, help="write the list in force as a price file")
    parser.add_argument("--history", action="store_true", help="show every list that was set: when, by whom, what changed")
    parser.add_argument("--json", action="store_true", help="print the list in force as a price file")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Sets what is given, and shows what is in force."""
    prices = read_price_list(args.file, note=remark) if args.file else None
    with open_catalogue(args.catalogue, write=prices is not None) as catalogue:
        if prices is not None:
            found: PricesSet | None = set_prices(catalogue, prices, signed=signature(args), key=args.key)
        else:
            found = prices_in_force(catalogue)
        past = prices_over_time(catalogue) if args.history else ()
    if found is None:
        raise NotFound("no prices are kept yet; `remnants prices FILE` puts a price file in")
    if args.export:
        write_bytes(args.export, f"{json.dumps(price_list_json(found.prices), indent=1)}\n".encode())
    if args.json:
        show_json(price_list_json(found.prices))
    elif args.history:
        for each in past:
            why = f" ({each.why})" if each.why else ""
            show_text(
                f"{day_words(each.at)}, {each.who}{why}: {'; '.join(changes_told(each.before, each.prices)) or 'as before'}"
            )
    else:
        _show(found)
    return 0


def _show(found: PricesSet) -> None:
    show(prices_table(found.prices))
    more = f"Margin {float(found.prices.margin_percent):g} %, tax {float(found.prices.tax_percent):g} %."
    show_text(f"{more} Set by {found.who} on {day_words(found.at)}.")
