"""From which branch or van somebody works: as they chose, else where they were given the role to work."""

from dataclasses import replace

from remnants.actions.log_pieces import last_place
from remnants.actions.places import unmistaken
from remnants.errors import BadInput, Fault, NotFound
from remnants.model import Person, Role
from remnants.store import Catalogue
from remnants.store import people as people_rows
from remnants.store.branch_roles import roles_of
from remnants.store.branches import all_branches

__all__ = ["choose_branch", "own_branch", "usual_place"]


def own_branch(catalogue: Catalogue, person: Person) -> str:
    """The name of the branch or van that a person works from; "" for none in particular.

    What they chose counts, also after it got another name. Who chose nothing, and may work at one branch alone, works from that.
    """
    if person.branch is not None:
        return all_branches(catalogue).named(person.branch) if person.branch else ""
    may = [branch for branch, role in roles_of(catalogue, person.name).items() if role.covers(Role.WORK)]
    return may[0] if len(may) == 1 else ""


def choose_branch(catalogue: Catalogue, person: str, branch: str) -> str:
    """Keeps from which branch or van a person works, "" for none in particular; gives its name.

    Raises BadInput where none is called so, NotFound for a person that isn't there.
    """
    with catalogue.atomic():
        asked = branch.strip()
        name = all_branches(catalogue).named(asked) if asked else ""
        if asked and not name:
            raise BadInput([Fault("branch", f"no branch and no van is called {asked[:80]!r}; choose one of those listed")])
        known = people_rows.find_person(catalogue, person)
        if known is None:
            raise NotFound(f"nobody here is called {person!r}")
        people_rows.update_person(catalogue, replace(known, branch=name))
    return name


def usual_place(catalogue: Catalogue, who: str, own: str) -> str:
    """Where a person put the last piece that they logged, if that is at the branch or van `own` where they are; else `own`."""
    last = last_place(catalogue, who)
    if own and all_branches(catalogue).told_there(last)[0] != own:
        return own
    return unmistaken(catalogue, last, own=own)
