"""Erases what is known of a customer: name, phone, address, and where in their home carpet lies. The carpet stays.

    remnants forget F-2031 --yes

What is erased can't be brought back. Copies made before with `remnants backup` still hold it.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.customers import customer_pieces, forget_customer
from remnants.cli.options import add_signature, signature
from remnants.cli.printing import agreed, show_text

__all__ = ["add_arguments", "run"]


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
        tags = forget_customer(catalogue, args.reference, signed=signature(args))
    show_text(f"{args.reference} is forgotten" + (f"; the carpet stays: {', '.join(tags)}" if tags else ""))
    return 0
