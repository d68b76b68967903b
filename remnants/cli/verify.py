"""Proves the catalogue: the file is sound, every piece stands where its entries lead, the areas of every cut add up.

    remnants verify

Exit code 0 when all is well, 1 with every fault otherwise.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.keep_safe import verify
from remnants.cli.printing import show_text

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """No options of its own."""


def run(args: argparse.Namespace) -> int:
    """Prints what was looked at and every fault."""
    with open_catalogue(args.catalogue, write=False) as catalogue:
        verified = verify(catalogue)
    show_text(f"{verified.pieces} pieces, {verified.entries} entries: {'all is well' if not verified.faults else 'FAULTS'}")
    if verified.faults:
        show_text("\n".join(verified.faults))
        show_text("Bring back the last sound copy with `remnants restore`, and keep this file for whoever looks into it.")
    return 1 if verified.faults else 0
