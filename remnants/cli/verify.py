"""Proves the catalogue: the file is sound, every piece stands where its entries lead, the areas of every cut add up.

    remnants verify

Exit code 0 when all is well, 1 with every fault otherwise.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.keep_safe import verify
from remnants.cli.printing import show_text

__all__ = ["add_arguments", "run"]

_WHAT_TO_DO = (
    "What to do: restore the newest sound backup with `remnants restore FILE`, which keeps this file beside it for whoever looks"
    " into it. What was booked after that backup must be booked again."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """No options of its own."""


def run(args: argparse.Namespace) -> int:
    """Prints what was looked at and every fault."""
    with open_catalogue(args.catalogue, write=False) as catalogue:
        verified = verify(catalogue)
    show_text(f"{verified.pieces} pieces, {verified.entries} entries: {'all is well' if not verified.faults else 'FAULTS'}")
    if verified.faults:
        show_text("\n".join(map(str, verified.faults)))
        if verified.more:
            show_text(f"and {verified.more} more")
        show_text(_WHAT_TO_DO)
    return 1 if verified.faults else 0
