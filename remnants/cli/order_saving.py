"""Options that save an order under a number, or as a revision of one, and the saving itself."""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.kept_orders import Revision, order_kept, save_order
from remnants.actions.order_house import HouseOrdered
from remnants.actions.promised_seen import after_the_cut, promises_of
from remnants.cli.options import add_signature, at_least_one, signature
from remnants.cli.printing import remarks
from remnants.errors import BadInput, Fault
from remnants.estimating.quote import Quote

__all__ = ["add_saving", "saved"]


def add_saving(parser: argparse.ArgumentParser) -> None:
    """The options that keep what was worked out."""
    group = parser.add_argument_group("to keep it")
    group.add_argument("--save", action="store_true", help="save it as an order, under the next number")
    group.add_argument("--revises", metavar="NUMBER", type=at_least_one, help="save it as the next revision of this order")
    add_signature(parser)


def saved(args: argparse.Namespace, house: HouseOrdered, file: str, quoted: Quote | None = None) -> Revision | None:
    """The order as it is saved now, or was before where it orders the same; None where nobody asked. `file` asks for it.

    Raises as `save_order`.
    """
    if not args.save and args.revises is None:
        return None
    if args.save and args.revises is not None:
        raise BadInput([Fault("--save", "it is saved under a new number, or revises an order: give one of the two")])
    kept = order_kept(house.asked.name, house.plans, quoted)
    with open_catalogue(args.catalogue, write=True) as catalogue:
        made = save_order(catalogue, kept, revises=args.revises, asked=file, signed=signature(args), key=args.key)
        cut = after_the_cut(promises_of(catalogue, made.number), made.number, made.revision)
    remarks([cut] if cut else [])
    return made
