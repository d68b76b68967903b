"""Both stores have the same tables: column for column, with the same kinds of values, names, defaults and indexes."""

import re
from collections.abc import Iterator

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.store.server.dialect import as_asked, as_copied, as_step
from remnants.store.server_address import ServerAddress
from tests.server import Server

KINDS = {"TEXT": "text C", "INTEGER": "bigint", "REAL": "double precision", "BLOB": "bytea"}

OF_A_SERVER = """
SELECT attname, concat_ws(' ', format_type(atttypid, atttypmod), collname), attnotnull, atthasdef
FROM pg_attribute LEFT JOIN pg_collation ON pg_collation.oid = attcollation
WHERE attrelid = CAST(? AS regclass) AND attnum > 0 AND NOT attisdropped ORDER BY attnum
"""
ONLY_THERE = {"person_by_name_any_case"}
"""An index in place of the words COLLATE NOCASE UNIQUE."""


@pytest.fixture(scope="module")
def both(server: Server, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Catalogue, Catalogue]]:
    """A new catalogue in a file, and one on a server."""
    name = server.make()
    file, address = tmp_path_factory.mktemp("tables") / "stock.db", ServerAddress(server.address(name))
    with open_catalogue(file, write=True) as one, open_catalogue(address, write=True) as other:
        yield one, other
    server.drop(name)


def in_file(catalogue: Catalogue, table: str) -> dict[str, tuple[str, bool]]:
    rows = catalogue.execute(f"PRAGMA table_info({table})").fetchall()
    return {name: (KINDS[kind], bool(needed or key)) for _, name, kind, needed, _, key in rows}


def test_every_table_has_the_same_columns_with_the_same_kinds_of_values(both: tuple[Catalogue, Catalogue]) -> None:
    one, other = both
    assert one.tables() == other.tables()
    for table in one.tables():
        if table == "names_mark":
            continue  # a view there
        there = {name: (kind, needed) for name, kind, needed, _ in other.execute(OF_A_SERVER, [table])}
        assert there == in_file(one, table), table


def test_every_index_is_on_both(both: tuple[Catalogue, Catalogue]) -> None:
    one, other = both
    mine = {name for (name,) in one.execute("SELECT name FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL")}
    sql = (
        "SELECT indexname FROM pg_indexes WHERE schemaname = 'remnants' AND indexname NOT IN (SELECT conname FROM pg_constraint)"
    )
    theirs = {name for (name,) in other.execute(sql)}
    assert theirs - ONLY_THERE == mine


def test_every_default_says_the_same(both: tuple[Catalogue, Catalogue]) -> None:
    """But for numbers, which a server draws from our function, and for what is drawn by chance or by the clock."""
    one, other = both
    for table in one.tables():
        mine = {row[1]: row[4] for row in one.execute(f"PRAGMA table_info({table})") if row[4] is not None}
        sql = (
            "SELECT column_name, column_default FROM information_schema.columns"
            " WHERE table_schema = 'remnants' AND table_name = ?"
        )
        told = {name: plain for name, plain in other.execute(sql, [table]) if plain and "fresh_number" not in plain}
        assert told.keys() == mine.keys(), table
        for name in mine.keys() - {"done_at", "seal"}:
            assert re.sub(r"::\w+|\\x|^x", "", told[name]) == re.sub(r"^x", "", mine[name]), f"{table}.{name}"


def test_a_step_is_turned_into_the_servers_words() -> None:
    columns = "    number INTEGER PRIMARY KEY,\n    words TEXT NOT NULL DEFAULT 'REAL TEXT',\n    km REAL\n"
    step = f"CREATE TABLE bin (\n{columns}) STRICT;"
    assert as_step(step) == (
        "CREATE TABLE bin (\n    number BIGINT PRIMARY KEY DEFAULT fresh_number('bin', 'number'),\n"
        "    words TEXT COLLATE \"C\" NOT NULL DEFAULT 'REAL TEXT',\n    km DOUBLE PRECISION\n);"
    )
    assert as_step("ALTER TABLE bin ADD COLUMN mark BLOB NOT NULL DEFAULT x'';") == (
        "ALTER TABLE bin ADD COLUMN mark BYTEA NOT NULL DEFAULT BYTEA '';"
    )


def test_places_of_values_are_found_outside_of_quotes_alone() -> None:
    assert as_asked("SELECT '?' WHERE a = ? AND b LIKE '%x' AND c % 2 = :odd") == (
        "SELECT '?' WHERE a = %s AND b LIKE '%%x' AND c %% 2 = %(odd)s"
    )
    assert as_asked("lower(name) = lower(?)") == 'lower(name) = lower(%s::text COLLATE "C")'


def test_rows_that_are_only_put_in_are_copied() -> None:
    put = "INSERT INTO bin (number, words) VALUES (?, ?)"
    assert as_copied(put) == "COPY bin (number, words) FROM STDIN"
    others = (
        f"{put} ON CONFLICT DO NOTHING",
        f"{put} RETURNING number",
        put.replace("(?", "(lower(?)"),
        put.replace(", ?", ", ?, ?"),
    )
    assert [as_copied(other) for other in others] == [""] * 4
