"""Tells how well repairs come out as they were foretold: of how many that were looked at, so many as foretold, better, worse.

    remnants foretold

Seams and shades are told apart, and what eyes saw from what was measured. It names no job and nobody.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.look_back import how_foretold
from remnants.cli.printing import show_json, show_text
from remnants.model.tally import Foretold
from remnants.report.look_text import foretold_lines

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants foretold`."""
    parser.add_argument("--json", action="store_true", help="print the figures as JSON")


def run(args: argparse.Namespace) -> int:
    """Prints a line for each kind."""
    with open_catalogue(args.catalogue, write=False) as catalogue:
        told = how_foretold(catalogue)
    if args.json:
        show_json(_json(told))
        return 0
    show_text("\n".join(foretold_lines(told)))
    return 0


def _json(told: Foretold) -> dict[str, object]:
    kinds = [
        {
            "kind": each.kind.value,
            "by": each.by.value,
            "looked_at": each.count,
            "as_foretold": each.as_foretold,
            "better": each.better,
            "worse": each.worse,
            "foretold_from_to": each.loose,
            "share": [round(share, 3) for share in each.share],
        }
        for each in told.tallies
    ]
    return {"jobs": told.jobs, "cut_jobs": told.cut_jobs, "kinds": kinds}
