"""Who works here: people, roles, passphrases and preferences. Each change is one transaction."""

from dataclasses import replace
from datetime import datetime, timedelta

from remnants.actions.door_book import note
from remnants.actions.doors import end_everything, fresh_link
from remnants.actions.plain_texts import refuse_unseen_marks
from remnants.errors import BadInput, Fault, NotAllowed, NotFound
from remnants.model.door_line import DoorKind
from remnants.model.person import LinkUse, Person, Role, Theme
from remnants.store import Catalogue
from remnants.store import people as rows
from remnants.units import Unit

__all__ = [
    "INVITE_HOLDS",
    "change_role",
    "end_everything_of",
    "everybody",
    "first_manager_link",
    "invite",
    "invite_again",
    "let_back",
    "set_preferences",
    "shut_out",
]

INVITE_HOLDS = timedelta(days=3)


def first_manager_link(catalogue: Catalogue, *, now: datetime) -> str | None:
    """The secret of a one-time link that makes the manager, while there are no people; otherwise None."""
    with catalogue.atomic():
        if rows.list_people(catalogue):
            return None
        secret = fresh_link(catalogue, LinkUse.FIRST_MANAGER, name=None, now=now, holds=INVITE_HOLDS)
    note(catalogue, DoorKind.LINK, "", what="made, for the first manager")
    return secret


def everybody(catalogue: Catalogue) -> tuple[Person, ...]:
    """All people, by name."""
    return rows.list_people(catalogue)


def invite(catalogue: Catalogue, name: str, role: Role, *, by: Person, now: datetime) -> str:
    """Adds a person and gives the secret of their one-time link. Raises BadInput when the name is taken or no name."""
    person = Person(" ".join(name.split()), role)
    refuse_unseen_marks(name=person.name)
    with catalogue.atomic():
        if rows.find_person(catalogue, person.name):
            raise BadInput([Fault("name", f"there is somebody called {person.name!r} already; add a second name or a letter")])
        rows.add_person(catalogue, person)
        secret = fresh_link(catalogue, LinkUse.INVITE, name=person.name, now=now, holds=INVITE_HOLDS)
    note(catalogue, DoorKind.INVITATION, by.name, whom=person.name, what=f"may {role}")
    return secret


def invite_again(catalogue: Catalogue, name: str, *, by: Person, now: datetime) -> str:
    """A new one-time link for somebody who lost theirs or their passphrase; the old link no longer opens."""
    with catalogue.atomic():
        person = _known(catalogue, name)
        if not person.active:
            raise NotAllowed(f"{person.name} is shut out; let them back first")
        secret = fresh_link(catalogue, LinkUse.INVITE, name=person.name, now=now, holds=INVITE_HOLDS)
    note(catalogue, DoorKind.LINK, by.name, whom=person.name, what="made, to set a passphrase")
    return secret


def change_role(catalogue: Catalogue, name: str, role: Role, *, by: Person) -> Person:
    """Gives somebody another role. Raises NotFound; NotAllowed for the last manager."""
    with catalogue.atomic():
        person = _known(catalogue, name)
        if role is not Role.MANAGE:
            _keep_a_manager(catalogue, person)
        changed = replace(person, role=role)
        rows.update_person(catalogue, changed)
    note(catalogue, DoorKind.ROLE, by.name, whom=person.name, what=f"from {person.role} to {role}")
    return changed


def shut_out(catalogue: Catalogue, name: str, *, by: Person) -> Person:
    """Ends somebody's sessions and links and lets them in no more; their entries stay. Raises NotAllowed for the last manager."""
    with catalogue.atomic():
        person = _known(catalogue, name)
        _keep_a_manager(catalogue, person)
        changed = replace(person, active=False)
        rows.update_person(catalogue, changed)
        rows.drop_sessions(catalogue, person.name)
        rows.drop_links(catalogue, person.name)
    note(catalogue, DoorKind.SHUT_OUT, by.name, whom=person.name)
    return changed


def end_everything_of(catalogue: Catalogue, name: str, *, by: Person) -> Person:
    """Ends all that lets anybody in as this person: sessions, keys, links. Raises NotFound."""
    person = _known(catalogue, name)
    end_everything(catalogue, person, by=by)
    return person


def let_back(catalogue: Catalogue, name: str, *, by: Person) -> Person:
    """Lets somebody in again. Raises NotFound."""
    with catalogue.atomic():
        changed = replace(_known(catalogue, name), active=True)
        rows.update_person(catalogue, changed)
    note(catalogue, DoorKind.LET_BACK, by.name, whom=changed.name)
    return changed


def set_preferences(catalogue: Catalogue, name: str, *, unit: Unit, theme: Theme) -> Person:
    """How a person reads lengths and screens."""
    with catalogue.atomic():
        changed = replace(_known(catalogue, name), unit=unit, theme=theme)
        rows.update_person(catalogue, changed)
    return changed


def _known(catalogue: Catalogue, name: str) -> Person:
    person = rows.find_person(catalogue, name)
    if person is None:
        raise NotFound(f"nobody here is called {name!r}; the list of people shows who is")
    return person


def _keep_a_manager(catalogue: Catalogue, person: Person) -> None:
    managers = {one.name for one in rows.list_people(catalogue) if one.role is Role.MANAGE and one.active and one.ready}
    if person.role is Role.MANAGE and managers <= {person.name}:
        raise NotAllowed(f"{person.name} is the only manager; make somebody else one first")
