"""Proves the catalogue: the file, each row, the chain of entries, each piece, cut, job and photograph against its entries.

    remnants verify
    remnants verify --head 214-7C1F90AB

Each fault tells which row it is, what that says and what it should say. `--head` tells whether a head that stands small on a
printed sheet or label is in the ledger, and at which entry: up to there the ledger is the one that the paper was printed from.

Exit code 0 when all is well, 1 with every fault otherwise, or when the head is not in the ledger.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.keep_safe import rows_to_verify, verify
from remnants.actions.ledger_head import read_head, told_of_head
from remnants.cli.printing import show_text
from remnants.cli.progress import counting

__all__ = ["add_arguments", "run"]

_WHAT_TO_DO = (
    "What to do: restore the newest sound backup with `remnants restore FILE`, which keeps this file beside it for whoever looks"
    " into it. What was booked after that backup must be booked again."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants verify`."""
    parser.add_argument("--head", metavar="HEAD", default="", help="what stands after `ledger` on a printed sheet or label")


def run(args: argparse.Namespace) -> int:
    """Prints what was looked at and every fault."""
    asked = read_head(args.head) if args.head else None
    with open_catalogue(args.catalogue, write=False) as catalogue:
        with counting("rows looked at", rows_to_verify(catalogue)) as passed:
            verified = verify(catalogue, passed=passed)
        agreed, of_head = told_of_head(catalogue, asked) if asked else (True, "")
    show_text(f"{verified.pieces} pieces, {verified.entries} entries: {'all is well' if not verified.faults else 'FAULTS'}")
    if verified.faults:
        show_text("\n".join(map(str, verified.faults)))
        if verified.more:
            show_text(f"and {verified.more} more")
        show_text(_WHAT_TO_DO)
    if of_head:
        show_text(f"{of_head}, but for the faults above" if agreed and verified.faults else of_head)
    return 0 if agreed and not verified.faults else 1
