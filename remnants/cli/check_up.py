"""Looks at what the stock stands on, and says what to do: rights of the files, free disk, copies, clock, versions, door book.

    remnants check-up
    remnants check-up --json

A line each: `ok`; `look`, to be seen to some time; `mend`, to be done now, with how. Nothing is changed. Whether the stock itself
is sound is for `remnants verify`.

Exit code 1 when something is to be mended. With --json each line has `what`, `state`, `found` and `do`.
"""

import argparse

from remnants.actions.check_up import check_up
from remnants.cli.options import now
from remnants.cli.printing import show_json, show_text
from remnants.model.finding import Finding, Health

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants check-up`."""
    parser.add_argument("--json", action="store_true", help="for a program that watches")


def run(args: argparse.Namespace) -> int:
    """Prints every finding."""
    found = check_up(args.catalogue, now=now())
    if args.json:
        lines = [{"what": one.what, "state": one.health.value, "found": one.found, "do": one.to_do} for one in found]
        show_json({"catalogue": str(args.catalogue), "findings": lines})
    else:
        show_text("\n".join(map(_line, found)))
    return 1 if any(one.health is Health.MEND for one in found) else 0


def _line(one: Finding) -> str:
    told = f"{one.health.value:<5} {one.what}: {one.found}"
    return f"{told}\n      do: {one.to_do}" if one.to_do else told
