"""A change happens wholly or not at all, whoever looks meanwhile; nothing gets round the ledger."""

import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.actions import Catalogue
from remnants.actions.booking import standing_of
from remnants.actions.change_piece import correct_piece, move_piece
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.errors import BadInput, StockChanged
from remnants.ledger import Received
from remnants.store import ledger, pieces, styles
from remnants.store.migrations import MIGRATIONS
from tests.stock_values import SIGNED, a_piece, a_stock, a_style
from tests.store.contract.stores import Store, at_once, contents
from tests.thorough import share

FAILURES: tuple[type[BaseException], ...] = (RuntimeError, KeyboardInterrupt, SystemExit, GeneratorExit)

HELD_BACK = r"(?i)constraint|ledger only grows|never changed|cannot store"
"""What stores say of a row that breaks a rule of its table, each in its own words."""

Block = tuple[str, type[BaseException] | None, tuple[Any, ...]]
"""Puts in a style of its name, then the blocks within it one by one, then fails or not."""

blocks = st.recursive(
    st.tuples(st.just(""), st.sampled_from([None, None, *FAILURES]), st.just(())),
    lambda inner: st.tuples(st.just(""), st.sampled_from([None, None, *FAILURES]), st.lists(inner, max_size=3).map(tuple)),
    max_leaves=6,
)


def done(catalogue: Catalogue, block: Block, name: str) -> None:
    _, failure, inner = block
    with catalogue.atomic():
        styles.put_styles(catalogue, [a_style(name)])
        for number, each in enumerate(inner):
            with suppress(*FAILURES):
                done(catalogue, each, f"{name}.{number}")
        if failure:
            raise failure


def stays(block: Block, name: str) -> Iterator[str]:
    _, failure, inner = block
    if not failure:
        yield name
        for number, each in enumerate(inner):
            yield from stays(each, f"{name}.{number}")


@pytest.fixture(scope="module")
def bare(store: Store) -> Iterator[Catalogue]:
    with store.opened(store.new()) as catalogue:
        yield catalogue


@settings(max_examples=share(120))
@given(outer=blocks)
def test_of_blocks_in_blocks_what_failed_is_undone_alone_with_all_within_it(bare: Catalogue, outer: Block) -> None:
    bare.execute("DELETE FROM style")
    with suppress(*FAILURES):
        done(bare, outer, "1")
    assert set(styles.all_styles(bare)) == set(stays(outer, "1"))


def test_a_statement_that_is_refused_undoes_its_own_block_and_the_rest_goes_on(store: Store) -> None:
    with store.opened(store.new()) as catalogue:
        with catalogue.atomic():
            styles.put_styles(catalogue, [a_style()])
            with pytest.raises(Exception, match=r"(?i)foreign key"), catalogue.atomic():
                ledger.receive(catalogue, [Received(a_piece(style="nobody knows it"))], SIGNED)
            with pytest.raises(BadInput, match="already"):
                log_pieces(catalogue, a_stock(a_piece("R-1")), signed=SIGNED)
                log_pieces(catalogue, a_stock(a_piece("R-2"), a_piece("R-1")), signed=SIGNED)
            log_pieces(catalogue, a_stock(a_piece("R-3")), signed=SIGNED)
        assert pieces.all_tags(catalogue) == ("R-1", "R-3")
        assert verify(catalogue).faults == ()


@pytest.mark.parametrize(
    "sql",
    [
        "DELETE FROM entry WHERE number = 3",
        "UPDATE entry SET who = 'Bo' WHERE number = 3",
        "UPDATE entry SET erased = 1, tag = 'R-2' WHERE number = 3",
        "UPDATE entry SET erased = 1, digest = '' WHERE number = 3",
        "UPDATE entry SET number = 1000 WHERE number = 3",
        "DELETE FROM piece WHERE tag = 'R-1'",
        "UPDATE piece SET stage = 'lent' WHERE tag = 'R-1'",
        "UPDATE piece SET area_mm2 = -1 WHERE tag = 'R-1'",
        "UPDATE piece SET worn = 5 WHERE tag = 'R-1'",
        "UPDATE piece SET hold_job = NULL WHERE stage = 'held'",
        "UPDATE piece SET style = 'nobody knows it' WHERE tag = 'R-1'",
        "UPDATE piece SET rings = '[[' WHERE tag = 'R-1'",
        "UPDATE style SET repeat_drop = 1.5, repeat_across_mm = 1, repeat_along_mm = 1",
        "UPDATE entry SET erased = 1, facts = '{' WHERE number = 3",
        "UPDATE job SET stage = 'lost'",
        "UPDATE job SET name = 'Fir Lane 2'",
        "UPDATE customer SET may_call = 2",
    ],
)
def test_whoever_writes_past_the_program_is_held_back_by_the_tables(store: Store, busy: Any, sql: str) -> None:
    with store.opened(busy) as catalogue:
        before = contents(catalogue)
        with pytest.raises(Exception, match=HELD_BACK), catalogue.atomic():
            catalogue.execute(sql)
        assert contents(catalogue) == before


def test_who_only_reads_can_write_nothing(store: Store, busy: Any) -> None:
    with store.opened(busy, write=False) as catalogue:
        before = contents(catalogue)
        with (
            pytest.raises(OSError, match=r"may not be written to|takes no changes"),
            store.opened(busy, write=False) as own,
            own.atomic(),
        ):
            styles.put_styles(own, [a_style("not to be")])
        assert contents(catalogue) == before


def test_a_correction_of_what_was_seen_before_another_change_is_refused(store: Store, busy: Any) -> None:
    with store.opened(busy) as catalogue:
        seen = standing_of(catalogue, "R-5")
        move_piece(catalogue, "R-5", "Bay 9", signed=replace(SIGNED, who="Bo"))
        before = contents(catalogue)
        with pytest.raises(BadInput, match="was changed by Bo"):
            correct_piece(catalogue, replace(seen.piece, lot="77"), expected=seen.version, signed=SIGNED)
        with pytest.raises(StockChanged, match="moved"):
            move_piece(catalogue, "R-5", "Bay 8", seen=seen.version, signed=SIGNED)
        assert contents(catalogue) == before


def test_readers_see_a_whole_state_while_a_writer_works(store: Store) -> None:
    """The writer moves pairs from bay to bay: whoever counts in between finds each pair in one bay."""
    at, rounds = store.new(), 30
    with store.opened(at) as catalogue:
        log_pieces(catalogue, a_stock(*(a_piece(f"R-{n}", place="Bay 1") for n in range(2))), signed=SIGNED)
    over, begun = threading.Event(), threading.Barrier(3)

    def write() -> None:
        with store.opened(at) as own:
            begun.wait()
            for turn in range(rounds):
                with own.atomic():
                    for tag in ("R-0", "R-1"):
                        move_piece(own, tag, f"Bay {1 + (turn + 1) % 2}", signed=SIGNED)
        over.set()

    def read() -> set[tuple[object, ...]]:
        seen: set[tuple[object, ...]] = set()
        with store.opened(at, write=False) as own:
            begun.wait()
            while not over.is_set():
                (moves,) = own.execute("SELECT count(*) FROM entry WHERE act = 'moved'").fetchone()
                seen |= {tuple(here for _, here, _ in pieces.place_counts(own)), ("an odd move" if moves % 2 else "pairs moved",)}
        return seen

    with ThreadPoolExecutor(3) as pool:
        writing, *reading = pool.submit(write), pool.submit(read), pool.submit(read)
        writing.result()
        assert set().union(*(each.result() for each in reading)) == {(2,), ("pairs moved",)}


def test_many_who_open_a_new_catalogue_at_once_make_its_tables_once(own_steps: None, store: Store) -> None:
    at = store.new()
    gate = threading.Barrier(4)

    def begin(_: int) -> int:
        gate.wait()
        with store.opened(at) as own:
            (steps,) = own.execute("SELECT count(*) FROM migration").fetchone()
            return int(steps)

    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(begin, range(4))) == [len(MIGRATIONS)] * 4
    assert at_once(store, at, lambda own: verify(own).faults) == [()]


def test_what_is_to_be_done_by_the_end_is_done_with_it_or_not_at_all(store: Store) -> None:
    def owed(catalogue: Catalogue) -> None:
        catalogue.execute("UPDATE style SET mass_g_m2 = coalesce(mass_g_m2, 0) + 1")

    with store.opened(store.new()) as catalogue:
        with pytest.raises(ValueError), catalogue.atomic():
            styles.put_styles(catalogue, [a_style("Fen")])
            catalogue.by_the_end(owed)
            raise ValueError
        with catalogue.atomic():
            styles.put_styles(catalogue, [a_style("Heath", mass_g_m2=None)])
        assert styles.all_styles(catalogue)["Heath"].mass_g_m2 is None, "what was taken back is no longer owed"
        with catalogue.atomic(), catalogue.atomic():
            catalogue.by_the_end(owed)
            catalogue.by_the_end(owed)
        assert styles.all_styles(catalogue)["Heath"].mass_g_m2 in (1, 2)
        catalogue.by_the_end(owed)
        assert styles.all_styles(catalogue)["Heath"].mass_g_m2 in (2, 3)
