"""Branches, the words with which their places begin, vans, and how far it is between branches, as rows."""

from remnants.ledger import Signed
from remnants.model.branches import Branch, Branches, Van, alike, pair_of
from remnants.model.distance import Distance
from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_text

__all__ = [
    "BRANCHES",
    "add_branch",
    "add_place",
    "all_branches",
    "any_told",
    "drop_branch",
    "drop_van",
    "put_distance",
    "put_van",
    "rename",
]

BRANCHES = """
CREATE TABLE branch (
    number INTEGER PRIMARY KEY,
    name TEXT NOT NULL CHECK (trim(name) <> ''),
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL
) STRICT;
CREATE TABLE branch_place (
    alike TEXT PRIMARY KEY CHECK (trim(alike) <> ''),
    words TEXT NOT NULL CHECK (trim(words) <> ''),
    branch INTEGER REFERENCES branch (number),
    custodian TEXT NOT NULL DEFAULT '',
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL,
    CHECK (branch IS NOT NULL OR custodian <> '')
) STRICT;
CREATE TABLE branch_distance (
    one INTEGER NOT NULL REFERENCES branch (number),
    other INTEGER NOT NULL REFERENCES branch (number),
    km REAL NOT NULL CHECK (km > 0),
    words TEXT NOT NULL,
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL,
    PRIMARY KEY (one, other),
    CHECK (one < other)
) STRICT;
"""
"""A step of the migrations, never edited. `branch_place` holds each name once, of branches, of their places and of vans (these
have a custodian), as `alike` folds it: so no two can be alike."""


def all_branches(catalogue: Catalogue) -> Branches:
    """All that the shop told of its branches and vans."""
    names = {row["number"]: row["name"] for row in catalogue.query("SELECT number, name FROM branch ORDER BY number")}
    places: dict[int, list[str]] = {number: [] for number in names}
    vans = []
    for row in catalogue.query("SELECT words, branch, custodian FROM branch_place ORDER BY alike"):
        if row["custodian"]:
            vans.append(Van(row["words"], row["custodian"], names.get(row["branch"], "")))
        elif alike(row["words"]) != alike(names[row["branch"]]):
            places[row["branch"]].append(row["words"])
    distances = {
        pair_of(names[row["one"]], names[row["other"]]): Distance(row["km"], row["words"])
        for row in catalogue.query("SELECT one, other, km, words FROM branch_distance ORDER BY one, other")
    }
    return Branches(tuple(Branch(name, tuple(places[number])) for number, name in names.items()), tuple(vans), distances)


def any_told(catalogue: Catalogue) -> bool:
    """Whether the shop told of any branch or van."""
    return catalogue.execute("SELECT 1 FROM branch_place LIMIT 1").fetchone() is not None


def add_branch(catalogue: Catalogue, name: str, signed: Signed) -> None:
    """Puts a branch in, after those there are. The caller holds the transaction, as in all below."""
    (number,) = catalogue.execute("SELECT coalesce(max(number), 0) + 1 FROM branch").fetchone()
    sql = "INSERT INTO branch (number, name, who, at) VALUES (?, ?, ?, ?)"
    catalogue.execute(sql, [number, name, signed.who, time_text(signed.at)])
    _put_words(catalogue, number, name, signed)


def add_place(catalogue: Catalogue, branch: str, words: str, signed: Signed) -> None:
    """Says that places which begin with these words are the branch's."""
    _put_words(catalogue, _number(catalogue, branch), words, signed)


def rename(catalogue: Catalogue, name: str, new: str, signed: Signed) -> None:
    """Gives a branch another name; places that begin with the one before stay its own."""
    number = _number(catalogue, name)
    catalogue.execute(
        "UPDATE branch SET name = ?, who = ?, at = ? WHERE number = ?", [new, signed.who, time_text(signed.at), number]
    )
    catalogue.execute("DELETE FROM branch_place WHERE alike = ? AND branch = ? AND custodian = ''", [alike(new), number])
    _put_words(catalogue, number, new, signed)


def drop_branch(catalogue: Catalogue, name: str) -> None:
    """Takes a branch away with its words, distances and roles; vans of it are the first one's then."""
    number = _number(catalogue, name)
    catalogue.execute("DELETE FROM branch_place WHERE branch = ? AND custodian = ''", [number])
    catalogue.execute("UPDATE branch_place SET branch = NULL WHERE branch = ?", [number])
    catalogue.execute("DELETE FROM branch_distance WHERE one = ? OR other = ?", [number, number])
    catalogue.execute("DELETE FROM branch_role WHERE branch = ?", [number])
    catalogue.execute("DELETE FROM branch WHERE number = ?", [number])


def put_van(catalogue: Catalogue, van: Van, signed: Signed) -> None:
    """Puts a van in, or says anew who has it and of which branch it is."""
    number = _number(catalogue, van.branch) if van.branch else None
    sql = (
        "INSERT INTO branch_place (alike, words, branch, custodian, who, at) VALUES (?, ?, ?, ?, ?, ?)"
        " ON CONFLICT (alike) DO UPDATE SET branch = excluded.branch, custodian = excluded.custodian,"
        " who = excluded.who, at = excluded.at"
    )
    catalogue.execute(sql, [alike(van.name), van.name, number, van.custodian, signed.who, time_text(signed.at)])


def drop_van(catalogue: Catalogue, name: str) -> None:
    """Takes a van away."""
    catalogue.execute("DELETE FROM branch_place WHERE alike = ? AND custodian <> ''", [alike(name)])


def put_distance(catalogue: Catalogue, one: str, other: str, distance: Distance, signed: Signed) -> None:
    """Says how far it is between two branches."""
    pair = sorted((_number(catalogue, one), _number(catalogue, other)))
    sql = (
        "INSERT INTO branch_distance (one, other, km, words, who, at) VALUES (?, ?, ?, ?, ?, ?)"
        " ON CONFLICT (one, other) DO UPDATE SET km = excluded.km, words = excluded.words, who = excluded.who, at = excluded.at"
    )
    catalogue.execute(sql, [*pair, distance.km, distance.words, signed.who, time_text(signed.at)])


def _put_words(catalogue: Catalogue, number: int, words: str, signed: Signed) -> None:
    sql = "INSERT INTO branch_place (alike, words, branch, who, at) VALUES (?, ?, ?, ?, ?)"
    catalogue.execute(sql, [alike(words), words, number, signed.who, time_text(signed.at)])


def _number(catalogue: Catalogue, name: str) -> int:
    """The number of the branch whose name or words these are."""
    (number,) = catalogue.execute("SELECT branch FROM branch_place WHERE alike = ?", [alike(name)]).fetchone()
    return int(number)
