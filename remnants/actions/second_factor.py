"""A second factor beside the passphrase: codes by time, reckoned by a phone, and recovery codes for when it is lost.

A person sets it up on their own page: their passphrase, then a code that shows that the phone has the secret. A code is taken
once; one that was used, or an earlier one, opens nothing any more (RFC 6238, 5.2).
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from remnants.actions.door_book import note
from remnants.actions.doors import Opened, begin_session, refusals_noted
from remnants.actions.one_time_codes import digests_of, fitting_step, fresh_codes, fresh_secret, spent_code
from remnants.actions.passphrases import is_right
from remnants.actions.shop_rules import own_rules
from remnants.actions.tries import count_try, digest, forget_tries
from remnants.errors import BadInput, Fault, NotAllowed, SignInRefused
from remnants.model import Person, Role, Session, SessionKind
from remnants.model.door_line import DoorKind
from remnants.store import Catalogue, second_factors
from remnants.store import people as rows
from remnants.store.second_factors import Factor

__all__ = [
    "Setting",
    "begin_factor",
    "confirm_factor",
    "finish_sign_in",
    "fresh_recovery_codes",
    "must_have_factor",
    "remove_factor",
    "setting_of",
]

_WRONG = "that code doesn't open this shop; take the one that your phone shows now, or a recovery code not used before"
_LATE = "that took longer than five minutes; sign in again"
_NO_CODE = "that is not the code of now, or it was used already; wait for the next one"
_NOT_YOURS = "that is not your passphrase"


@dataclass(frozen=True, slots=True)
class Setting:
    """How far a person's second factor is: set up since, or waiting to be confirmed with a `secret`; recovery codes left."""

    since: datetime | None = None
    secret: str = ""
    codes: int = 0


def setting_of(catalogue: Catalogue, person: Person) -> Setting:
    """How far it is. The secret is told only until it is confirmed."""
    factor = second_factors.factor_of(catalogue, person.name)
    if factor is None:
        return Setting()
    return Setting(factor.since, "" if factor.since else factor.secret, len(factor.codes))


def must_have_factor(catalogue: Catalogue, person: Person) -> bool:
    """Whether the shop's rule asks this person for one, and they have none."""
    return person.role is Role.MANAGE and not person.doubled and own_rules(catalogue).second_factor


def begin_factor(catalogue: Catalogue, session: Session, passphrase: str, *, now: datetime) -> None:
    """Draws a secret, to be confirmed. Raises BadInput at `passphrase`, TooManyTries; NotAllowed where one is set up."""
    name = session.person.name
    _refuse_wrong_passphrase(catalogue, name, passphrase, now=now)
    with catalogue.atomic():
        if session.person.doubled:
            raise NotAllowed("your second factor is set up; take it away first to set up another")
        second_factors.put_pending(catalogue, name, fresh_secret())


def confirm_factor(catalogue: Catalogue, session: Session, code: str, *, now: datetime) -> tuple[str, ...]:
    """Takes the first code, from when on one is asked for at each sign-in; gives recovery codes, which are told this once.

    All other sessions of the person, their keys and links end: they were opened without it. Raises BadInput at `code`,
    TooManyTries; NotAllowed where nothing waits to be confirmed.
    """
    name = session.person.name
    counted = _count(catalogue, name, now=now)
    with catalogue.atomic():
        factor = second_factors.factor_of(catalogue, name)
        if factor is None or factor.since is not None:
            raise NotAllowed("no second factor waits to be confirmed; begin anew")
        step = fitting_step(factor.secret, code, now=now, after=factor.step)
        codes = fresh_codes()
        if step is not None:
            second_factors.confirm_factor(catalogue, name, now=now)
            second_factors.use_step(catalogue, name, step)
            second_factors.use_codes(catalogue, name, digests_of(codes))
            rows.drop_sessions(catalogue, name, but=session.number)
            rows.drop_links(catalogue, name)
            forget_tries(catalogue, counted)
    if step is None:
        raise _refused(catalogue, name, _NO_CODE)
    note(catalogue, DoorKind.FACTOR, name, what="set up; all else ended")
    return codes


def fresh_recovery_codes(catalogue: Catalogue, session: Session, code: str, *, now: datetime) -> tuple[str, ...]:
    """New recovery codes in place of those that are left. Raises BadInput at `code`, TooManyTries, NotAllowed."""
    codes = fresh_codes()
    _with_code(catalogue, session.person.name, code, now=now, then=lambda name: _renew(catalogue, name, codes))
    note(catalogue, DoorKind.FACTOR, session.person.name, what="new recovery codes")
    return codes


def remove_factor(catalogue: Catalogue, session: Session, passphrase: str, code: str, *, now: datetime) -> None:
    """Takes it away, by who has it. Raises BadInput at `passphrase` or `code`, TooManyTries; NotAllowed where it must be."""
    person = session.person
    if person.role is Role.MANAGE and own_rules(catalogue).second_factor:
        raise NotAllowed("managers have a second factor here, by the shop's rules; for a new phone another manager resets yours")
    _refuse_wrong_passphrase(catalogue, person.name, passphrase, now=now)
    _with_code(catalogue, person.name, code, now=now, then=lambda name: second_factors.drop_factor(catalogue, name))
    note(catalogue, DoorKind.FACTOR, person.name, what="removed")


def finish_sign_in(catalogue: Catalogue, half: str, code: str, *, address: str, now: datetime) -> tuple[str, Opened]:
    """Takes the code that a sign-in waits for, and gives whose it is and their session.

    Raises SignInRefused for a wrong code, one that was used, or a sign-in that waits no more; TooManyTries.
    """
    found = second_factors.find_half(catalogue, digest(half), now=now)
    name, label = found or ("", "")
    with refusals_noted(catalogue, name, told="second factor"):
        if found is None:
            raise SignInRefused(_LATE)
        counted = _count(catalogue, name, now=now, address=address)
        with catalogue.atomic():
            factor = second_factors.factor_of(catalogue, name)
            how = _spend(catalogue, name, factor, code, now=now) if factor else ""
            if not how:
                raise SignInRefused(_WRONG)
            if not second_factors.drop_half(catalogue, digest=digest(half)):
                raise SignInRefused(_LATE)
            forget_tries(catalogue, counted)
            opened = begin_session(catalogue, name, kind=SessionKind.BROWSER, label=label, now=now)
    note(catalogue, DoorKind.SIGN_IN, name, what=f"by passphrase and {how}")
    return name, Opened(opened)


def _spend(catalogue: Catalogue, name: str, factor: Factor, typed: str, *, now: datetime) -> str:
    """Uses a code up, and says in words which kind it was; empty for one that is wrong. The caller holds the transaction."""
    if factor.since is None:
        return ""
    step = fitting_step(factor.secret, typed, now=now, after=factor.step)
    if step is not None:
        second_factors.use_step(catalogue, name, step)
        return "code"
    left = spent_code(factor.codes, typed)
    if left is None:
        return ""
    second_factors.use_codes(catalogue, name, left)
    return f"recovery code; {len(left)} left"


def _with_code(catalogue: Catalogue, name: str, code: str, *, now: datetime, then: Callable[[str], object]) -> None:
    """Does something for who gives a right code. Raises BadInput at `code`, TooManyTries; NotAllowed where there is no factor."""
    counted = _count(catalogue, name, now=now)
    with catalogue.atomic():
        factor = second_factors.factor_of(catalogue, name)
        if factor is None or factor.since is None:
            raise NotAllowed("no second factor is set up")
        right = bool(_spend(catalogue, name, factor, code, now=now))
        if right:
            forget_tries(catalogue, counted)
            then(name)
    if not right:
        raise _refused(catalogue, name, _NO_CODE)


def _renew(catalogue: Catalogue, name: str, codes: tuple[str, ...]) -> None:
    second_factors.use_codes(catalogue, name, digests_of(codes))


def _count(catalogue: Catalogue, name: str, *, now: datetime, address: str = "") -> list[str]:
    """Counts a try of a code, as of a passphrase, by themselves: TooManyTries where it has to wait."""
    known = name.casefold()
    counted = {"name here": digest(f"code of {known} address {address}"), "name": digest(f"code of {known}")}
    with refusals_noted(catalogue, name):
        count_try(catalogue, counted, now=now)
    return list(counted.values())


def _refuse_wrong_passphrase(catalogue: Catalogue, name: str, passphrase: str, *, now: datetime) -> None:
    counted = {"name here": digest(f"own page of {name.casefold()}")}
    with refusals_noted(catalogue, name):
        count_try(catalogue, counted, now=now)
    if not is_right(rows.find_passphrase(catalogue, name), passphrase):
        note(catalogue, DoorKind.REFUSED, name, what="second factor: the passphrase was wrong")
        raise BadInput([Fault("passphrase", _NOT_YOURS)])
    with catalogue.atomic():
        forget_tries(catalogue, counted.values())


def _refused(catalogue: Catalogue, name: str, told: str) -> BadInput:
    note(catalogue, DoorKind.REFUSED, name, what="second factor: the code was wrong")
    return BadInput([Fault("code", told)])
