"""Tells who comes in with a second factor, or takes one away from somebody who lost their phone, at the machine itself.

    remnants second-factor
    remnants second-factor --reset Maud

It is set up on one's own page. After --reset they come in by their passphrase, and their sessions, keys and links have ended.
Where the shop's rule asks managers for one (`remnants rules second_factor=yes`), they set up a new one before they may manage.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.factor_reset import reset_factor, whose_factor
from remnants.actions.people import everybody
from remnants.cli.noting import who_here
from remnants.cli.printing import agreed, show_text

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants second-factor`."""
    parser.add_argument("--reset", metavar="NAME", help="take this person's away")
    parser.add_argument("--yes", action="store_true", help="do it without asking")


def run(args: argparse.Namespace) -> int:
    """Lists everybody, or resets one."""
    if args.reset is None:
        with open_catalogue(args.catalogue, write=False) as catalogue:
            told = [f"{one.name}, may {one.role}: {'set up' if one.doubled else 'none'}" for one in everybody(catalogue)]
        show_text("\n".join(told) or "nobody has come in yet")
        return 0
    with open_catalogue(args.catalogue, write=True) as catalogue:
        whose = whose_factor(catalogue, args.reset)
        asked = f"Take the second factor of {whose.name}, who may {whose.role}, away? Their sessions, keys and links end."
        if not (args.yes or agreed(asked, otherwise="--yes")):
            show_text("nothing was changed")
            return 0
        name = reset_factor(catalogue, args.reset, by=who_here())
    show_text(f"{name} comes in by their passphrase now; all that let them in before has ended")
    return 0
