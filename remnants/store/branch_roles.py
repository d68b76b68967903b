"""What people may do at which branch, as rows. Who has no row may do everywhere what their role says."""

from collections.abc import Mapping

from remnants.ledger import Signed
from remnants.model.branches import alike
from remnants.model.person import Role
from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_text

__all__ = ["BRANCH_ROLES", "every_role", "put_role", "roles_of"]

BRANCH_ROLES = """
CREATE TABLE branch_role (
    person INTEGER NOT NULL REFERENCES person (id),
    branch INTEGER NOT NULL REFERENCES branch (number),
    role TEXT NOT NULL CHECK (role IN ('look', 'work')),
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL,
    PRIMARY KEY (person, branch)
) STRICT;
"""
"""A step of the migrations, never edited."""

_ROLES = "branch_role r JOIN person p ON p.id = r.person JOIN branch b ON b.number = r.branch"


def roles_of(catalogue: Catalogue, person: str) -> Mapping[str, Role]:
    """The role that a person has at each branch where they were given one, by the branch's name; a manager has none of these."""
    sql = f"SELECT b.name, r.role FROM {_ROLES} WHERE lower(p.name) = lower(?) AND p.role <> 'manage' ORDER BY b.number"
    return {row["name"]: Role(row["role"]) for row in catalogue.query(sql, [person])}


def every_role(catalogue: Catalogue) -> tuple[tuple[str, str, Role], ...]:
    """Each branch with each person who was given a role there, and the role."""
    sql = f"SELECT b.name AS branch, p.name AS person, r.role FROM {_ROLES} ORDER BY b.number, p.name"
    return tuple((row["branch"], row["person"], Role(row["role"])) for row in catalogue.query(sql))


def put_role(catalogue: Catalogue, branch: str, person: str, role: Role | None, signed: Signed) -> None:
    """Gives a person a role at a branch, or takes theirs there away. The caller holds the transaction."""
    (number,) = catalogue.execute("SELECT branch FROM branch_place WHERE alike = ?", [alike(branch)]).fetchone()
    (whose,) = catalogue.execute("SELECT id FROM person WHERE lower(name) = lower(?)", [person]).fetchone()
    catalogue.execute("DELETE FROM branch_role WHERE person = ? AND branch = ?", [whose, number])
    if role is not None:
        sql = "INSERT INTO branch_role (person, branch, role, who, at) VALUES (?, ?, ?, ?, ?)"
        catalogue.execute(sql, [whose, number, str(role), signed.who, time_text(signed.at)])
