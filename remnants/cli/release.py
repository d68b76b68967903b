"""Lets go of the pieces that are held for a job.

remnants release "Alder Court 7"
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.keep_job import release_job
from remnants.cli.options import add_signature, signature
from remnants.cli.printing import show_text

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants release`."""
    parser.add_argument("job", metavar="JOB", help="the job's number or name")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Releases the pieces and names them."""
    with open_catalogue(args.catalogue, write=True) as catalogue:
        tags = release_job(catalogue, args.job, signed=signature(args), key=args.key)
    show_text(f"released: {', '.join(tags) or 'nothing was held any more'}")
    return 0
