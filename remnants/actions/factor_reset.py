"""Taking a second factor away from somebody who lost their phone: by another manager, or at the machine itself."""

from remnants.actions.door_book import note
from remnants.errors import NotAllowed, NotFound
from remnants.model import Person
from remnants.model.door_line import DoorKind
from remnants.store import Catalogue, second_factors
from remnants.store import people as rows

__all__ = ["reset_factor", "whose_factor"]


def whose_factor(catalogue: Catalogue, name: str) -> Person:
    """Whose second factor would be taken away, so that whoever is asked is asked of somebody who has one.

    Raises NotFound; NotAllowed where there is none.
    """
    person = rows.find_person(catalogue, name)
    if person is None:
        raise NotFound(f"nobody here is called {name!r}; take a name as it stands in the list")
    if not person.doubled:
        raise NotAllowed(f"{person.name} has no second factor, so there is none to take away")
    return person


def reset_factor(catalogue: Catalogue, name: str, *, by: str) -> str:
    """Takes it away, and ends the person's sessions, keys and links; gives their name. They come in by their passphrase.

    Raises NotFound; NotAllowed where there is none.
    """
    with catalogue.atomic():
        person = whose_factor(catalogue, name)
        second_factors.drop_factor(catalogue, person.name)
        rows.drop_sessions(catalogue, person.name)
        rows.drop_links(catalogue, person.name)
    note(catalogue, DoorKind.FACTOR, by, whom=person.name, what="reset; all else ended")
    return person.name
