"""Options that several commands share, and readers of option values that refuse in words."""

import argparse
import getpass
import os
from datetime import UTC, date, datetime

from remnants.actions.plain_texts import refuse_unseen_marks
from remnants.errors import BadInput, Fault
from remnants.ledger import Signed

__all__ = ["add_most", "add_signature", "at_least_one", "day", "now", "own_branch", "picture_area", "shade_figures", "signature"]


def now() -> datetime:
    """The time, UTC."""
    return datetime.now(UTC)


MOST_LISTED = 200
"""Lines that one looks through at a time."""


def add_most(parser: argparse.ArgumentParser, what: str = "so many") -> None:
    """The option that says how many lines of a long list are shown; `what` tells its help of which."""
    told = f"list {what} (default {MOST_LISTED})"
    parser.add_argument("--most", type=at_least_one, default=MOST_LISTED, metavar="N", help=told)


def add_signature(parser: argparse.ArgumentParser) -> None:
    """The options that say who changes the stock and why."""
    group = parser.add_argument_group("who does it")
    group.add_argument("--by", metavar="NAME", help="who writes it down (default: $REMNANTS_BY, else your login name)")
    group.add_argument("--why", metavar="TEXT", default="", help="why, for the ledger")
    group.add_argument("--key", metavar="KEY", default="", help="a key of your own: the same request with it is done once only")


def signature(args: argparse.Namespace) -> Signed:
    """Who does it, now. Raises BadInput when nobody is named and the login name can't be told."""
    try:
        who = args.by or os.environ.get("REMNANTS_BY") or getpass.getuser()
    except (OSError, KeyError, ImportError):
        raise BadInput("say who does it: --by NAME, or set REMNANTS_BY") from None
    refuse_unseen_marks(**{"--by": who, "--why": args.why})
    return Signed(who.strip(), now(), args.why.strip())


def own_branch() -> str:
    """The branch or van from which whoever works at this machine does so, as $REMNANTS_BRANCH tells; "" where it tells none."""
    return os.environ.get("REMNANTS_BRANCH", "").strip()


def day(text: str) -> date:
    """A date as ISO 8601 writes it."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no date: write it like 2031-05-03") from None


def at_least_one(text: str) -> int:
    """A whole number from 1 up."""
    if not text.isascii() or not text.isdigit() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"{text!r} is no count: give a whole number, at least 1")
    return int(text)


def shade_figures(option: str, text: str) -> tuple[float, float, float]:
    """L*, a* and b* of a text such as `72.1,2.0,13.8`. Raises BadInput naming the option."""
    try:
        lightness, a, b = (float(part) for part in text.split(","))
    except ValueError:
        raise BadInput([Fault(option, f"{text!r} is no shade: give L*,a*,b*, such as 72.1,2.0,13.8")]) from None
    return lightness, a, b


def picture_area(text: str) -> tuple[float, float, float, float]:
    """Left, top, width and height as shares of a picture, of a text in per cent such as `40,40,20,15`."""
    try:
        left, top, width, height = (float(part) / 100 for part in text.split(","))
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{text!r} is no place: give left,top,width,height in per cent of the picture, such as 40,40,20,15"
        ) from None
    return left, top, width, height
