"""A catalogue on a server: who is let in, what is refused in one plain line, and that no password is ever told."""

import pickle
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import psycopg
import pytest

from remnants.actions import connections_kept, door_book, open_catalogue
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.stock_worth import stock_worth
from remnants.errors import BadInput, CatalogueUnusable
from remnants.ledger.worth import By
from remnants.model.door_line import DoorKind
from remnants.store import database, migrations, pieces
from remnants.store.migrations import MIGRATIONS, Migration, steps_done
from remnants.store.prove_photos import store_change_faults
from remnants.store.server.refusals import in_server_words
from remnants.store.server.server_catalogue import ServerCatalogue
from remnants.store.server_address import ServerAddress, in_a_file, read_catalogue_at
from remnants.store.shelf import on_shelf
from tests.commands import Remnants
from tests.server import PASSWORD, USER, Server
from tests.stock_values import SIGNED, a_piece, a_stock

SECRET = "hidden moss 77"


@pytest.fixture(scope="module")
def made(server: Server) -> Iterator[str]:
    """A database with a catalogue in which one piece was logged."""
    name = server.make()
    with open_catalogue(ServerAddress(server.address(name)), write=True) as catalogue:
        log_pieces(catalogue, a_stock(a_piece("R-1")), signed=SIGNED)
    yield name
    server.drop(name)


@pytest.fixture
def at(server: Server, made: str) -> Iterator[ServerAddress]:
    """Where a copy of it is, for one test."""
    name = server.make(like=made)
    yield ServerAddress(server.address(name))
    server.drop(name)


def refusal(address: ServerAddress, *, write: bool = True) -> str:
    with pytest.raises(CatalogueUnusable) as caught, open_catalogue(address, write=write):
        pass
    told = str(caught.value)
    assert "\n" not in told and PASSWORD not in told
    return told


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (f"postgresql://ana:{SECRET.replace(' ', '%20')}@host/shop", "PGPASSFILE"),
        ("postgresql://ana:@host/shop", "PGPASSFILE"),
        ("postgresql://host/shop?user=ana&password=x", "PGPASSFILE"),
        ("postgresql://host/shop?sslPassword=x", "PGPASSFILE"),
        ("postgresql://host", "no database"),
        ("postgresql://host/a/b", "no database"),
        ("mysql://ana@host/shop", "postgresql://"),
        ("postgresql://ana@host/my shop", "blank"),
        ("postgresql://[half/shop", "can't be read"),
    ],
)
def test_an_address_that_is_none_is_refused_and_not_repeated(text: str, told: str) -> None:
    with pytest.raises(BadInput, match=told) as caught:
        read_catalogue_at(text)
    assert SECRET.split(maxsplit=1)[0] not in str(caught.value) and "shop" not in str(caught.value)


def test_what_is_no_address_is_a_file() -> None:
    assert read_catalogue_at("shop/stock.db") == Path("shop/stock.db")
    address = read_catalogue_at("postgresql://ana@host:5433/shop%20two?sslmode=require")
    assert isinstance(address, ServerAddress) and address.database == "shop two"
    assert pickle.loads(pickle.dumps(address)) == address and address.exists() and not address.is_file()
    with pytest.raises(CatalogueUnusable, match="use pg_dump"):
        in_a_file(address, instead="use pg_dump")


def test_commands_work_with_a_catalogue_on_a_server(
    remnants: Remnants, server_address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(remnants.folder / "state"))
    there = "--catalogue", server_address
    assert "log a piece first" in remnants.refused("find", "velder", *there, code=2)
    remnants.log("--tag", "É-1", "--place", "Bay 3", *there)
    assert "Bay 3" in remnants.ok("show", "É-1", *there)
    assert "Bay 4" in remnants.ok("move", "É-1", "Bay 4", *there)
    assert "Bay 4" in remnants.ok("history", "É-1", *there)
    assert "all is well" in remnants.ok("verify", *there)
    assert "step" in remnants.ok("check-up", *there)
    remnants.ok("export", remnants.folder / "stock.json", *there)
    assert "use-a-server.md" in remnants.refused("restore", "copy.db", *there, code=2)
    monkeypatch.setenv("REMNANTS_CATALOGUE", server_address)
    assert "É-1" in remnants.ok("find", "velder")
    assert "PGPASSFILE" in remnants.refused("find", "x", "--catalogue", f"postgresql://ana:{SECRET[:6]}@host/shop", code=2)


def test_a_server_that_is_away_or_lets_nobody_in_is_told_in_one_line(
    server: Server, at: ServerAddress, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for name in ("PGPASSWORD", "PGPASSFILE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    assert "can't be reached" in refusal(ServerAddress("postgresql://ana@127.0.0.1:1/shop"))
    assert "can't be reached" in refusal(ServerAddress(f"postgresql://ana@/shop?host={tmp_path}"))
    assert "no such database" in refusal(ServerAddress(server.address("nowhere")))
    far = ServerAddress(server.address(at.database, network=True))
    assert "~/.pgpass" in refusal(far)
    monkeypatch.setenv("PGPASSWORD", "wrong")
    assert "~/.pgpass" in refusal(far)
    monkeypatch.setenv("PGPASSWORD", PASSWORD)
    with open_catalogue(far, write=False) as catalogue:
        assert pieces.all_tags(catalogue) == ("R-1",)


def test_who_is_kept_out_of_a_database_reads_by_what(server: Server, at: ServerAddress) -> None:
    user, name = f"ana_{at.database}", at.database
    server.sql(f"CREATE ROLE {user} LOGIN")
    theirs = ServerAddress(server.address(name).replace(f"{USER}@", f"{user}@"))
    assert "its schema remnants belong to the user" in refusal(theirs, write=False)
    for limit, told in (
        (f"DATABASE {name} CONNECTION LIMIT 0", "the limit that the user or the database has (too many connections for database"),
        (f"ROLE {user} CONNECTION LIMIT 0", "the limit that the user or the database has (too many connections for role"),
        (f"DATABASE {name} ALLOW_CONNECTIONS false", "lets nobody in just now; nothing was changed: ask"),
    ):
        server.sql(f"ALTER {limit}")
        said = refusal(theirs)
        assert told in said.replace(f'"{user}"', "") and "can't be reached" not in said and "connection failed" not in said
        server.sql(f"ALTER {limit.replace('LIMIT 0', 'LIMIT -1').replace('false', 'true')}")


def test_who_may_only_look_reads_what_lacks(server: Server, at: ServerAddress, monkeypatch: pytest.MonkeyPatch) -> None:
    """A proof told damage; a catalogue of an older version told of rights alone."""
    user, name = f"bo_{at.database}", at.database
    server.sql(f"CREATE ROLE {user} LOGIN")
    server.sql(f"GRANT USAGE ON SCHEMA remnants TO {user}; GRANT SELECT ON ALL TABLES IN SCHEMA remnants TO {user}", name)
    theirs = ServerAddress(server.address(name).replace(f"{USER}@", f"{user}@"))
    with pytest.raises(CatalogueUnusable, match="may not do that"), open_catalogue(theirs, write=False) as catalogue:
        assert pieces.all_tags(catalogue) == ("R-1",)
        verify(catalogue)
    later = (*MIGRATIONS, Migration("later", "CREATE TABLE later (number INTEGER PRIMARY KEY) STRICT;"))
    monkeypatch.setattr("remnants.store.server.opening.MIGRATIONS", later)
    assert "older version, and this user may not bring it up to date" in refusal(theirs, write=False)


def test_what_is_not_ours_is_left_alone(server: Server, at: ServerAddress) -> None:
    assert "log a piece first" in refusal(ServerAddress(server.address("postgres")), write=False)
    server.sql("COMMENT ON SCHEMA remnants IS 'books'", at.database)
    assert "isn't ours" in refusal(at)


def test_a_catalogue_of_a_newer_version_is_left_alone(at: ServerAddress, monkeypatch: pytest.MonkeyPatch) -> None:
    later = (*MIGRATIONS, Migration("later", "CREATE TABLE later (number INTEGER PRIMARY KEY, km REAL) STRICT;"))
    monkeypatch.setattr(migrations, "MIGRATIONS", later)
    monkeypatch.setattr("remnants.store.server.opening.MIGRATIONS", later)
    with open_catalogue(at, write=False) as catalogue:
        assert steps_done(catalogue) == len(later)
        with pytest.raises(psycopg.errors.ReadOnlySqlTransaction):
            catalogue.execute("DELETE FROM later")
    monkeypatch.setattr("remnants.store.server.opening.MIGRATIONS", MIGRATIONS)
    assert "newer version" in refusal(at)


def test_a_step_that_fails_leaves_nothing_of_it(at: ServerAddress, monkeypatch: pytest.MonkeyPatch) -> None:
    bad = Migration("bad", "CREATE TABLE half (x TEXT) STRICT;\nINSERT INTO nowhere VALUES (1);")
    monkeypatch.setattr("remnants.store.server.opening.MIGRATIONS", (*MIGRATIONS, bad))
    assert "nothing was changed" in refusal(at)
    monkeypatch.setattr("remnants.store.server.opening.MIGRATIONS", MIGRATIONS)
    with open_catalogue(at, write=False) as catalogue:
        assert "half" not in catalogue.tables() and steps_done(catalogue) == len(MIGRATIONS)


def test_of_many_who_find_an_empty_database_at_once_one_makes_the_tables(server_address: str) -> None:
    def log(number: int) -> None:
        with open_catalogue(ServerAddress(server_address), write=True) as catalogue:
            log_pieces(catalogue, a_stock(a_piece(f"R-{number}")), signed=SIGNED)

    with ThreadPoolExecutor(6) as pool:
        list(pool.map(log, range(6)))
    with open_catalogue(ServerAddress(server_address), write=False) as catalogue:
        assert pieces.all_tags(catalogue) == tuple(f"R-{number}" for number in range(6))
        assert verify(catalogue).faults == ()


def test_who_waits_too_long_for_another_writer_is_told_so(at: ServerAddress) -> None:
    with open_catalogue(at, write=True) as one, one.atomic():
        with (
            pytest.raises(CatalogueUnusable, match="did not finish in time"),
            open_catalogue(at, write=True, busy_s=0.05) as other,
            other.atomic(),
        ):
            pass
        assert one.in_transaction
    with open_catalogue(at, write=True) as other, other.atomic():
        pass


def test_a_server_that_goes_away_in_between_is_told_and_leaves_nothing_half_done(server: Server, at: ServerAddress) -> None:
    lost = pytest.raises(CatalogueUnusable, match="wholly or not at all")
    with lost, open_catalogue(at, write=True) as catalogue, catalogue.atomic():
        catalogue.execute("UPDATE piece SET place = 'Bay 9' WHERE tag = 'R-1'")
        server.sql(f"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '{at.database}'")
        catalogue.execute("UPDATE piece SET place = 'Bay 8' WHERE tag = 'R-1'")
    with open_catalogue(at, write=False) as catalogue:
        assert verify(catalogue).faults == ()


def test_a_server_that_goes_away_while_it_is_proved_is_no_fault_of_the_stock(server: Server, at: ServerAddress) -> None:
    """It was told as damage, with the advice to bring back the last copy."""
    looked: list[int] = []

    def end_it(rows: int) -> None:
        if not looked:
            server.sql(f"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '{at.database}'")
        looked.append(rows)

    with pytest.raises(CatalogueUnusable, match="went away meanwhile"), open_catalogue(at, write=False) as catalogue:
        verify(catalogue, passed=end_it)
    assert looked


def test_what_passes_is_told_apart_from_damage(at: ServerAddress) -> None:
    with open_catalogue(at, write=False) as catalogue:
        passing = {state: catalogue.only_now(psycopg.errors.lookup(state)("")) for state in ("53100", "57P01", "58P01", "XX001")}
    assert passing == {"53100": True, "57P01": True, "58P01": False, "XX001": False}


def test_pages_keep_their_connections_and_get_new_ones_after_the_server_was_away(server: Server, at: ServerAddress) -> None:
    def number() -> int:
        with open_catalogue(at, write=False) as catalogue:
            return int(catalogue.execute("SELECT pg_backend_pid()").fetchone()[0])

    with connections_kept(at, most=2):
        before = {number() for _ in range(6)}
        assert len(before) <= 2
        for each in before:
            server.sql(f"SELECT pg_terminate_backend({each})")
        assert number() not in before
        with open_catalogue(at, write=False), open_catalogue(at, write=True) as catalogue, catalogue.atomic():
            assert pieces.all_tags(catalogue) == ("R-1",)
    with connections_kept(Path("stock.db"), most=2):
        pass


def test_without_the_extra_it_is_told_what_brings_it(at: ServerAddress, monkeypatch: pytest.MonkeyPatch) -> None:
    class Missing:
        def __getattr__(self, name: str) -> object:
            raise ModuleNotFoundError("No module named 'psycopg'", name="psycopg")

    monkeypatch.setattr(database, "opening", Missing())
    assert "remnants[server]" in refusal(at)


def test_the_server_knows_at_once_how_many_pieces_came_in(at: ServerAddress, monkeypatch: pytest.MonkeyPatch) -> None:
    """It took a new stock for a small one, and went through all entries for each piece."""
    monkeypatch.setattr("remnants.store.server.server_catalogue.LOOKS_FIRST", 100)
    with open_catalogue(at, write=True) as catalogue:
        log_pieces(catalogue, a_stock(*[a_piece(f"S-{number}") for number in range(60)]), signed=SIGNED)
        known = catalogue.query("SELECT relname, reltuples FROM pg_class WHERE relname IN ('piece', 'entry')")
        assert all(row["reltuples"] >= 60 for row in known)


def test_a_large_stock_is_not_counted_anew_for_a_thousand_rows_more(
    server: Server, at: ServerAddress, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At a million pieces that was half of what the server did to book a count of one bay."""
    monkeypatch.setattr("remnants.store.server.server_catalogue.LOOKS_FIRST", 100)
    server.sql(
        "UPDATE pg_class SET reltuples = 125 WHERE oid IN ('remnants.piece'::regclass, 'remnants.entry'::regclass)", at.database
    )
    with open_catalogue(at, write=True) as catalogue:

        def known(first: int, last: int) -> float:
            log_pieces(catalogue, a_stock(*[a_piece(f"S-{number}") for number in range(first, last)]), signed=SIGNED)
            return float(next(catalogue.query("SELECT max(reltuples) AS most FROM pg_class WHERE relname = 'piece'"))["most"])

        assert known(0, 60) == 125
        assert known(60, 130) == 131, "it is once as many came in as it knew of"


def test_a_proof_looks_for_the_entry_of_each_change_by_one_look_at_all(
    at: ServerAddress, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At a million pieces the server went through all entries for each change: `verify` did not come to an end."""
    run = ServerCatalogue.each
    plans: list[str] = []

    def noting(catalogue: ServerCatalogue, sql: str) -> Iterator[dict[str, Any]]:
        plans.append("\n".join(line for (line,) in catalogue.execute(f"EXPLAIN {sql}")))
        return run(catalogue, sql)

    monkeypatch.setattr(ServerCatalogue, "each", noting)
    with open_catalogue(at, write=False) as catalogue:
        assert list(store_change_faults(catalogue)) == []
    assert [" on entry" in plan for plan in plans] == [False, True] and not any("SubPlan" in plan for plan in plans)


def test_of_no_styles_there_are_no_pieces(at: ServerAddress) -> None:
    """A server takes no empty list, as a file does."""
    with open_catalogue(at, write=False) as catalogue:
        assert on_shelf(catalogue, []) == [] == list(pieces.on_hand(catalogue, styles=[]))
        assert len(on_shelf(catalogue)) == len(list(pieces.on_hand(catalogue))) == 1


def test_who_only_looks_writes_nothing(at: ServerAddress) -> None:
    refused = pytest.raises(CatalogueUnusable, match="may not be written to")
    with refused, open_catalogue(at, write=False) as catalogue, catalogue.atomic():
        catalogue.execute("UPDATE piece SET place = ?", ["Bay 9"])


def test_what_is_wrong_with_one_of_many_rows_is_raised_and_not_noted_beside(
    at: ServerAddress, caplog: pytest.LogCaptureFixture
) -> None:
    """A full disk was told in two lines, the first of them psycopg's."""
    with pytest.raises(psycopg.errors.UniqueViolation), open_catalogue(at, write=True) as catalogue, catalogue.atomic():
        catalogue.many("INSERT INTO migration (number, name) VALUES (?, ?)", [(1, "again"), (1, "again"), (1, "again")])
    assert caplog.records == []


def test_a_fault_of_the_program_is_told_as_one(at: ServerAddress) -> None:
    with pytest.raises(psycopg.errors.SyntaxError), open_catalogue(at, write=False) as catalogue:
        catalogue.execute("SELECT FROM WHERE")


@pytest.mark.parametrize(
    ("state", "told"),
    [
        ("53100", "disk is full"),
        ("53300", "no more connections"),
        ("53200", "no memory"),
        ("53400", "a limit of its own"),
        ("57014", "broke it off"),
        ("57P01", "went away"),
        ("40P01", "try again"),
        ("42501", "may not do that"),
        ("42P01", "remnants verify"),
        ("58030", "disk failed"),
        ("XX001", "damaged"),
        ("28P01", ".pgpass"),
        ("08006", "went away"),
    ],
)
def test_what_a_server_refuses_is_told_in_plain_words(state: str, told: str) -> None:
    address = ServerAddress("postgresql://ana@host/shop")
    with pytest.raises(CatalogueUnusable, match=told) as caught, in_server_words(address):
        raise psycopg.errors.lookup(state)("in the server's own words\nDETAIL:  Key (name)=(Orla) exists")
    assert "Orla" not in str(caught.value) and str(caught.value).startswith(f"{address}: ")


def test_a_sign_that_no_server_keeps_is_told(at: ServerAddress) -> None:
    with pytest.raises(CatalogueUnusable, match="NUL"), open_catalogue(at, write=True) as catalogue, catalogue.atomic():
        catalogue.execute("UPDATE piece SET place = ?", ["Bay\0 9"])


def test_who_looks_for_a_text_with_that_sign_finds_nothing(at: ServerAddress) -> None:
    with open_catalogue(at, write=False) as catalogue:
        assert pieces.find_standing(catalogue, "R-1\0") is None
        assert pieces.tags_beginning(catalogue, "\0", most=5) == pieces.places(catalogue)[:0] == ()
        assert next(catalogue.query("SELECT count(*) AS there FROM piece WHERE tag = :tag", {"tag": "R\0"}))["there"] == 0


def test_where_this_machine_has_no_place_for_the_door_book_what_is_done_stays_done(
    at: ServerAddress, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "taken").touch()
    with open_catalogue(at, write=True) as catalogue:
        monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "taken"))
        door_book.note(catalogue, DoorKind.COPY, "Ana")
        monkeypatch.delenv("XDG_STATE_HOME")
        monkeypatch.setattr(Path, "home", no_home)
        door_book.note(catalogue, DoorKind.COPY, "Ana")
    assert [record.levelname for record in caplog.records] == ["ERROR", "ERROR"] and "no home folder" in caplog.text


def no_home() -> Path:
    raise RuntimeError("of an account without one")


def test_a_page_that_finds_every_connection_taken_is_let_in_by_one_of_its_own(
    at: ServerAddress, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("remnants.store.server.pool.WAIT_S", 0.05)
    with connections_kept(at, most=1), open_catalogue(at, write=False), open_catalogue(at, write=False) as catalogue:
        assert pieces.all_tags(catalogue) == ("R-1",)


HARMS: dict[str, tuple[str, str]] = {
    "a rule": ("ALTER TABLE remnants.piece DROP CONSTRAINT piece_kind_check", "rule piece.piece_kind_check"),
    "a guard": ("ALTER TABLE remnants.entry DISABLE TRIGGER entries_stand", "guard entry.entries_stand"),
    "an index": ("DROP INDEX remnants.piece_at_place", "index piece_at_place"),
    "a column": ("ALTER TABLE remnants.piece ALTER COLUMN lot DROP NOT NULL", "column piece.lot"),
    "a table beside": ("CREATE TABLE remnants.own (x int)", "column own.x"),
    "a function": (
        "CREATE OR REPLACE FUNCTION remnants.hex(bytes bytea) RETURNS text LANGUAGE sql AS $$ SELECT '' $$",
        "function hex",
    ),
    "where a guard looks": ("ALTER FUNCTION remnants.worth_changed() RESET search_path", "function worth_changed"),
    "where another looks": ("ALTER FUNCTION remnants.store_changed() SET search_path TO public", "function store_changed"),
    "a step": ("DELETE FROM remnants.migration WHERE number = 3", "step 3"),
}


@pytest.mark.parametrize("harm", HARMS)
def test_what_was_changed_behind_the_program_is_found(harm: str, server: Server, at: ServerAddress) -> None:
    sql, where = HARMS[harm]
    server.sql(sql, at.database)
    with open_catalogue(at, write=False) as catalogue:
        assert where in {fault.where for fault in verify(catalogue).faults}


def test_a_row_changed_behind_the_program_is_found(server: Server, at: ServerAddress) -> None:
    server.sql("SET search_path TO remnants; UPDATE piece SET place = 'Bay 9'", at.database)
    with open_catalogue(at, write=False) as catalogue:
        (fault,) = verify(catalogue).faults
        assert fault.where == "piece R-1" and "place is 'Bay 9'" in fault.what


def test_what_is_changed_by_hand_is_in_the_sums_whatever_the_hand_has_set(server: Server, at: ServerAddress) -> None:
    """Without `SET search_path` a guard didn't find its tables, and refused in the server's own words."""
    told = "kind, colour, lot, rings, pile_deg, place, room, worn, across_mm, along_mm, area_mm2, version"
    server.sql("INSERT INTO remnants.style (name, construction) VALUES ('Heath', 'cut')", at.database)
    server.sql("UPDATE remnants.piece SET style = 'Heath', lot = 'B', area_mm2 = 1e6, stage = 'missing'", at.database)
    server.sql("UPDATE remnants.piece SET stage = 'in stock'", at.database)
    one_more = f"INSERT INTO remnants.piece (tag, style, {told}) SELECT 'S-1', style, {told} FROM remnants.piece"
    server.sql(one_more.replace(", version FROM", ", version + 1 FROM"), at.database)
    with open_catalogue(at, write=False) as catalogue:
        (line,) = stock_worth(catalogue, today=SIGNED.at.date()).lines[By.STYLE]
        assert (line.name, line.pieces, line.area_mm2) == ("Heath", 2, 2e6)
        assert not [fault for fault in verify(catalogue).faults if "the sums kept" in fault.what]


@pytest.mark.parametrize("words", ["É-1", "ß-2", "Ⅻ-3", "ı-4", "-_-"])
def test_tags_are_told_apart_as_in_a_file(words: str, tmp_path: Path, at: ServerAddress) -> None:
    """Other letters than A to Z have no other case, however the server's language writes them; they sort by code point."""
    found = []
    for each in (tmp_path / "stock.db", at):
        with open_catalogue(each, write=True) as catalogue:
            log_pieces(catalogue, a_stock(a_piece(words), a_piece("b-9"), a_piece("B-8")), signed=SIGNED)
            asked = [pieces.find_standing(catalogue, told) for told in (words, words.lower(), words.upper(), "B-9")]
            tags = [tag for tag in pieces.all_tags(catalogue) if tag != "R-1"]
            found.append(
                ([standing and standing.piece.tag for standing in asked], tags, pieces.tags_beginning(catalogue, "b", most=9))
            )
    assert found[0] == found[1]
