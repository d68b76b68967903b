"""Copies the text templates of the customer's page into a folder, for the shop to change.

    remnants texts our-texts
    remnants sheet job.json -o sheet.pdf --texts our-texts

customer.txt is the page; it takes in care.txt and agreement.txt. A file that is there already is left as it is.
"""

import argparse
from dataclasses import asdict
from pathlib import Path

from remnants.actions.make_sheet import own_texts
from remnants.cli.files import write_texts
from remnants.cli.printing import show_text

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants texts`."""
    parser.add_argument("folder", metavar="FOLDER", type=Path, help="where to put them; it is made when missing")


def run(args: argparse.Namespace) -> int:
    """Writes the files that are not there."""
    texts = {f"{name}.txt": text for name, text in asdict(own_texts()).items()}
    missing = {name: text for name, text in texts.items() if not (args.folder / name).exists()}
    written = write_texts(args.folder, missing)
    kept = sorted(set(texts) - set(missing))
    if written:
        show_text(f"Texts in {args.folder}: {', '.join(path.name for path in written)}")
    if kept:
        show_text(f"Left as they are: {', '.join(kept)}")
    return 0
