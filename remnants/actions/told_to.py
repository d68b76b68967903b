"""What somebody is told of a piece, by their role. Every page, file, sheet and answer to a program tells what this leaves.

Which customer has a piece, and why things were written down while it was with them, is for those who work with it.
"""

from collections.abc import Sequence
from dataclasses import replace

from remnants.actions.fit_job import Fitted
from remnants.actions.show_piece import Life, Shown
from remnants.ledger import Corrected, Counted, Entry, Moved, Received, Standing
from remnants.ledger.holders import photos_at, stays
from remnants.model import Piece, Role

__all__ = ["fitted_told", "life_told", "may_know_customers", "photos_kept_back", "piece_told", "shown_told", "standings_told"]


def may_know_customers(role: Role) -> bool:
    """Whether people of this role are told which customer has a piece, and are shown what was photographed there."""
    return role.covers(Role.WORK)


def piece_told(role: Role, piece: Piece) -> Piece:
    """The piece as people of this role are told of it."""
    return piece if may_know_customers(role) else replace(piece, customer="")


def standings_told(role: Role, standings: Sequence[Standing]) -> tuple[Standing, ...]:
    """Where pieces stand, as people of this role are told."""
    return tuple(standings) if may_know_customers(role) else tuple(map(_without_customer, standings))


def shown_told(role: Role, shown: Shown) -> Shown:
    """All about a piece, as people of this role are told."""
    return shown if may_know_customers(role) else Shown(_without_customer(shown.standing), shown.style)


def fitted_told(role: Role, fitted: Fitted) -> Fitted:
    """An answer, as people of this role are told of its donors."""
    if may_know_customers(role):
        return fitted
    donors = {part.piece for patch in fitted.plan.patches for part in patch.parts}
    told = {tag: piece_told(role, fitted.pieces[tag]) for tag in donors if tag in fitted.pieces}
    return replace(fitted, pieces={**fitted.pieces, **told})


def life_told(role: Role, life: Life) -> Life:
    """What happened to a piece, as people of this role are told: its entries are all of them, oldest first."""
    if may_know_customers(role):
        return life
    entries = tuple(_entry(stay.entry, theirs=bool(stay.before or stay.after)) for stay in stays(life.entries))
    standing, *others = map(_without_customer, (life.standing, *life.parents, *life.offcuts))
    parents = len(life.parents)
    return Life(standing, entries, tuple(others[:parents]), tuple(others[parents:]))


def photos_kept_back(role: Role, entries: Sequence[Entry]) -> frozenset[int]:
    """The numbers of the photographs of a piece that people of this role aren't shown: those taken while a customer had it.

    `entries` are all of the piece's, oldest first.
    """
    if may_know_customers(role):
        return frozenset()
    found = stays(entries)
    return frozenset(number for customer in {stay.after for stay in found} - {""} for number in photos_at(found, customer))


def _without_customer(standing: Standing) -> Standing:
    piece = standing.piece
    if not piece.customer:
        return standing
    return replace(standing, piece=replace(piece, customer=""), signed=replace(standing.signed, why=""))


def _entry(entry: Entry, *, theirs: bool) -> Entry:
    """An entry without the customer's reference; without its reason too, where the piece was `theirs` before or after it."""
    change = entry.change
    match change:
        case Moved() | Counted():
            change = replace(change, customer="")
        case Received() | Corrected():
            change = replace(change, piece=replace(change.piece, customer=""))
    return replace(entry, change=change, signed=replace(entry.signed, why="") if theirs else entry.signed)
