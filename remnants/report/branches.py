"""Branches and vans as tables for a terminal."""

from collections.abc import Mapping, Sequence

from rich.table import Table

from remnants.model import Role
from remnants.model.branches import Branches

__all__ = ["branch_table", "van_table"]


def branch_table(found: Branches, counts: Mapping[str, int], roles: Sequence[tuple[str, str, Role]] = ()) -> Table:
    """A row a branch: its name, how many pieces lie there, the words that its places begin with, how far the others are.

    Where anybody was given a role at a branch (its name, theirs, the role), who may do what there too.
    """
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("branch", "pieces", "its places begin with", "away", *(["people"] if roles else [])):
        table.add_column(heading, justify="right" if heading == "pieces" else "left")
    for number, branch in enumerate(found.branches):
        words = [branch.name, *branch.places, *(["anything that is nobody's"] if not number else [])]
        away = [
            f"{other.name} {distance.words}"
            for other in found.branches
            if other != branch and (distance := found.between(branch.name, other.name))
        ]
        people = [f"{person} may {role}" for name, person, role in roles if name == branch.name]
        told = [", ".join(people)] if roles else []
        table.add_row(branch.name, f"{counts[branch.name]:,}", ", ".join(words), ", ".join(away), *told)
    return table


def van_table(found: Branches, counts: Mapping[str, int]) -> Table:
    """A row a van: its name, who answers for it, of which branch it is, how many pieces lie in it."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("van", "with", "of", "pieces"):
        table.add_column(heading, justify="right" if heading == "pieces" else "left")
    for van in found.vans:
        table.add_row(van.name, van.custodian, found.branch_of(van.name), f"{counts[van.name]:,}")
    return table
