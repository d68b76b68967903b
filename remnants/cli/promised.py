"""Shows the leftovers that saved orders promise, enters those of an order, takes one into stock, or calls an order's off.

    remnants promised
    remnants promised --of 12
    remnants promised --receive 3 --width "4' 8\\"" --place "Bay 3"
    remnants promised --call-off 12

What is promised is seen, and nothing can be cut from it: it is no piece yet. Received, it is an offcut with a tag, of the size
promised or as it was measured.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.promised import Corrected, call_off, promise, receive
from remnants.actions.promised_seen import promises
from remnants.cli.options import add_signature, at_least_one, signature
from remnants.cli.printing import show, show_text
from remnants.errors import BadInput, Fault
from remnants.report.promised_text import promised_table
from remnants.units import typed_size

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants promised`."""
    group = parser.add_mutually_exclusive_group()
    group.add_argument("--of", metavar="ORDER", type=at_least_one, help="enter what the latest revision of this order leaves")
    group.add_argument("--receive", metavar="NUMBER", type=at_least_one, help="take this promised leftover into stock")
    group.add_argument("--call-off", metavar="ORDER", type=at_least_one, help="call off what this order still promises")
    found = parser.add_argument_group("as it was found")
    found.add_argument("--width", metavar="LENGTH", help="across the pile, where it isn't as promised")
    found.add_argument("--length", metavar="LENGTH", help="along the pile, where it isn't as promised")
    found.add_argument("--lot", metavar="LOT", help="its dye lot, as the roll's label says")
    found.add_argument("--place", metavar="PLACE", default="", help="where it lies now")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Does what is asked, and shows what is promised."""
    corrected = Corrected(_size(args, "width"), _size(args, "length"), args.lot, args.place)
    changes = bool(args.of or args.receive or args.call_off)
    with open_catalogue(args.catalogue, write=changes) as catalogue:
        if args.receive:
            tag = receive(catalogue, args.receive, found=corrected, signed=signature(args), key=args.key)
            show_text(f"Received as {tag}.")
            return 0
        if args.call_off:
            count = call_off(catalogue, args.call_off, signed=signature(args), key=args.key)
            show_text(f"Order {args.call_off}: {count} promised leftover{'s' * (count != 1)} called off.")
            return 0
        found = promise(catalogue, args.of, signed=signature(args), key=args.key) if args.of else promises(catalogue)
    if found:
        show(promised_table([(each.number, each.order, each.leftover) for each in found], args.unit))
    else:
        show_text("nothing is promised; `remnants promised --of ORDER` enters what a saved order leaves")
    return 0


def _size(args: argparse.Namespace, name: str) -> float | None:
    text = getattr(args, name)
    if text is None:
        return None
    try:
        return typed_size(text, args.unit).mm
    except BadInput as error:
        raise BadInput(Fault(f"--{name}", fault.what) for fault in error.faults) from None
