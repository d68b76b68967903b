"""The tree of refusals.

    RemnantsError
    ├── BadInput (ValueError)          what was given can't be used; lists every fault
    │   ├── BadMeasure                 a text that is no length
    │   ├── BadOutline                 a shape that can't be cut or filled
    │   ├── BadFile                    a file that can't be read as what it should be
    │   └── NotMeasured                a photograph in which nothing can be measured as it stands
    ├── NotFound (LookupError)         no such piece, job, style, entry
    ├── NotAllowed (RuntimeError)      the piece's state forbids it
    │   ├── StockChanged               the stock is no longer as the plan found it, or who asks saw it
    │   ├── SameName                   another job has that name, and nobody said which is meant
    │   └── MadeByAnother              somebody else made what is sent now
    ├── NotPermitted (PermissionError)  this person may not do that
    │   ├── SignInRefused              name, passphrase or link does not open the door
    │   └── TooManyTries               too many wrong tries: wait
    ├── CatalogueUnusable (OSError)    the catalogue can't be opened, read or written
    ├── NoPlan (LookupError)           nothing fits, where a plan is needed to go on
    ├── GaveUp (TimeoutError)          stopped before there was any answer
    │   └── Crowded                    too much is asked at once: wait
    └── Unproved (AssertionError)      a plan failed its independent check: never shown

Each says what was refused, where, why, and what to do about it.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from remnants.limits import FAULTS_TOLD

__all__ = [
    "BadFile",
    "BadInput",
    "BadMeasure",
    "BadOutline",
    "CatalogueUnusable",
    "Crowded",
    "Fault",
    "GaveUp",
    "MadeByAnother",
    "NoPlan",
    "NotAllowed",
    "NotFound",
    "NotMeasured",
    "NotPermitted",
    "RemnantsError",
    "SameName",
    "SignInRefused",
    "StockChanged",
    "TooManyTries",
    "Unproved",
]


_STEP = re.compile(r"([^.\[\]]+)|\[(\d+)\]")


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong, and where: `patches[0].edges`, `row 7, column "length"`, or "" for the whole."""

    where: str
    what: str

    @property
    def path(self) -> tuple[str | int, ...]:
        """The steps to it: `patches[0].edges` is ("patches", 0, "edges")."""
        return tuple(int(found[2]) if found[2] else found[1] for found in _STEP.finditer(self.where))

    def __str__(self) -> str:
        return f"{self.where}: {self.what}" if self.where else self.what


class RemnantsError(Exception):
    """Root of every refusal."""


class BadInput(RemnantsError, ValueError):
    """Something given can't be used. `faults` holds all of them, in the order found."""

    def __init__(self, faults: Iterable[Fault] | str, /) -> None:
        self.faults: tuple[Fault, ...] = (Fault("", faults),) if isinstance(faults, str) else tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.told))

    @property
    def told(self) -> tuple[Fault, ...]:
        """The faults to tell: the first fifty of them, and how many more there are."""
        more = len(self.faults) - FAULTS_TOLD
        return (*self.faults[:FAULTS_TOLD], Fault("", f"and {more:,} more")) if more > 0 else self.faults

    def at(self, prefix: str) -> "BadInput":
        """The same refusal with every place seen from one level further out."""
        return type(self)(Fault(join_place(prefix, fault.where), fault.what) for fault in self.faults)


class BadMeasure(BadInput):
    """A text that is no length."""


class BadOutline(BadInput):
    """A shape that can't be cut or filled."""


class BadFile(BadInput):
    """A file that can't be read as what it should be."""


class NotMeasured(BadInput):
    """A photograph in which nothing can be measured as it stands. `why` is the kind of what stands against it."""

    def __init__(self, faults: Iterable[Fault] | str, /, why: str = "") -> None:
        self.why = why
        super().__init__(faults)


class NotFound(RemnantsError, LookupError):
    """No such piece, job, style or entry."""


class NotAllowed(RemnantsError, RuntimeError):
    """The piece's state forbids what was asked."""


class StockChanged(NotAllowed):
    """The stock is no longer as the plan found it, or as who asks saw it."""


class MadeByAnother(NotAllowed):
    """Somebody else made what is sent now, so it can't be signed by who sends it."""


class SameName(NotAllowed):
    """Another job has that name, and nobody said whether that one is meant. `numbers` are those of the jobs that have it."""

    def __init__(self, name: str, told: str, numbers: tuple[str, ...], ways: str = "") -> None:
        self.name = name
        self.numbers = numbers
        ways = ways or f"give its number (job {numbers[-1]}) to plan it anew, or say that this is another job (again)"
        super().__init__(f"a job is called {name!r} already ({told}): {ways}")


class NotPermitted(RemnantsError, PermissionError):
    """This person may not do that."""


class SignInRefused(NotPermitted):
    """The name, passphrase or link does not open the door. Never says which of them was wrong."""


class TooManyTries(NotPermitted):
    """Too many wrong tries. `wait_s` is how long to wait, in whole seconds."""

    def __init__(self, told: str, *, wait_s: int = 1) -> None:
        self.wait_s = wait_s
        super().__init__(told)


class CatalogueUnusable(RemnantsError, OSError):
    """The catalogue can't be opened, read or written."""


class NoPlan(RemnantsError, LookupError):
    """Nothing fits, where a plan is needed to go on."""


class GaveUp(RemnantsError, TimeoutError):
    """Stopped by limit or by hand before there was any answer."""


class Crowded(GaveUp):
    """Too much is asked at once, by this person or by all: nothing was begun."""


class Unproved(RemnantsError, AssertionError):
    """A plan failed its independent check and is withheld: a fault of the program, please report it."""


def join_place(outer: str, inner: str) -> str:
    """`patches[0]` and `edges` make `patches[0].edges`; `outline` and `[3]` make `outline[3]`."""
    if not outer or not inner:
        return outer or inner
    return f"{outer}{inner}" if inner.startswith("[") else f"{outer}.{inner}"
