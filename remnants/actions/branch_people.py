"""Who may change stock at which branch: roles given there, and the one rule that every change of stock passes."""

from collections.abc import Iterable, Iterator, Mapping

from remnants.actions.door_book import note
from remnants.errors import NotFound, NotPermitted
from remnants.ledger import Change, Counted, Signed, Standing
from remnants.model import Kind, Piece, Role
from remnants.model.branches import Branches
from remnants.model.door_line import DoorKind
from remnants.store import Catalogue
from remnants.store import people as people_rows
from remnants.store.branch_roles import every_role, put_role, roles_of
from remnants.store.branches import all_branches

__all__ = ["refuse_elsewhere", "refuse_logging_elsewhere", "roles_at_branches", "set_role_at"]


def roles_at_branches(catalogue: Catalogue) -> tuple[tuple[str, str, Role], ...]:
    """Each branch with each person who was given a role there, and the role."""
    return every_role(catalogue)


def set_role_at(catalogue: Catalogue, branch: str, person: str, role: Role | None, *, signed: Signed) -> tuple[str, str]:
    """Gives a person a role at a branch (None: takes it away); gives the names of both as they are written.

    From the first role on they only look where they were given none. The door book tells the branch by its number in the list,
    since its name is a text that somebody typed. Raises NotFound for a branch or person that isn't there.
    """
    with catalogue.atomic():
        ours = all_branches(catalogue)
        own, known = ours.branch_named(branch), people_rows.find_person(catalogue, person)
        if own is None:
            raise NotFound(f"no branch is called {branch!r}; `remnants branch` lists those there are")
        if known is None:
            raise NotFound(f"nobody here is called {person!r}; the page of people shows who is")
        put_role(catalogue, own.name, known.name, role, signed)
    told = f"may {role}" if role else "no role of their own"
    note(catalogue, DoorKind.ROLE, signed.who, whom=known.name, what=f"{told} at branch {ours.branches.index(own) + 1}")
    return own.name, known.name


def refuse_elsewhere(catalogue: Catalogue, signed: Signed, changes: Iterable[tuple[Standing, Change, Standing]]) -> None:
    """Refuses changes of stock at a branch where who signs them has no role that covers work. Each is before, change, after.

    What is sent is of the branch that it leaves, what is taken in of the one where it lies then. Both who expects a piece and who
    sent it may say that it never came. Raises NotPermitted.
    """
    roles = roles_of(catalogue, signed.who)
    if roles:
        ours = all_branches(catalogue)
        for before, change, after in changes:
            for any_of in _touched(ours, before, change, after):
                _refuse(signed, roles, any_of)


def refuse_logging_elsewhere(catalogue: Catalogue, signed: Signed, logged: Iterable[Piece]) -> None:
    """Refuses pieces that come in at a branch where who signs it has no role that covers work. Raises NotPermitted."""
    roles = roles_of(catalogue, signed.who)
    if roles:
        ours = all_branches(catalogue)
        for branch in {ours.branch_of(piece.place) for piece in logged if _is_ours(piece)}:
            _refuse(signed, roles, (branch,))


def _touched(ours: Branches, before: Standing, change: Change, after: Standing) -> Iterator[tuple[str, ...]]:
    """The branches at which stock is changed: one of each of these must allow it."""
    if before.way and isinstance(change, Counted) and not change.seen:
        yield ours.branch_of(before.way.goal), ours.branch_of(before.way.place)
        return
    for standing in (before, after):
        if standing.way is None and _is_ours(standing.piece):
            yield (ours.branch_of(standing.piece.place),)


def _is_ours(piece: Piece) -> bool:
    return piece.kind in (Kind.REMNANT, Kind.OFFCUT) and not piece.customer


def _refuse(signed: Signed, roles: Mapping[str, Role], any_of: tuple[str, ...]) -> None:
    if not any(roles.get(branch, Role.LOOK).covers(Role.WORK) for branch in any_of):
        told = f"{signed.who} may look at what lies at {any_of[0]}, and not change it"
        raise NotPermitted(f"{told}; nothing was done: a manager gives roles there, on *People* or with `remnants branch`")
