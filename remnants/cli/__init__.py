"""The command line: `remnants VERB ...`, one module a verb.

`main` knows the verbs and a line about each without importing them, so that help comes at once. To add one: a line in VERBS, and
the module `remnants.cli.VERB` (a hyphen becomes an underscore; a name that Python keeps gets one after it) with

- a docstring, which is its help,
- `add_arguments(parser)`, which adds its own options; `--catalogue` and `--unit` are there already,
- `run(args) -> int`, which opens the catalogue if it needs one, calls one action, prints what `report` makes of it and
  returns 0. Refusals are left to rise: they become exit codes here and nowhere else.

Exit codes: 0 answered (also when the answer is "none"); 1 refused as things stand (no such piece, held by another, stock
changed); 2 bad input, or a catalogue that can't be used; 70 a fault of the program itself; 130 stopped by hand (what `fit` then
prints is the best found so far).
"""

import argparse
import difflib
import gc
import importlib
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, NoReturn

from remnants import __version__
from remnants.errors import (
    BadInput,
    CatalogueUnusable,
    GaveUp,
    NoPlan,
    NotAllowed,
    NotFound,
    NotPermitted,
    RemnantsError,
    Unproved,
)
from remnants.late import Late
from remnants.private import make_folder
from remnants.units import Unit

if TYPE_CHECKING:
    from remnants.store import server_address
    from remnants.store.server_address import CatalogueAt
else:
    server_address = Late("remnants.store.server_address")

__all__ = ["THREADS", "VERBS", "main", "parser_of"]

VERBS = {
    "ask": "answer a question in one line, as it would be said",
    "fit": "answer whether a job's patches can be made from stock, and how",
    "propose": "propose where the patch should end, from the damage and its room",
    "sheet": "print the sheet that goes to the floor",
    "job": "write all of a job into a folder: answer, sheet, customer's page, tags, drawings",
    "texts": "copy the customer's page's text templates, for the shop to change",
    "hold": "keep the pieces that a job would be cut from",
    "release": "let go of what is held for a job",
    "cut": "book the cuts of a job: donors shrink, offcuts get tags",
    "look-back": "keep what is seen of a repair beside what was foretold of it",
    "foretold": "tell how well repairs come out as they were foretold",
    "undo": "take back what last happened to a piece",
    "log": "put pieces into the catalogue, from options or a file",
    "export": "write the stock on hand to a file: stock file or spreadsheet",
    "show": "tell all about one piece",
    "find": "find pieces by style, colour, lot or tag, spelled as you remember them",
    "lend": "lend pieces to a customer, or list what is lent, what is late first",
    "move": "say where a piece lies now",
    "correct": "tell a piece anew where it was told wrong",
    "style": "describe a style: construction, roll width, pattern repeat, rows",
    "discard": "take a piece out of stock for good",
    "history": "tell a piece's life and what it was cut from",
    "tags": "print labels for pieces, with a code to scan",
    "count": "count what lies at a place, and book what is missing or misplaced",
    "racks": "list the places that something lies at, by branch, or what lies at one",
    "age": "list what may not be worth its shelf",
    "worth": "tell what the stock cost and what it is worth today",
    "customer": "put in who has carpet of ours, or tell what they have",
    "forget": "erase who a customer is; the carpet stays",
    "send": "send pieces to another branch or into a van",
    "take-in": "say that pieces came where they were sent to",
    "call-back": "call pieces back that are on the way",
    "on-the-way": "list what is on the way, what is late first",
    "branch": "put a branch of the shop in, or list them with what lies there",
    "van": "put a van in, with who answers for what lies in it",
    "rules": "show the rules that the shop works by, or change them",
    "backup": "copy the whole catalogue while others write",
    "restore": "put a copy in place of the catalogue",
    "move-catalogue": "take a whole shop from one catalogue to another, from a file to a server or back",
    "check-up": "look at files, disk, copies, clock and versions, and say what to mend",
    "verify": "prove that the catalogue is sound",
    "shade": "tell a carpet's shade from a photograph with a grey card, or compare two shades",
    "measure": "measure an outline or a length in a photograph that shows a marker page",
    "try-phone": "try your own phone: known lengths in photographs, and whether their bars hold",
    "calibrate-phone": "calibrate a phone once from photographs of the marker page, for narrower bars",
    "photo-page": "print the marker page that photographs are measured by, and keep its true size",
    "order": "what roll to order for rooms and stairs, stock first",
    "orders": "list the orders that were saved, or compare the revisions of one",
    "promised": "show the leftovers that orders promise, receive one, or call an order's off",
    "papers": "write the papers of an order: quote, order, cut ticket, drawings",
    "prices": "show the shop's own prices, or put a price file in their place",
    "second-factor": "tell who comes in with a second factor, or take one away for a lost phone",
    "serve": "serve the pages for phone, dock and desk",
}
"""Each command and what it does, in the order in which help lists them."""

_EXITS: tuple[tuple[type[RemnantsError], int], ...] = (
    (BadInput, 2),
    (CatalogueUnusable, 2),
    (Unproved, 70),
    (NotFound, 1),
    (NotAllowed, 1),
    (NotPermitted, 1),
    (NoPlan, 1),
    (GaveUp, 1),
)
COLLECT_SELDOM = (50_000, 20, 50)
"""Thousands of frozen values come and go, hardly a circle among them: to look for circles as often as Python does by itself takes
a third of the time of fitting from a large stock."""

THREADS = "OPENBLAS_NUM_THREADS"
"""How numpy is told, before it is loaded, in how many threads it multiplies. Our sums are small: two threads that wait for each
other take three times the work of one for a phone's calibration, and half as much again for a stain."""

_STOPPED_BY_HAND = 130


class _Parser(argparse.ArgumentParser):
    """A parser that refuses as everything here does: in one line, told by `main`."""

    def error(self, message: str) -> NoReturn:
        raise BadInput(f"{message.removeprefix('argument ')}; `{self.prog} --help` tells every option")


def main(argv: Sequence[str] | None = None) -> int:
    """Runs one command and gives its exit code. Words default to those of the process."""
    words = list(sys.argv[1:] if argv is None else argv)
    gc.set_threshold(*COLLECT_SELDOM)
    os.environ.setdefault(THREADS, "1")
    try:
        code = _run(words)
        sys.stdout.flush()
        return code
    except RemnantsError as error:
        _complain(error)
        return next((code for kind, code in _EXITS if isinstance(error, kind)), 1)
    except SystemExit as stop:  # argparse has said what it had to say
        return stop.code if isinstance(stop.code, int) else 0
    except KeyboardInterrupt:
        print("\nstopped; nothing half done was kept", file=sys.stderr)
        return _STOPPED_BY_HAND
    except BrokenPipeError:  # whoever read our output went away
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def parser_of(verb: str) -> argparse.ArgumentParser:
    """The parser of one command, with its help."""
    module = _module(verb)
    parser = _Parser(prog=f"remnants {verb}", description=module.__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    module.add_arguments(parser)
    common = parser.add_argument_group("common options")
    common.add_argument(
        "--catalogue",
        metavar="FILE",
        type=str,
        help="the catalogue: a file, or postgresql://user@host/database"
        " (default: $REMNANTS_CATALOGUE, else remnants/stock.db in your data folder)",
    )
    common.add_argument(
        "--unit",
        type=_unit,
        metavar="UNIT",
        help="unit of bare figures that you type and of lengths shown: mm, cm, m, in, ft (default: $REMNANTS_UNIT, else in)",
    )
    parser.set_defaults(run=module.run)
    return parser


def _run(words: list[str]) -> int:
    first = words[0] if words else "--help"
    if first in ("-h", "--help", "help"):
        print(_help())
        return 0
    if first == "--version":
        print(f"remnants {__version__}")
        return 0
    if first not in VERBS:
        near = difflib.get_close_matches(first, VERBS, n=1)
        hint = f"; is `remnants {near[0]}` meant?" if near else "; `remnants --help` lists the commands"
        raise BadInput(f"there is no command {first!r}{hint}")
    with _all_there(first):
        return _answer(first, words[1:])


def _answer(verb: str, words: list[str]) -> int:
    args = parser_of(verb).parse_args(words)
    args.catalogue_named = args.catalogue is not None
    args.catalogue = _catalogue_at(args.catalogue) if args.catalogue else _usual_catalogue()
    args.shown_unit = args.unit or _usual_unit(None)
    args.unit = args.unit or _usual_unit(Unit.IN)
    code: int = args.run(args)
    return code


def _module(verb: str) -> ModuleType:
    return importlib.import_module(f"remnants.cli.{_module_name(verb)}")


@contextmanager
def _all_there(verb: str) -> Iterator[None]:
    """Names a package that is not installed: some are loaded at the start of a command, some only where it comes to need them."""
    try:
        yield
    except ModuleNotFoundError as error:
        lacking = (error.name or "").partition(".")[0]
        if lacking in ("", "remnants"):
            raise
        raise BadInput(f"`remnants {verb}` needs {lacking}, which is not installed; `pip install {lacking}` brings it") from None


def _module_name(verb: str) -> str:
    name = verb.replace("-", "_")
    return f"{name}_" if name in ("import", "return", "in", "is", "with") else name


def _catalogue_at(text: str) -> "CatalogueAt":
    """A file, or a server's address; what reads one is loaded only where one is told."""
    return server_address.read_catalogue_at(text) if "://" in text else Path(text)


def _usual_catalogue() -> "CatalogueAt":
    """The catalogue when none is named. The usual folder is made when it is missing; one that was named is not."""
    named = os.environ.get("REMNANTS_CATALOGUE")
    if named:
        return _catalogue_at(named)
    folder = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share") / "remnants"
    try:
        make_folder(folder)
    except OSError as error:
        raise CatalogueUnusable(f"{folder} can't be made ({error.strerror}); name a catalogue with --catalogue") from None
    return folder / "stock.db"


def _usual_unit(otherwise: Unit | None) -> Unit | None:
    named = os.environ.get("REMNANTS_UNIT", "").strip()
    if named and named not in tuple(Unit):
        raise BadInput(f"REMNANTS_UNIT is {named!r}: set it to one of {', '.join(Unit)}")
    return Unit(named) if named else otherwise


def _unit(text: str) -> Unit:
    if text not in tuple(Unit):
        raise argparse.ArgumentTypeError(f"{text!r} is none of {', '.join(Unit)}")
    return Unit(text)


def _help() -> str:
    width = max(len(verb) for verb in VERBS)
    listed = "\n".join(f"  {verb:<{width}}  {summary}" for verb, summary in VERBS.items())
    return (
        "usage: remnants COMMAND ...\n\n"
        "Can the carpet we have make the patch we need?\n\n"
        f"{listed}\n\n"
        "`remnants COMMAND --help` tells a command's options; --version tells the version."
    )


def _complain(error: RemnantsError) -> None:
    """The refusal on standard error: one line, or one for each fault."""
    faults = error.faults if isinstance(error, BadInput) else ()
    lines = [str(fault) for fault in error.told] if isinstance(error, BadInput) else [str(error)]
    if len(lines) == 1:
        print(f"remnants: {lines[0]}", file=sys.stderr)
    else:
        print(
            f"remnants: {len(faults):,} faults; nothing was changed", *(f"  {line}" for line in lines), sep="\n", file=sys.stderr
        )
