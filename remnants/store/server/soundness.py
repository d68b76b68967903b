"""Whether the tables on a server, their rules and their guards are those that this program makes.

What a row may hold the server itself sees to, as long as its rules stand; so it is the rules that are looked at.
"""

import secrets
from collections.abc import Callable, Iterator, Mapping

import psycopg

from remnants.errors import Fault
from remnants.store.catalogue import Catalogue
from remnants.store.migrations import MIGRATIONS
from remnants.store.server.opening import make_tables
from remnants.store.server.pool import connected
from remnants.store.server.server_catalogue import SCHEMA, ServerCatalogue

__all__ = ["server_faults"]

_DESCRIBED = """
WITH home AS (SELECT oid, nspname FROM pg_namespace WHERE nspname = ?),
own AS (SELECT pg_class.oid, relname, relkind FROM pg_class JOIN home ON home.oid = relnamespace)
SELECT 'column', relname || '.' || attname, concat_ws(' ', format_type(atttypid, atttypmod), collname,
    CASE WHEN attnotnull THEN 'NOT NULL' END, pg_get_expr(adbin, adrelid))
FROM own JOIN pg_attribute ON attrelid = own.oid LEFT JOIN pg_attrdef ON adrelid = attrelid AND adnum = attnum
LEFT JOIN pg_collation ON pg_collation.oid = attcollation
WHERE attnum > 0 AND NOT attisdropped AND relkind = 'r'
UNION ALL
SELECT 'rule', conrelid::regclass || '.' || conname, concat_ws(' ', pg_get_constraintdef(pg_constraint.oid),
    CASE WHEN NOT convalidated THEN 'NOT VALID' END)
FROM pg_constraint JOIN own ON own.oid = conrelid WHERE contype IN ('c', 'f', 'p', 'u', 'x')
UNION ALL
SELECT 'index', relname, concat_ws(' ', regexp_replace(pg_get_indexdef(own.oid), ' ON \\S+\\.', ' ON '),
    CASE WHEN NOT indisvalid THEN 'INVALID' END)
FROM own JOIN pg_index ON indexrelid = own.oid WHERE relkind = 'i'
UNION ALL
SELECT 'guard', tgrelid::regclass || '.' || tgname, concat_ws(' ', pg_get_triggerdef(pg_trigger.oid, true), tgenabled)
FROM pg_trigger JOIN own ON own.oid = tgrelid WHERE NOT tgisinternal
UNION ALL
SELECT 'view', relname, pg_get_viewdef(oid) FROM own WHERE relkind = 'v'
UNION ALL
SELECT 'function', proname, concat_ws(' ', pg_get_function_arguments(pg_proc.oid), provolatile,
    array_replace(proconfig, 'search_path=' || nspname, 'search_path=its own')::text, prosrc)
FROM pg_proc JOIN home ON home.oid = pronamespace
ORDER BY 1, 2
"""
"""Every column, rule, index, guard, view and function of a schema that comes first: what it is, its name, all of it. Where a
function looks for tables is told by whether it is that schema, as each has another name."""


def server_faults(catalogue: Catalogue, *, passed: Callable[[int], None] = lambda _: None) -> Iterator[Fault]:
    """What is missing, is other than this program makes it, or stands there beside it. `passed` hears how many rows there are."""
    assert isinstance(catalogue, ServerCatalogue), "a file has proofs of its own"
    try:
        there = _described(catalogue, SCHEMA)
        made = _as_made_now(catalogue)
    except psycopg.Error as error:
        if catalogue.only_now(error):
            raise
        yield Fault("the tables", f"can't be compared with those that this program makes ({error.diag.message_primary})")
        return
    for kind, name in sorted({*there, *made}):
        if (kind, name) not in there:
            yield Fault(f"{kind} {name}", "is missing from the database")
        elif (kind, name) not in made:
            yield Fault(f"{kind} {name}", "is not one that this program made")
        elif there[kind, name] != made[kind, name]:
            yield Fault(f"{kind} {name}", "is not as this program made it")
    done = [tuple(row) for row in catalogue.execute("SELECT number, name FROM migration ORDER BY number")]
    for number, step in enumerate(MIGRATIONS, 1):
        if (number, step.name) not in done:
            yield Fault(f"step {number}", f"is not recorded in the database as {step.name!r}")
    for table in catalogue.tables():
        (count,) = catalogue.execute(f"SELECT count(*) FROM {table}").fetchone()
        passed(int(count))


def _described(catalogue: ServerCatalogue, schema: str) -> Mapping[tuple[str, str], str]:
    return {(str(kind), str(name)): str(told) for kind, name, told in catalogue.execute(_DESCRIBED, [schema])}


def _as_made_now(catalogue: ServerCatalogue) -> Mapping[tuple[str, str], str]:
    """What a new catalogue has: made apart, in a transaction that is taken back. Raises what psycopg does."""
    schema = f"{SCHEMA}_{secrets.token_hex(8)}"
    with connected(catalogue.address) as connection:
        apart = ServerCatalogue(connection, catalogue.address)
        apart.execute(f"BEGIN READ WRITE; CREATE SCHEMA {schema}; SET LOCAL search_path TO {schema}")
        try:
            make_tables(apart)
            return _described(apart, schema)
        finally:
            apart.execute("ROLLBACK")
