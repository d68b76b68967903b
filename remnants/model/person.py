"""Who may do what: a person, their role, and where they are signed in."""

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from remnants.errors import BadInput, Fault
from remnants.limits import PERSON_CHARACTERS
from remnants.units import Unit

__all__ = ["LinkUse", "Person", "Role", "Scope", "Session", "SessionKind", "Theme"]


class Role(StrEnum):
    """What a person may do: look at stock; work with it; manage people too. Each covers the ones before it."""

    LOOK = "look"
    WORK = "work"
    MANAGE = "manage"

    def covers(self, needed: "Role") -> bool:
        """True when this role may do what needs `needed`."""
        order = tuple(Role)
        return order.index(self) >= order.index(needed)


class Theme(StrEnum):
    """Paper by day, lamp by night, or as the device says."""

    DEVICE = "device"
    LIGHT = "light"
    DARK = "dark"


class SessionKind(StrEnum):
    """A browser signed in by passphrase, a device linked by its code, or a key for programs."""

    BROWSER = "browser"
    DEVICE = "device"
    KEY = "key"


class Scope(StrEnum):
    """What a program's key may do, beside what its person may: each by itself."""

    LOOK = "look"
    FIT = "fit"
    LOG = "log"
    BOOK = "book"


class LinkUse(StrEnum):
    """What a one-time link is for."""

    FIRST_MANAGER = "first-manager"
    INVITE = "invite"
    DEVICE = "device"


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody with a role. `ready` with a passphrase, `doubled` with a second factor; not `active`, they can't come in.

    `branch` is the branch or van that they said they work from, "" for none in particular, None where they said nothing.
    """

    name: str
    role: Role
    unit: Unit = Unit.FT
    theme: Theme = Theme.DEVICE
    active: bool = True
    ready: bool = False
    doubled: bool = False
    branch: str | None = None

    def __post_init__(self) -> None:
        faults = []
        if not self.name.strip() or self.name != self.name.strip():
            faults.append(Fault("name", f"{self.name!r} is no name: give one without spaces around it"))
        if len(self.name) > PERSON_CHARACTERS:
            faults.append(Fault("name", f"the name has {len(self.name)} characters; keep it to {PERSON_CHARACTERS}"))
        if not self.name.isprintable():
            faults.append(Fault("name", "the name holds characters that can't be shown; type it again"))
        if faults:
            raise BadInput(faults)


@dataclass(frozen=True, slots=True)
class Session:
    """One place where a person is signed in. `number` names it to its owner; the secret is kept only as a digest.

    A key has `scopes`, and does nothing else; others have none. `seal` is what their devices seal with what waits there to be
    sent: the same 32 bytes at each sign-in.
    """

    number: int
    person: Person
    kind: SessionKind
    label: str
    made_at: datetime
    seen_at: datetime
    ends_at: datetime
    seal: bytes = field(default=b"", repr=False)
    scopes: frozenset[Scope] = frozenset()
