"""How people come in: passphrase, one-time link, linked device, key for programs; and how they go out again.

A secret is 256 random bits; the catalogue holds only its digest. A session starts with a new secret each time, so one that
was planted beforehand opens nothing.
"""

import secrets
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from remnants.actions.door_book import note
from remnants.actions.passphrases import checked, hashed, is_right
from remnants.actions.tries import count_try, digest, forget_tries
from remnants.days import day_words
from remnants.errors import BadInput, Fault, NotFound, SignInRefused, TooManyTries
from remnants.model.door_line import DoorKind
from remnants.model.person import LinkUse, Person, Role, Scope, Session, SessionKind
from remnants.store import Catalogue, agreements, flat_photos, second_factors, unsent
from remnants.store import people as rows

__all__ = [
    "CODE_HOLDS",
    "DEVICE_LINK_HOLDS",
    "IDLE",
    "LONGEST",
    "Opened",
    "begin_session",
    "change_passphrase",
    "device_link",
    "end_everything",
    "end_session",
    "fresh_link",
    "link_device",
    "link_of",
    "make_key",
    "refusals_noted",
    "session_of",
    "sessions_of",
    "set_passphrase_by_link",
    "sign_in",
    "was_let_in",
]

DEVICE_LINK_HOLDS = timedelta(minutes=10)

IDLE = {
    SessionKind.BROWSER: timedelta(hours=12),
    SessionKind.DEVICE: timedelta(days=14),
}
"""A session ends when it wasn't used for this long; a key on the day that it was made for."""

LONGEST = {
    SessionKind.BROWSER: timedelta(days=7),
    SessionKind.DEVICE: timedelta(days=30),
    SessionKind.KEY: timedelta(days=365),
}
"""A session ends after this long, used or not. People come in anew after 30 days at most: OWASP ASVS 4.0.3, 3.3.2."""


CODE_HOLDS = timedelta(minutes=5)
"""How long a code may be given after the passphrase."""

_NOTE_USE_AFTER = timedelta(minutes=1)
_LONGEST_LABEL = 60
_REFUSED = "that name and passphrase don't open this shop; check both, or ask the manager for a new link"
_NOT_NOW = "that is not your passphrase now"
_OVER = "you were signed out here meanwhile; sign in again"
_SPENT = "this link was used, or it is too old; ask for a new one"


@dataclass(frozen=True, slots=True)
class Opened:
    """The secret of a new session; where it isn't `whole`, of a sign-in that waits for a code."""

    secret: str
    whole: bool = True


def sign_in(catalogue: Catalogue, name: str, passphrase: str, *, address: str, label: str, now: datetime) -> Opened:
    """Checks a passphrase and opens a session, or has a code asked for where the person has a second factor.

    Raises SignInRefused, the same for an unknown name as for a wrong passphrase; TooManyTries after several wrong ones for
    that name or from that address.
    """
    name = " ".join(name.split())
    known = name.casefold()
    counted = {
        "name here": digest(f"name {known} address {address}"),
        "name": digest(f"name {known}"),
        "address": digest(f"address {address}"),
    }
    with refusals_noted(catalogue, name):
        count_try(catalogue, counted, now=now)
        stored = rows.find_passphrase(catalogue, name)
        if not is_right(stored, passphrase):
            raise SignInRefused(_REFUSED)
        with catalogue.atomic():
            if rows.find_passphrase(catalogue, name) != stored:  # another one, or shut out, while this one was looked at
                raise SignInRefused(_REFUSED)
            forget_tries(catalogue, counted.values())
            opened = _open(catalogue, name, label=label, now=now)
    if opened.whole:
        note(catalogue, DoorKind.SIGN_IN, _known_name(catalogue, name), what="by passphrase")
    else:
        note(catalogue, DoorKind.FACTOR, _known_name(catalogue, name), what="the passphrase was right; a code is asked for")
    return opened


def session_of(catalogue: Catalogue, secret: str, *, kinds: frozenset[SessionKind], now: datetime) -> Session | None:
    """The running session that the secret belongs to, if it is of one of the kinds. Notes its use, once a minute."""
    found = rows.find_session(catalogue, digest(secret), now=now)
    if found is None or found.kind not in kinds:
        return None
    if now - found.seen_at > _NOTE_USE_AFTER:
        with catalogue.atomic():
            longest = found.made_at + LONGEST[found.kind]
            ends = min(now + IDLE[found.kind], longest) if found.kind in IDLE else found.ends_at
            rows.touch_session(catalogue, found.number, now=now, ends=ends)
    return found


def was_let_in(catalogue: Catalogue, secret: str) -> bool:
    """Whether the secret is one of a session, running or ended lately: whose form is too precious to be turned away unread."""
    return rows.knows_session(catalogue, digest(secret))


def sessions_of(catalogue: Catalogue, person: Person, *, now: datetime) -> tuple[Session, ...]:
    """Where somebody is signed in, newest first."""
    return rows.list_sessions(catalogue, person.name, now=now)


def end_session(catalogue: Catalogue, person: Person, number: int) -> None:
    """Signs a person out in one place. Raises NotFound when that session isn't theirs or has ended."""
    with catalogue.atomic():
        if not rows.drop_sessions(catalogue, person.name, only=number):
            raise NotFound("you are no longer signed in there")
    note(catalogue, DoorKind.SIGN_OUT, person.name, what=f"session {number}")


def fresh_link(catalogue: Catalogue, use: LinkUse, *, name: str | None, now: datetime, holds: timedelta) -> str:
    """The secret of a new one-time link; the caller holds the transaction."""
    secret = secrets.token_urlsafe(32)
    rows.add_link(catalogue, digest(secret), use, name=name, ends=now + holds)
    return secret


def link_of(catalogue: Catalogue, secret: str, *, now: datetime) -> tuple[LinkUse, Person | None]:
    """What a one-time link is for and whose it is; looking doesn't use it up. Raises SignInRefused."""
    found = rows.open_link(catalogue, digest(secret), now=now)
    if found is None:
        raise SignInRefused(_SPENT)
    return found


def set_passphrase_by_link(catalogue: Catalogue, secret: str, passphrase: str, *, name: str, label: str, now: datetime) -> Opened:
    """Uses a link up to set a passphrase, and opens a session, or has a code asked for as `sign_in` does.

    The first manager's link makes that person, under `name`; an invited person's name is known already. All their older
    sessions end. Raises SignInRefused, BadInput.
    """
    use, invited = link_of(catalogue, secret, now=now)
    if use is LinkUse.DEVICE:
        raise SignInRefused(_SPENT)
    person = invited or Person(" ".join(name.split()), Role.MANAGE)
    stored = hashed(checked(passphrase, name=person.name))
    with catalogue.atomic():
        _spend(catalogue, secret)
        if invited is None:
            rows.add_person(catalogue, person)
        rows.set_passphrase(catalogue, person.name, stored)
        rows.drop_sessions(catalogue, person.name)
        rows.drop_links(catalogue, person.name)
        opened = _open(catalogue, person.name, label=label, now=now)
    told = "the first manager's link" if invited is None else "an invitation"
    next_ = "signed in" if opened.whole else "a code is asked for"
    note(catalogue, DoorKind.PASSPHRASE, person.name, what=f"set by {told}; {next_}, and all else ended")
    return opened


def change_passphrase(catalogue: Catalogue, session: Session, old: str, new: str, *, now: datetime) -> str:
    """Another passphrase for the one who knows the old one. All their sessions, keys and links end; gives the secret of a new
    session like this.

    Raises BadInput; TooManyTries after several wrong old ones.
    """
    name = session.person.name
    with refusals_noted(catalogue, name):
        count_try(catalogue, {"name here": digest(f"own page of {name.casefold()}")}, now=now)
    known = rows.find_passphrase(catalogue, name)
    if not is_right(known, old):
        note(catalogue, DoorKind.REFUSED, name, what="another passphrase: the old one was wrong")
        raise BadInput([Fault("old", _NOT_NOW)])
    stored = hashed(checked(new, name=name))
    with catalogue.atomic():
        if rows.find_passphrase(catalogue, name) != known:
            raise BadInput([Fault("old", _NOT_NOW)])
        forget_tries(catalogue, [digest(f"own page of {name.casefold()}")])
        rows.set_passphrase(catalogue, name, stored)
        rows.drop_sessions(catalogue, name)
        rows.drop_links(catalogue, name)
        opened = begin_session(catalogue, name, kind=session.kind, label=session.label, now=now)
    note(catalogue, DoorKind.PASSPHRASE, name, what="changed; all else ended")
    return opened


def device_link(catalogue: Catalogue, person: Person, *, now: datetime, session: Session | None = None) -> str:
    """The secret of a link that signs one more device in as this person, for ten minutes.

    Raises SignInRefused where the `session` that asks for it was ended meanwhile.
    """
    with catalogue.atomic():
        _refuse_ended(catalogue, session, now=now)
        secret = fresh_link(catalogue, LinkUse.DEVICE, name=person.name, now=now, holds=DEVICE_LINK_HOLDS)
    note(catalogue, DoorKind.LINK, person.name, whom=person.name, what="made, to sign a device in")
    return secret


def link_device(catalogue: Catalogue, secret: str, *, label: str, now: datetime) -> str:
    """Uses a device's link up and gives the secret of its session. Raises SignInRefused."""
    use, person = link_of(catalogue, secret, now=now)
    if use is not LinkUse.DEVICE or person is None:
        raise SignInRefused(_SPENT)
    with catalogue.atomic():
        _spend(catalogue, secret)
        opened = begin_session(catalogue, person.name, kind=SessionKind.DEVICE, label=label, now=now)
    note(catalogue, DoorKind.SIGN_IN, person.name, what="a device, by its link")
    return opened


def make_key(
    catalogue: Catalogue,
    person: Person,
    *,
    label: str,
    scopes: Collection[Scope],
    until: date,
    now: datetime,
    session: Session | None = None,
) -> str:
    """A key for a program that works in this person's name, in these scopes, to the end of a day (UTC). Shown once.

    Raises BadInput without a label or a scope, and for a day that has gone by or is further off than LONGEST; SignInRefused where
    the `session` that asks for it was ended meanwhile.
    """
    faults = []
    if not label.strip():
        faults.append(Fault("label", "say what the key is for, so that you know later which one to end"))
    if not scopes:
        faults.append(Fault("scopes", "say what the program may do: one of them at least"))
    last = (now + LONGEST[SessionKind.KEY]).date()
    if not now.date() <= until <= last:
        faults.append(
            Fault("until", f"{day_words(until)} is no end for a key: give a day from {day_words(now)} to {day_words(last)}")
        )
    if faults:
        raise BadInput(faults)
    ends = datetime.combine(until, time.max, tzinfo=UTC)
    with catalogue.atomic():
        _refuse_ended(catalogue, session, now=now)
        key = begin_session(catalogue, person.name, kind=SessionKind.KEY, label=label, now=now, ends=ends, scopes=scopes)
    note(catalogue, DoorKind.KEY, person.name, what=f"made; may {', '.join(sorted(scopes))} until {day_words(until)}")
    return key


def end_everything(catalogue: Catalogue, person: Person, *, by: Person) -> None:
    """Ends all that lets anybody in as this person, or was kept for them: sessions, devices, keys, links, forms sent late,
    photographs that are measured in.

    The links end too that they made for customers, which a lost phone may show.

    They come in again by their passphrase. What their devices keep of pages goes when those next reach the shop.
    """
    with catalogue.atomic():
        rows.drop_sessions(catalogue, person.name)
        rows.drop_links(catalogue, person.name)
        unsent.drop_all(catalogue, person.name)
        flat_photos.drop_all(catalogue, person.name)
        agreements.drop_links_of(catalogue, person.name)
    note(catalogue, DoorKind.ENDED, by.name, whom=person.name, what="sessions, devices, keys, links")


@contextmanager
def refusals_noted(catalogue: Catalogue, name: str, told: str = "sign-in") -> Iterator[None]:
    """Notes a refusal under the name that was typed where somebody has it: any other text may be a secret in the wrong field."""
    try:
        yield
    except (SignInRefused, TooManyTries) as refused:
        told = "too many tries" if isinstance(refused, TooManyTries) else told
        note(catalogue, DoorKind.REFUSED, _known_name(catalogue, name), what=told)
        raise


def _known_name(catalogue: Catalogue, name: str) -> str:
    known = rows.find_person(catalogue, name)
    return known.name if known else ""


def _open(catalogue: Catalogue, name: str, *, label: str, now: datetime) -> Opened:
    """Opens a session, or half of one. The caller holds the transaction."""
    factor = second_factors.factor_of(catalogue, name)
    if factor is None or factor.since is None:
        return Opened(begin_session(catalogue, name, kind=SessionKind.BROWSER, label=label, now=now))
    secret = secrets.token_urlsafe(32)
    second_factors.add_half(catalogue, digest(secret), name, label=label, now=now, ends=now + CODE_HOLDS)
    return Opened(secret, whole=False)


def begin_session(
    catalogue: Catalogue,
    name: str,
    *,
    kind: SessionKind,
    label: str,
    now: datetime,
    ends: datetime | None = None,
    scopes: Collection[Scope] = (),
) -> str:
    """The secret of a new session. The caller holds the transaction."""
    secret = secrets.token_urlsafe(32)
    shown = " ".join(label.split())[:_LONGEST_LABEL] or kind.value
    until = ends or now + IDLE[kind]
    rows.add_session(catalogue, digest(secret), name, kind=kind, label=shown, now=now, ends=until, scopes=scopes)
    return secret


def _refuse_ended(catalogue: Catalogue, session: Session | None, *, now: datetime) -> None:
    """What ends a person's sessions ends what they ask for in the same moment too. The caller holds the transaction."""
    if session and session.number not in {one.number for one in rows.list_sessions(catalogue, session.person.name, now=now)}:
        raise SignInRefused(_OVER)


def _spend(catalogue: Catalogue, secret: str) -> None:
    if not rows.spend_link(catalogue, digest(secret)):
        raise SignInRefused(_SPENT)
