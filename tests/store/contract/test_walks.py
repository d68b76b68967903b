"""Whatever happens in a shop: each store ends with the same rows, exports and answers, and the ledger adds up to the pieces.

Many, by hand: `REMNANTS_HISTORIES=500 REMNANTS_SEED=1 python -m pytest -n 0 tests/store/contract/test_walks.py`.
"""

import itertools
import os
import random
from collections.abc import Callable
from typing import Any

import pytest

from remnants.actions import Catalogue
from remnants.actions.export_stock import export_stock
from remnants.actions.job_lines import ListedJob, list_jobs
from remnants.actions.keep_job import every_job
from remnants.actions.keep_safe import verify
from remnants.exchange import stock_json
from remnants.ledger import Act, replay
from remnants.ledger.over_time import Step
from remnants.store import ledger, over_time, pieces
from remnants.units import Unit
from tests.happenings import Shop
from tests.stock_values import SIGNED
from tests.store.contract.stores import FileStore, Store, contents

HISTORIES = int(os.environ.get("REMNANTS_HISTORIES", "2"))
SEED = int(os.environ.get("REMNANTS_SEED", "40001"))
STEPS = 30


def drawn_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    """Salts and marks are numbers counted up, so that the same walk gives the same digests."""
    count = itertools.count(1)

    def counted(size: int) -> bytes:
        return next(count).to_bytes(size, "big")

    for of, name in ((os, "urandom"), (random, "_urandom")):  # of the second are secrets drawn
        monkeypatch.setattr(of, name, counted)


def walked(store: Store, at: Any, seed: int, look: Callable[[Catalogue], Any]) -> Any:
    with pytest.MonkeyPatch.context() as patched, store.opened(at) as catalogue:
        drawn_alike(patched)
        shop = Shop(catalogue, random.Random(seed))
        for _ in range(STEPS):
            shop.step()
        return shop.done, look(catalogue)


def everything(catalogue: Catalogue) -> dict[str, Any]:
    """What the shop's books say, digests of the chain too."""
    return {
        "rows": contents(catalogue, drawn=False),
        "chain": list(catalogue.query("SELECT number, salts, digest FROM entry ORDER BY number")),
        "export": stock_json(export_stock(catalogue, unit=Unit.MM)),
        "jobs": every_job(catalogue),
        "standings": list(pieces.every_standing(catalogue)),
        "faults": verify(catalogue).faults,
    }


def adds_up(catalogue: Catalogue) -> None:
    stand = {tag: replay(entries).standing for tag, entries in ledger.every_history(catalogue)}
    assert stand == {standing.piece.tag: standing for standing in pieces.every_standing(catalogue)}
    numbers = [row["number"] for row in catalogue.query("SELECT number FROM entry ORDER BY number")]
    assert numbers == list(range(1, len(numbers) + 1))
    told = tuple(ListedJob(k.number, k.job.name, k.label, k.stage, k.hold_until, k.who) for k in every_job(catalogue))
    assert list_jobs(catalogue) == told
    assert [job.number for job in every_job(catalogue)] == [f"J-{n:04d}" for n in range(len(every_job(catalogue)), 0, -1)]


def is_kept_as_the_entries_tell(catalogue: Catalogue) -> None:
    """When pieces came in and by what the store changed, kept so that no list reads the ledger, and told here from it."""
    last = {}
    for _, entries in ledger.every_history(catalogue):
        for entry in entries:
            if entry.act is Act.RECEIVED:
                last[entry.tag] = entry.signed.at
    assert {standing.piece.tag: standing.came for standing in pieces.every_standing(catalogue)} == last
    told = (
        "SELECT number, store_change.style, flow, CASE WHEN act = 'cut' OR (act = 'received' AND parent <> '') THEN 'cut'"
        " WHEN act IN ('received', 'discarded') THEN act ELSE 'other' END AS by_entry"
        " FROM store_change JOIN entry USING (number) JOIN piece USING (tag)"
    )
    rows = list(catalogue.query(told))
    assert rows and [row for row in rows if row["flow"] != row["by_entry"]] == []
    sums = over_time.store_sums(catalogue, Step.YEAR)
    (there,) = catalogue.execute(
        "SELECT count(*) FROM piece WHERE stage IN ('in stock', 'held') AND kind IN ('remnant', 'offcut')"
    ).fetchone()
    aged = over_time.age_sums(catalogue, SIGNED.at.date())
    assert sum(each.pieces for each in sums) == sum(each.pieces for each in aged) == there
    assert sum(each.area_mm2 for each in sums) == pytest.approx(sum(each.area_mm2 for each in aged), abs=10)


@pytest.mark.parametrize("seed", range(SEED, SEED + HISTORIES))
def test_the_same_walk_ends_the_same_in_every_store(store: Store, tmp_path: Any, seed: int) -> None:
    plain = FileStore(tmp_path)
    at = store.new()
    done, told = walked(store, at, seed, everything)
    assert told["faults"] == ()
    other_done, other = walked(plain, plain.new(), seed, everything)
    assert done == other_done
    assert [name for name in other if told[name] != other[name]] == []
    with store.opened(at, write=False, now=lambda: SIGNED.at) as catalogue:
        adds_up(catalogue)
        is_kept_as_the_entries_tell(catalogue)
