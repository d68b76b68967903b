"""People, their sessions, one-time links and wrong tries, as rows.

Secrets come in and lie here only as SHA-256 digests; passphrases only as argon2id strings. Times are UTC.
"""

from collections.abc import Collection
from datetime import datetime, timedelta
from typing import Any

from remnants.model.person import LinkUse, Person, Role, Scope, Session, SessionKind, Theme
from remnants.store.catalogue import Catalogue
from remnants.store.rows import moment_text
from remnants.store.second_factors import drop_half
from remnants.units import Unit

__all__ = [
    "OWN_BRANCH",
    "PEOPLE",
    "SCOPES",
    "SEALS",
    "add_failure",
    "add_link",
    "add_person",
    "add_session",
    "count_failures",
    "drop_failures",
    "drop_links",
    "drop_old",
    "drop_sessions",
    "end_all",
    "ended_person",
    "find_passphrase",
    "find_person",
    "find_session",
    "knows_session",
    "list_people",
    "list_sessions",
    "open_link",
    "set_passphrase",
    "spend_link",
    "touch_session",
    "update_person",
]

PEOPLE = """
CREATE TABLE person (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (length(name) BETWEEN 1 AND 80),
    role TEXT NOT NULL CHECK (role IN ('look', 'work', 'manage')),
    unit TEXT NOT NULL DEFAULT 'ft',
    theme TEXT NOT NULL DEFAULT 'device',
    active INTEGER NOT NULL DEFAULT 1 CHECK (active IN (0, 1)),
    passphrase TEXT
) STRICT;
CREATE TABLE session (
    id INTEGER PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE,
    person INTEGER NOT NULL REFERENCES person (id),
    kind TEXT NOT NULL CHECK (kind IN ('browser', 'device', 'key')),
    label TEXT NOT NULL,
    made_at TEXT NOT NULL,
    seen_at TEXT NOT NULL,
    ends_at TEXT NOT NULL
) STRICT;
CREATE INDEX session_person ON session (person);
CREATE TABLE link (
    digest TEXT PRIMARY KEY,
    use TEXT NOT NULL CHECK (use IN ('first-manager', 'invite', 'device')),
    person INTEGER REFERENCES person (id),
    ends_at TEXT NOT NULL,
    CHECK ((use = 'first-manager') = (person IS NULL))
) STRICT;
CREATE TABLE wrong_try (who TEXT NOT NULL, at TEXT NOT NULL) STRICT;
CREATE INDEX wrong_try_who ON wrong_try (who, at);
"""
"""Steps of the migrations, this and those below. Never edited, as any step."""

SEALS = """
ALTER TABLE person ADD COLUMN seal BLOB NOT NULL DEFAULT x'';
UPDATE person SET seal = randomblob(32);
CREATE TRIGGER person_sealed AFTER INSERT ON person BEGIN UPDATE person SET seal = randomblob(32) WHERE id = new.id; END;
"""
"""What a device seals with what a person's entries wait there with, so that nobody else who takes it up reads them."""

SCOPES = """
ALTER TABLE session ADD COLUMN scopes TEXT NOT NULL DEFAULT '';
UPDATE session SET scopes = 'look fit log book' WHERE kind = 'key';
"""
"""What a program's key may do; those from before may do what programs can do, and no more."""

OWN_BRANCH = "ALTER TABLE person ADD COLUMN branch TEXT;"
"""From which branch or van a person works, as they chose it; it names it by words, which stay its own when it is renamed."""

_ENDED_STAY = timedelta(days=1)
_PERSON = (
    "p.name, p.role, p.unit, p.theme, p.active, p.passphrase IS NOT NULL AS ready, p.factor_since IS NOT NULL AS doubled,"
    " p.branch"
)
_SESSION = f"s.id AS number, s.kind, s.label, s.made_at, s.seen_at, s.ends_at, s.scopes, p.seal, {_PERSON}"
_WHOSE = "session s JOIN person p ON p.id = s.person"


def find_person(catalogue: Catalogue, name: str) -> Person | None:
    """The person of that name, whatever its letter case."""
    row = _first(catalogue, f"SELECT {_PERSON} FROM person p WHERE lower(p.name) = lower(?)", [name])
    return _person(row) if row else None


def list_people(catalogue: Catalogue) -> tuple[Person, ...]:
    """Everybody, by name."""
    return tuple(_person(row) for row in catalogue.query(f"SELECT {_PERSON} FROM person p ORDER BY lower(p.name), p.name"))


def add_person(catalogue: Catalogue, person: Person) -> None:
    """Puts a new person in, without a passphrase."""
    catalogue.execute(
        "INSERT INTO person (name, role, unit, theme, active) VALUES (?, ?, ?, ?, ?)",
        [person.name, person.role, person.unit, person.theme, person.active],
    )


def update_person(catalogue: Catalogue, person: Person) -> None:
    """Stores the role, preferences and whether active of the person of that name."""
    catalogue.execute(
        "UPDATE person SET role = ?, unit = ?, theme = ?, active = ?, branch = ? WHERE lower(name) = lower(?)",
        [person.role, person.unit, person.theme, person.active, person.branch, person.name],
    )


def find_passphrase(catalogue: Catalogue, name: str) -> str | None:
    """The argon2id string of an active person, if there is one."""
    row = _first(catalogue, "SELECT passphrase FROM person WHERE lower(name) = lower(?) AND active = 1", [name])
    return row["passphrase"] if row else None


def set_passphrase(catalogue: Catalogue, name: str, hashed: str) -> None:
    """Stores an argon2id string."""
    catalogue.execute("UPDATE person SET passphrase = ? WHERE lower(name) = lower(?)", [hashed, name])


def add_session(
    catalogue: Catalogue,
    digest: str,
    name: str,
    *,
    kind: SessionKind,
    label: str,
    now: datetime,
    ends: datetime,
    scopes: Collection[Scope] = (),
) -> None:
    """Starts a session of the person; a key's with what it may do."""
    catalogue.execute(
        "INSERT INTO session (digest, person, kind, label, made_at, seen_at, ends_at, scopes)"
        " SELECT ?, id, ?, ?, ?, ?, ?, ? FROM person WHERE lower(name) = lower(?)",
        [digest, kind, label, moment_text(now), moment_text(now), moment_text(ends), " ".join(sorted(scopes)), name],
    )


def find_session(catalogue: Catalogue, digest: str, *, now: datetime) -> Session | None:
    """The session with that digest, if it has not ended and its person is active."""
    sql = (
        f"SELECT {_SESSION} FROM session s JOIN person p ON p.id = s.person WHERE s.digest = ? AND s.ends_at > ? AND p.active = 1"
    )
    row = _first(catalogue, sql, [digest, moment_text(now)])
    return _session(row) if row else None


def list_sessions(catalogue: Catalogue, name: str, *, now: datetime) -> tuple[Session, ...]:
    """The person's sessions that have not ended, newest first."""
    sql = f"SELECT {_SESSION} FROM {_WHOSE} WHERE lower(p.name) = lower(?) AND s.ends_at > ? ORDER BY s.id DESC"
    return tuple(_session(row) for row in catalogue.query(sql, [name, moment_text(now)]))


def touch_session(catalogue: Catalogue, number: int, *, now: datetime, ends: datetime) -> None:
    """Notes that the session was used, and when it ends if it isn't again."""
    catalogue.execute("UPDATE session SET seen_at = ?, ends_at = ? WHERE id = ?", [moment_text(now), moment_text(ends), number])


def ended_person(catalogue: Catalogue, digest: str) -> str | None:
    """The name of the active person whose session, ended lately, had that digest; no key's."""
    sql = "SELECT p.name FROM session s JOIN person p ON p.id = s.person WHERE s.digest = ? AND s.kind <> 'key' AND p.active = 1"
    row = _first(catalogue, sql, [digest])
    return row["name"] if row else None


def drop_sessions(catalogue: Catalogue, name: str, *, only: int | None = None, but: int | None = None) -> int:
    """Ends the person's sessions: all, `only` one, or all `but` one. Gives how many.

    They end as of their last use; their rows tell for a day whose they were, for a form that is sent after all. A sign-in that
    waits for its code ends with all of them.
    """
    sql = (
        "UPDATE session SET ends_at = seen_at WHERE person = (SELECT id FROM person WHERE lower(name) = lower(?))"
        " AND ends_at > seen_at"
    )
    if only is None:
        drop_half(catalogue, name=name)
    narrowed = {" AND id = ?": only, " AND id <> ?": but}
    told = {words: number for words, number in narrowed.items() if number is not None}
    return int(catalogue.execute(sql + "".join(told), [name, *told.values()]).rowcount)


def end_all(catalogue: Catalogue) -> None:
    """Nobody is signed in any more; no key, link, customer's link or recovery code opens anything.

    The caller holds the transaction.
    """
    for table in ("session", "link", "half_open", "customer_link"):
        catalogue.execute(f"DELETE FROM {table}")
    catalogue.execute("UPDATE person SET factor_codes = '[]'")


def add_link(catalogue: Catalogue, digest: str, use: LinkUse, *, name: str | None, ends: datetime) -> None:
    """Makes a one-time link; an older one of the same use for the same person no longer opens."""
    if name is None:
        catalogue.execute("DELETE FROM link WHERE use = ? AND person IS NULL", [use])
    else:
        drop_links(catalogue, name, use=use)
    catalogue.execute(
        "INSERT INTO link (digest, use, person, ends_at) VALUES (?, ?, (SELECT id FROM person WHERE lower(name) = lower(?)), ?)",
        [digest, use, name, moment_text(ends)],
    )


def drop_links(catalogue: Catalogue, name: str, *, use: LinkUse | None = None) -> None:
    """The person's one-time links, or those of one use alone, no longer open."""
    sql = "DELETE FROM link WHERE person = (SELECT id FROM person WHERE lower(name) = lower(?))"
    catalogue.execute(sql + (" AND use = ?" if use else ""), [name, use] if use else [name])


def open_link(catalogue: Catalogue, digest: str, *, now: datetime) -> tuple[LinkUse, Person | None] | None:
    """What a link is for and whose it is, while it holds."""
    sql = f"SELECT l.use, {_PERSON} FROM link l LEFT JOIN person p ON p.id = l.person WHERE l.digest = ? AND l.ends_at > ?"
    row = _first(catalogue, sql, [digest, moment_text(now)])
    if row is None or (row["name"] is not None and not row["active"]):
        return None
    return LinkUse(row["use"]), None if row["name"] is None else _person(row)


def spend_link(catalogue: Catalogue, digest: str) -> bool:
    """Uses a link up; False when somebody else just did."""
    return int(catalogue.execute("DELETE FROM link WHERE digest = ?", [digest]).rowcount) == 1


def add_failure(catalogue: Catalogue, who: str, *, now: datetime) -> None:
    """Remembers one wrong try."""
    catalogue.execute("INSERT INTO wrong_try (who, at) VALUES (?, ?)", [who, moment_text(now)])


def count_failures(catalogue: Catalogue, who: str, *, since: datetime) -> tuple[int, datetime | None]:
    """How many wrong tries since then, and when the last one was."""
    row = _first(
        catalogue, "SELECT count(*) AS tries, max(at) AS last FROM wrong_try WHERE who = ? AND at > ?", [who, moment_text(since)]
    )
    return (int(row["tries"]), _time(row["last"]) if row["last"] else None) if row else (0, None)


def drop_failures(catalogue: Catalogue, who: str) -> None:
    """Forgets the wrong tries after a right one."""
    catalogue.execute("DELETE FROM wrong_try WHERE who = ?", [who])


def knows_session(catalogue: Catalogue, digest: str) -> bool:
    """Whether an active person has a session with that digest, or had one that ended lately."""
    sql = "SELECT 1 FROM session s JOIN person p ON p.id = s.person WHERE s.digest = ? AND p.active = 1"
    return _first(catalogue, sql, [digest]) is not None


def drop_old(catalogue: Catalogue, *, now: datetime, tries_before: datetime) -> None:
    """Sweeps out sessions that ended a day ago, links that ended and wrong tries too old to count."""
    catalogue.execute("DELETE FROM session WHERE ends_at <= ?", [moment_text(now - _ENDED_STAY)])
    catalogue.execute("DELETE FROM link WHERE ends_at <= ?", [moment_text(now)])
    catalogue.execute("DELETE FROM wrong_try WHERE at <= ?", [moment_text(tries_before)])


def _first(catalogue: Catalogue, sql: str, values: list[Any]) -> dict[str, Any] | None:
    return next(iter(catalogue.query(sql, values)), None)


def _person(row: dict[str, Any]) -> Person:
    return Person(
        name=row["name"],
        role=Role(row["role"]),
        unit=Unit(row["unit"]),
        theme=Theme(row["theme"]),
        active=bool(row["active"]),
        ready=bool(row["ready"]),
        doubled=bool(row["doubled"]),
        branch=row["branch"],
    )


def _session(row: dict[str, Any]) -> Session:
    return Session(
        number=row["number"],
        person=_person(row),
        kind=SessionKind(row["kind"]),
        label=row["label"],
        made_at=_time(row["made_at"]),
        seen_at=_time(row["seen_at"]),
        ends_at=_time(row["ends_at"]),
        seal=row["seal"],
        scopes=frozenset(map(Scope, row["scopes"].split())),
    )


def _time(text: str) -> datetime:
    return datetime.fromisoformat(text)
