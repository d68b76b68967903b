"""The tables of the catalogue, step by step. A step that was ever released is never edited: a change is a new step.

Each step and its record in the table `migration` commit together. Tables that one module alone reads are told there.
"""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import nullcontext
from dataclasses import dataclass

from remnants.store.agreements import AGREEMENTS
from remnants.store.branch_roles import BRANCH_ROLES
from remnants.store.branches import BRANCHES
from remnants.store.catalogue import Catalogue
from remnants.store.chaining import CHAIN, CHAINED_STAND, chain_what_is_there
from remnants.store.field_paces import FIELD_PACES
from remnants.store.file_catalogue import FileCatalogue
from remnants.store.first_steps import (
    BODY,
    BOUGHT,
    CLEARED_OUT,
    LABELS_ON_HAND,
    LEDGER,
    NAMES_MARK,
    NAMES_MARK_OF_STATES,
    SHELF,
    STOCK,
    TAGS_IN_ANY_CASE,
    WHAT_LIES_WHERE,
)
from remnants.store.flat_photos import FLAT_PHOTO
from remnants.store.in_store import IN_STORE, IN_STORE_ON_SERVER
from remnants.store.job_numbers import JOB_NUMBERS
from remnants.store.job_photos import HOMES, JOB_PHOTOS
from remnants.store.jobs import LINES_OF_JOBS, LINES_OF_JOBS_ON_SERVER
from remnants.store.kept_orders import KEPT_ORDERS
from remnants.store.largest import LARGEST, tell_largest
from remnants.store.loans import LOANS
from remnants.store.people import OWN_BRANCH, PEOPLE, SCOPES, SEALS
from remnants.store.phone_calibrations import PHONE_CALIBRATIONS
from remnants.store.photo_entries import PHOTO_ENTRIES, PHOTOS_OF_PIECES
from remnants.store.photo_pages import MEASURED_BY_PHOTO, PHOTO_PAGES, REPEATS_BY_PHOTO
from remnants.store.price_lists import PRICE_LISTS
from remnants.store.promised import PROMISED
from remnants.store.repair_looks import LOOKS_OF_ENTRIES, LOOKS_OF_ENTRIES_ON_SERVER
from remnants.store.second_factors import SECOND_FACTORS
from remnants.store.server.guards import OWN_TABLES
from remnants.store.shop_rules import SHOP_RULES, STYLE_RULES
from remnants.store.store_change import OVER_TIME, STORE_CHANGE
from remnants.store.unsent import UNSENT
from remnants.store.unshared import CUTS_UNSHARED
from remnants.store.ways import WAYS_OF_ENTRIES, WAYS_OF_ENTRIES_ON_SERVER, WAYS_OF_PIECES, WAYS_OF_PIECES_ON_SERVER
from remnants.store.worth import KEPT_OFF_THE_LIST
from remnants.store.worth_kept import WORTH_KEPT, WORTH_KEPT_ON_SERVER

__all__ = ["APPLICATION_ID", "MIGRATIONS", "Migration", "migrate", "steps_done"]

APPLICATION_ID = 0x52454D4E
"""Marks a SQLite file as a catalogue of ours (the letters REMN)."""


@dataclass(frozen=True)
class Migration:
    """One step; its number is its place in the list, counted from 1.

    It works on the rows that are there by SQL alone: code would change under it with later steps. The one exception is `then`,
    for what SQL can't do; it works on what columns hold, by rules that never change.

    `sql` is SQLite's. On a server the same is done, its types turned by `server.dialect.as_step`. Where a step needs more than
    tables, columns, indexes and plain statements (a trigger, a table made anew), it tells the server's own SQL `on_server`, with
    its types turned likewise, empty where nothing has to be done there. `tests/store/test_server_tables.py` holds that both come
    out alike.
    """

    name: str
    sql: str
    then: Callable[[Catalogue], None] | None = None
    on_server: str | None = None


_RECORD = """
CREATE TABLE IF NOT EXISTS migration (
    number INTEGER PRIMARY KEY,
    name TEXT NOT NULL,
    done_at TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))
) STRICT
"""

MIGRATIONS: tuple[Migration, ...] = (
    Migration("styles and pieces", STOCK),
    Migration("mass and thickness of styles", BODY),
    Migration("people and where they are signed in", PEOPLE),
    Migration("mark of the names on hand", NAMES_MARK),
    Migration("ledger, requests, jobs, customers", LEDGER),
    Migration("mark of the names on hand, by states too", NAMES_MARK_OF_STATES),
    Migration("labels of what is on hand", LABELS_ON_HAND),
    Migration("staircases of odd pieces, and marks of what was written", SHELF),
    Migration("photographs of pieces", PHOTOS_OF_PIECES),
    Migration("how each entry changed what is in store", STORE_CHANGE),
    Migration("when pieces came in, and cuts that count", OVER_TIME),
    Migration("photographs have entries", PHOTO_ENTRIES),
    Migration("seals of what waits on devices", SEALS),
    Migration("laid pieces that nobody sees", "ALTER TABLE piece ADD COLUMN hidden INTEGER CHECK (hidden IN (0, 1));"),
    Migration("rules that the shop set", SHOP_RULES),
    Migration("forms sent when a session was over", UNSENT),
    Migration("entries are chained", CHAIN, chain_what_is_there),
    Migration("chained entries stand", CHAINED_STAND),
    Migration("scopes of keys", SCOPES),
    Migration("fibre, supplier, roll, day of delivery and cost of pieces", BOUGHT),
    Migration("numbers of jobs", JOB_NUMBERS),
    Migration("what the backing of styles is made of", "ALTER TABLE style ADD COLUMN backing_material TEXT NOT NULL DEFAULT '';"),
    Migration("second factors of people", SECOND_FACTORS),
    Migration("how long fields take", FIELD_PACES),
    Migration("customers' links, and what they agreed to", AGREEMENTS),
    Migration("true sizes of marker pages", PHOTO_PAGES),
    Migration("photographs of jobs", JOB_PHOTOS),
    Migration("whose homes photographs of jobs show", HOMES),
    Migration("pieces measured from photographs", MEASURED_BY_PHOTO),
    Migration("what lies where, and how much is in store", WHAT_LIES_WHERE),
    Migration("branches, their places, vans, distances", BRANCHES),
    Migration("tags in any letter case", TAGS_IN_ANY_CASE, on_server=""),
    Migration("photographs that are measured in", FLAT_PHOTO),
    Migration("entries of what is sent from branch to branch", WAYS_OF_ENTRIES, on_server=WAYS_OF_ENTRIES_ON_SERVER),
    Migration("pieces on the way", WAYS_OF_PIECES, on_server=WAYS_OF_PIECES_ON_SERVER),
    Migration("price lists of the shop", PRICE_LISTS),
    Migration("orders that were saved", KEPT_ORDERS),
    Migration("leftovers that orders promise", PROMISED),
    Migration("pieces that are lent", LOANS),
    Migration("roles of people at branches", BRANCH_ROLES),
    Migration("the branch that a person works from", OWN_BRANCH),
    Migration("what is offered, and what is not to be cleared out", CLEARED_OUT),
    Migration("repeats of styles measured from photographs", REPEATS_BY_PHOTO),
    Migration("when pieces came in, and by what the store changed", IN_STORE, on_server=IN_STORE_ON_SERVER),
    Migration("calibrations of phones", PHONE_CALIBRATIONS),
    Migration("entries of looks at repairs", LOOKS_OF_ENTRIES, on_server=LOOKS_OF_ENTRIES_ON_SERVER),
    Migration("rules that the shop set for a style", STYLE_RULES),
    Migration("the largest rectangle in each piece", LARGEST, tell_largest),
    Migration("pieces that are not to be cleared out", KEPT_OFF_THE_LIST),
    Migration("what stock cost and is worth, in sums", WORTH_KEPT, on_server=WORTH_KEPT_ON_SERVER),
    Migration("cuts that handed no cost on", CUTS_UNSHARED),
    Migration("guards find their own tables", "", on_server=OWN_TABLES),
    Migration("lines of jobs, without their plans", LINES_OF_JOBS, on_server=LINES_OF_JOBS_ON_SERVER),
)
"""Every step ever released, in order. A new one goes to the end."""


def steps_done(catalogue: Catalogue) -> int:
    """The number of the newest step that the catalogue has; 0 for a new one."""
    if "migration" not in catalogue.tables():
        return 0
    (number,) = catalogue.execute("SELECT coalesce(max(number), 0) FROM migration").fetchone()
    return int(number)


def migrate(catalogue: FileCatalogue, *, upto: int | None = None) -> None:
    """Brings the file up to date, or to step `upto`; what another program did meanwhile is not done again.

    A step and its record are one transaction; all steps of a new file are one, which waits for the disk once.
    """
    last = len(MIGRATIONS) if upto is None else upto
    with catalogue.atomic() if not steps_done(catalogue) else nullcontext():
        for number in range(1, last + 1):
            with catalogue.atomic():
                _step(catalogue, number)


def _step(catalogue: FileCatalogue, number: int) -> None:
    catalogue.conn.execute(_RECORD)
    if steps_done(catalogue) >= number:
        return
    step = MIGRATIONS[number - 1]
    for statement in _statements(step.sql):
        catalogue.conn.execute(statement)
    if step.then:
        step.then(catalogue)
    catalogue.conn.execute("INSERT INTO migration (number, name) VALUES (?, ?)", [number, step.name])
    catalogue.conn.execute(f"PRAGMA application_id = {APPLICATION_ID}")


def _statements(sql: str) -> Iterator[str]:
    """The statements of a script one by one, so that they run inside the caller's transaction."""
    statement = ""
    for line in sql.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""
    if statement.strip():
        yield statement
