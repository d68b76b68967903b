"""Puts in who has carpet of ours, or tells what they have. Keep no more about them than calling them one day takes.

    remnants customer F-2031 --name "M. Alder" --phone "555 0100" --may-call
    remnants customer F-2031
    remnants customer

Of very many pieces that they have the first 200 by their tags are listed; `--most` lists more.

`remnants move TAG attic --customer F-2031` says that they have a piece; `remnants forget F-2031` erases who they are.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.customers import customer_pieces, every_customer, put_customer
from remnants.cli.options import add_most, add_signature, signature
from remnants.cli.printing import show, show_text
from remnants.model.customer import Customer
from remnants.report.pieces import customer_words, standing_table

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants customer`."""
    parser.add_argument("reference", metavar="REFERENCE", nargs="?", help="the shop's own reference for them; none lists all")
    parser.add_argument("--name", default="")
    parser.add_argument("--phone", default="")
    parser.add_argument("--address", default="")
    parser.add_argument("--may-call", action="store_true", help="they agreed to be called about their carpet")
    add_most(parser, "so many pieces")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Stores or tells the customer."""
    told = Customer(args.reference or "-", args.name, args.phone, args.address, may_call=args.may_call)
    if args.reference and (told.known or args.may_call):
        with open_catalogue(args.catalogue, write=True) as catalogue:
            reference = put_customer(catalogue, told, signed=signature(args), key=args.key)
        show_text(f"customer {reference} is stored")
        return 0
    with open_catalogue(args.catalogue, write=False) as catalogue:
        if not args.reference:
            show_text("\n".join(f"{c.reference}: {customer_words(c)}" for c in every_customer(catalogue)) or "no customers")
            return 0
        customer, standings = customer_pieces(catalogue, args.reference)
    show_text(f"{customer.reference}: {customer_words(customer)}")
    if standings:
        show(standing_table(standings[: args.most], args.unit))
    if len(standings) > args.most:
        show_text(
            f"they have {len(standings):,}: the first {args.most} by tag are listed; --most {len(standings)} lists them all"
        )
    return 0
