"""Erases what is known of a customer: reference, name, phone, address, where in their home carpet lies, photographs of it, and
their words in saved orders.

The carpet and the figures of orders stay.

    remnants forget F-2031 --yes

What is erased can't be brought back. Copies made before with `remnants backup` still hold it.
"""

import argparse
import sys
from collections.abc import Iterator

from remnants.actions import open_catalogue
from remnants.actions.customers import Forgotten, customer_pieces, forget_customer, forgetting_takes_long
from remnants.cli.options import add_signature, signature
from remnants.cli.printing import agreed, show_text

__all__ = ["add_arguments", "run"]

_MOST_NAMED = 12


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants forget`."""
    parser.add_argument("reference", metavar="REFERENCE", help="the customer's reference")
    parser.add_argument("--yes", action="store_true", help="do it without asking")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Erases them after a yes."""
    with open_catalogue(args.catalogue, write=True) as catalogue:
        customer, _ = customer_pieces(catalogue, args.reference)
        if not (args.yes or agreed(f"Erase for good who {customer.reference} is?", otherwise="--yes")):
            show_text("nothing was erased")
            return 0
        if forgetting_takes_long(catalogue):
            print("looking through every entry, then writing the file anew: that takes some seconds", file=sys.stderr, flush=True)
        found = forget_customer(catalogue, args.reference, signed=signature(args))
    show_text(f"{args.reference} is forgotten" + (f"; the carpet stays: {', '.join(found.tags)}" if found.tags else ""))
    if found.tags:
        show_text(f"with whom it is, is told as {found.reference} from now on")
    for line in _left(found):
        show_text(line)
    return 0


def _left(found: Forgotten) -> Iterator[str]:
    """What whoever forgets somebody still has to look after."""
    if found.agreements:
        yield f"what they had agreed to was erased with their name and how they drew it ({found.agreements})"
    if found.photographs:
        yield f"the photographs of their repairs were erased ({found.photographs})"
    if found.unclaimed:
        told = ", ".join(found.unclaimed[:_MOST_NAMED]) + (" and others" if len(found.unclaimed) > _MOST_NAMED else "")
        yield f"these jobs have photographs and don't tell whose home they show; look at them: {told}"
    if found.reasons:
        yield f"a reason that named them was erased in the history of {', '.join(found.reasons)}"
    if found.still_told:
        yield f"words like theirs still stand in the history of {', '.join(found.still_told)}; look whether they mean them"
    if found.jobs:
        yield f"words like theirs still stand in these jobs: {', '.join(map(repr, found.jobs))}; look whether they mean them"
    if found.orders_erased:
        yield f"their words were erased in these saved orders, whose figures stay: {', '.join(found.orders_erased)}"
    if found.orders:
        yield f"words like theirs still stand in these saved orders: {', '.join(found.orders)}; look whether they mean them"
    if not found.swept:
        yield (
            "the file may still hold what was erased: another program has it open, or the disk is full. End that program,"
            f" make room, and run `remnants forget {found.reference} --yes` to sweep it out"
        )
