"""A form that came when its maker's session was over: kept until they are signed in again, and shown to nobody else."""

import secrets
from collections.abc import Sequence
from datetime import datetime, timedelta

from remnants.actions.booking import answered
from remnants.actions.tries import digest
from remnants.limits import LATE_CHARACTERS
from remnants.store import Catalogue, unsent
from remnants.store import people as rows
from remnants.store.unsent import Unsent

__all__ = ["HOLDS", "Unsent", "drop_form", "form_kept", "keep_form", "show_form"]

HOLDS = timedelta(days=1)


def keep_form(
    catalogue: Catalogue,
    ended: str,
    path: str,
    fields: Sequence[tuple[str, str]],
    *,
    files: bool,
    made_by: str,
    now: datetime,
) -> str:
    """Keeps what was sent under `ended`, the secret of a session that is over; gives the secret under which it is found again.

    Empty where it isn't kept: nobody had that session lately, somebody else made it (`made_by`), it is too large.
    """
    person = rows.ended_person(catalogue, digest(ended))
    if person is None or (made_by and made_by.casefold() != person.casefold()):
        return ""
    if sum(len(name) + len(value) for name, value in fields) > LATE_CHARACTERS:
        return ""
    secret = secrets.token_urlsafe(32)
    with catalogue.atomic():
        unsent.add(catalogue, digest(secret), Unsent(person, path, tuple(fields), files, now + HOLDS), now=now)
    return secret


def form_kept(catalogue: Catalogue, secret: str, *, now: datetime) -> Unsent | None:
    """The form kept under that secret, unless it is too old, or was sent and done since."""
    found = unsent.find(catalogue, digest(secret), now=now) if secret else None
    return None if found is None or answered(catalogue, dict(found.fields).get("key", "").strip()) else found


def show_form(catalogue: Catalogue, secret: str) -> None:
    """Notes that who made the form under that secret has it before them again."""
    with catalogue.atomic():
        unsent.mark_shown(catalogue, digest(secret))


def drop_form(catalogue: Catalogue, secret: str) -> None:
    """Keeps the form under that secret no longer."""
    with catalogue.atomic():
        unsent.drop(catalogue, digest(secret))
