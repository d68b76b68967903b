"""Opening the catalogue on a server: who it is, how far its tables are, and bringing them up to date under the writer's lock."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any

import psycopg

from remnants.errors import CatalogueUnusable
from remnants.store.catalogue import AT_THE_MACHINE
from remnants.store.migrations import MIGRATIONS, steps_done
from remnants.store.server.dialect import as_step
from remnants.store.server.guards import FUNCTIONS, GUARDS
from remnants.store.server.pool import connected
from remnants.store.server.refusals import in_server_words
from remnants.store.server.server_catalogue import SCHEMA, ServerCatalogue
from remnants.store.server.tables import BEGUN_AT, TABLES
from remnants.store.server_address import ServerAddress

__all__ = ["LEAST_SERVER", "make_tables", "open_server", "settled", "steps_there"]

LEAST_SERVER = 13
"""The first version that tells a transaction's number as we ask for it, and draws marks by itself (its release notes)."""

_MARK = "catalogue of remnants"
_RECORD = """
CREATE TABLE migration (
    number BIGINT PRIMARY KEY,
    name TEXT NOT NULL,
    done_at TEXT NOT NULL DEFAULT (to_char(now() AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS"Z"'))
)
"""
_SETTINGS = (
    f"SET search_path TO {SCHEMA}; SET timezone TO 'UTC'; SET datestyle TO 'ISO'; SET client_encoding TO 'UTF8';"
    " SET extra_float_digits TO 1; SET standard_conforming_strings TO on; SET client_min_messages TO warning;"
    " SET tcp_keepalives_idle TO 30; SET tcp_keepalives_interval TO 10; SET tcp_keepalives_count TO 3;"
    " SET lock_timeout TO '{busy_ms:.0f}ms'; SET default_transaction_read_only TO {only_reads};"
    " SELECT set_config('synchronous_commit', CASE current_setting('synchronous_commit') WHEN 'off' THEN 'on'"
    " ELSE current_setting('synchronous_commit') END, false)"
)
"""Ours whatever the server's own are: what was said to be kept is on its disk, and a writer whose machine went dead doesn't keep
the others waiting for longer than a minute."""

_WHOSE = "SELECT obj_description(oid, 'pg_namespace'), has_schema_privilege(oid, 'USAGE') FROM pg_namespace WHERE nspname = ?"


@contextmanager
def open_server(
    address: ServerAddress,
    *,
    write: bool,
    busy_s: float,
    now: Callable[[], datetime] | None = None,
    asked_from: str = AT_THE_MACHINE,
) -> Iterator[ServerCatalogue]:
    """The catalogue in the database at `address`, as `open_catalogue` promises; with `write` its tables are made when missing.

    Raises CatalogueUnusable, also for what goes wrong while it is in use. Nothing half done stays.
    """
    with in_server_words(address), connected(address) as connection:
        _suits(connection, address)
        settled(connection, write=write, busy_s=busy_s)
        catalogue = ServerCatalogue(connection, address, now, asked_from)
        done = _steps(catalogue)
        if not done and not write:
            raise CatalogueUnusable(f"{address}: there is no catalogue in this database yet; log a piece first")
        if done < len(MIGRATIONS):
            settled(connection, write=True, busy_s=busy_s)
            _bring_up_to_date(catalogue)
            settled(connection, write=write, busy_s=busy_s)
        yield catalogue


def settled(connection: "psycopg.Connection[Any]", *, write: bool, busy_s: float = 10.0) -> None:
    """Has a connection keep to our settings; it waits `busy_s` seconds for another writer, and writes only with `write`."""
    connection.execute(_SETTINGS.format(busy_ms=max(busy_s * 1000, 1), only_reads="off" if write else "on"))


def _suits(connection: "psycopg.Connection[Any]", address: ServerAddress) -> None:
    version, encoding = connection.info.server_version // 10_000, connection.info.parameter_status("server_encoding")
    if version < LEAST_SERVER:
        raise CatalogueUnusable(f"{address}: the server is PostgreSQL {version}, and it takes {LEAST_SERVER} or later")
    if encoding != "UTF8":
        raise CatalogueUnusable(f"{address}: the database keeps text as {encoding}; make one with `createdb --encoding=UTF8`")


def _steps(catalogue: ServerCatalogue) -> int:
    """As `steps_there`. Refuses newer catalogues too."""
    done = steps_there(catalogue)
    if done > len(MIGRATIONS):
        raise CatalogueUnusable(f"{catalogue.address}: made by a newer version (step {done}); update this program first")
    return done


def steps_there(catalogue: ServerCatalogue) -> int:
    """The number of the newest step; 0 where nothing of ours is there. Raises CatalogueUnusable for what isn't ours."""
    whose = catalogue.execute(_WHOSE, [SCHEMA]).fetchone()
    if whose is None:
        return 0
    if whose[0] != _MARK:
        told = f"the database has a schema named {SCHEMA} that isn't ours; name another database"
        raise CatalogueUnusable(f"{catalogue.address}: {told}")
    if not whose[1]:  # its tables would seem not to be there
        told = f"this user may not use the catalogue in the database: have its schema {SCHEMA} belong to the user, with all in it"
        raise CatalogueUnusable(f"{catalogue.address}: {told}")
    return steps_done(catalogue)


def _bring_up_to_date(catalogue: ServerCatalogue) -> None:
    """All steps that are missing, in one transaction under the writer's lock; what another program did is not done again."""
    try:
        with catalogue.atomic():
            done = _steps(catalogue)
            if not done:
                catalogue.execute(f"CREATE SCHEMA {SCHEMA}; COMMENT ON SCHEMA {SCHEMA} IS '{_MARK}'")
            make_tables(catalogue, after=done)
    except (psycopg.ProgrammingError, psycopg.IntegrityError, psycopg.DataError) as error:
        if isinstance(error, psycopg.errors.InsufficientPrivilege):
            if not _steps(catalogue):
                raise
            told = "made by an older version, and this user may not bring it up to date; nothing was changed"
            to_do = "have the user that it belongs to look at it once with this version"
            raise CatalogueUnusable(f"{catalogue.address}: {told}: {to_do}") from None
        told = f"its tables don't take the steps that are missing; nothing was changed ({error.diag.message_primary})"
        raise CatalogueUnusable(f"{catalogue.address}: {told}") from None


def make_tables(catalogue: ServerCatalogue, *, after: int = 0) -> None:
    """Makes what the steps that come `after` so many make, in the schema that comes first. The caller holds the transaction."""
    if not after:
        catalogue.execute(as_step(_RECORD) + ";" + FUNCTIONS + as_step(TABLES) + GUARDS)
        _record(catalogue, 1, BEGUN_AT)
        after = BEGUN_AT
    for number, step in enumerate(MIGRATIONS[after:], after + 1):
        sql = as_step(step.sql if step.on_server is None else step.on_server)
        if sql.strip():
            catalogue.execute(sql)
        if step.then:
            step.then(catalogue)
        _record(catalogue, number, number)


def _record(catalogue: ServerCatalogue, first: int, last: int) -> None:
    rows = [(number, MIGRATIONS[number - 1].name) for number in range(first, last + 1)]
    catalogue.many("INSERT INTO migration (number, name) VALUES (?, ?)", rows)
