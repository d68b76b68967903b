"""People of the invented shop, one for each role. Their passphrases are drawn at each start and stand nowhere in the program."""

import secrets
from dataclasses import dataclass
from datetime import datetime

from remnants.actions import Catalogue, doors, people
from remnants.model import Person, Role

__all__ = ["Account", "drawn_passphrase", "make_accounts"]

NAMES = (("Maud", Role.MANAGE), ("Wim", Role.WORK), ("Lou", Role.LOOK))

_CONSONANTS = "bdfghklmnprstvwz"
_VOWELS = "aeiou"
_GROUPS, _SYLLABLES = 4, 3
"""Twelve syllables of 16 × 5: 12 × log2(80) = 75 bits, drawn by the system's source of secrets."""


@dataclass(frozen=True)
class Account:
    """Who can sign in, and with what."""

    person: Person
    passphrase: str


def make_accounts(catalogue: Catalogue, *, now: datetime) -> tuple[Account, ...]:
    """Puts the invented people into a catalogue that has nobody yet, each with a passphrase of this moment."""
    accounts: list[Account] = []
    for name, role in NAMES:
        passphrase = drawn_passphrase()
        link = (
            people.invite(catalogue, name, role, by=accounts[0].person, now=now)
            if accounts
            else people.first_manager_link(catalogue, now=now)
        )
        if link is None:
            raise RuntimeError("the invented people only go into a catalogue that has nobody yet")
        doors.set_passphrase_by_link(catalogue, link, passphrase, name=name, label="made with the shop", now=now)
        person = next(one for one in people.everybody(catalogue) if one.name == name)
        for session in doors.sessions_of(catalogue, person, now=now):
            doors.end_session(catalogue, person, session.number)
        accounts.append(Account(person, passphrase))
    return tuple(accounts)


def drawn_passphrase() -> str:
    """Made-up words that can be read aloud and typed on a phone, such as `tabori-kemuso-ludafe-nopiri`."""
    return "-".join("".join(_syllable() for _ in range(_SYLLABLES)) for _ in range(_GROUPS))


def _syllable() -> str:
    return secrets.choice(_CONSONANTS) + secrets.choice(_VOWELS)
