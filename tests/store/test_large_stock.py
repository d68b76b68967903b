"""What lists and sums over a whole stock read in a file: an index that holds all they ask, or the table from end to end.

SQLite takes the first index that would do and looks up each piece by it: in a million pieces that made seconds of a tenth.
"""

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.age_stock import age_stock
from remnants.actions.log_pieces import log_pieces
from remnants.actions.stock_worth import stock_worth
from remnants.ledger.over_time import Step
from remnants.rules import KeepRule, LeastSizes
from remnants.store import jobs, over_time, pieces, worth
from remnants.store.file_catalogue import FileCatalogue
from remnants.store.repair_looks import looks_of_all
from tests.stock_values import SIGNED, a_piece, a_stock

TODAY = date(2031, 5, 3)
ASKED: dict[str, tuple[Callable[[Catalogue], Any], str]] = {
    "shares of styles": (pieces.store_shares, "SCAN piece USING INDEX piece_in_store"),
    "what lies where": (pieces.place_counts, "SCAN piece USING INDEX piece_at_place"),
    "labels": (pieces.labels, "SCAN piece USING INDEX piece_label_on_hand"),
    "kept off the list": (lambda c: worth.tags_kept(c, TODAY), "SEARCH piece USING INDEX piece_kept_until (keep_until>?)"),
    "what lies between two least sizes": (
        lambda c: worth.worth_sums(c, LeastSizes(KeepRule(500, 500)), today=TODAY),
        "SCAN piece USING INDEX piece_in_store",
    ),
    "ages": (lambda c: over_time.age_sums(c, TODAY), "SCAN piece USING INDEX piece_in_store"),
    "changes": (lambda c: over_time.store_sums(c, Step.MONTH), "SCAN store_change USING INDEX store_change_by_day"),
    "age of few": (lambda c: age_stock(c, now=SIGNED.at, most=9), "SCAN piece USING INDEX piece_in_store"),
    "age of many": (lambda c: age_stock(c, now=SIGNED.at + timedelta(days=999), most=1), "SCAN piece USING INDEX piece_in_store"),
}
OFTEN = {"age of many": 3}
"""How often it is read where that isn't once: the first of it, listed, counted."""
NEVER: dict[str, Callable[[Catalogue], Any]] = {"worth": lambda c: stock_worth(c, today=TODAY)}
"""What is told from sums."""


@pytest.fixture(scope="module")
def stock(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("large") / "stock.db"
    with open_catalogue(path, write=True) as catalogue:
        log_pieces(catalogue, a_stock(a_piece("R-1"), a_piece("R-2")), signed=SIGNED)
    return path


@pytest.mark.parametrize("asked", [*ASKED, *NEVER])
def test_it_is_read_so(stock: Path, asked: str, monkeypatch: pytest.MonkeyPatch) -> None:
    run = FileCatalogue.execute
    plans: list[str] = []

    def noting(catalogue: FileCatalogue, sql: str, parameters: Sequence[Any] = ()) -> Any:
        if sql.startswith(("SELECT", "WITH")) and (" FROM piece" in sql or " FROM store_change" in sql):
            plans.extend(str(detail) for *_, detail in run(catalogue, f"EXPLAIN QUERY PLAN {sql}", parameters))
        return run(catalogue, sql, parameters)

    monkeypatch.setattr(FileCatalogue, "execute", noting)
    monkeypatch.setattr("remnants.store.sizes._SOME", 2)  # as many as there are
    do, wanted = ASKED.get(asked) or (NEVER[asked], "")
    with open_catalogue(stock, write=False) as catalogue:
        do(catalogue)
    reads = [plan.replace("COVERING ", "") for plan in plans if " piece" in plan or " store_change" in plan]
    reads = [read for read in reads if "(tag=?)" not in read]  # what is listed is read by itself
    reads = [read for read in reads if not read.endswith("USING INDEX piece_by_customer")]  # it holds few of them
    assert reads == [wanted] * (OFTEN.get(asked, 1) if wanted else 0), plans


@pytest.mark.parametrize(
    ("asked", "first"),
    [(jobs.listed, "SCAN job USING COVERING INDEX job_line"), (looks_of_all, "SCAN looked USING INDEX entry_looked")],
)
def test_of_jobs_neither_their_plans_nor_the_whole_ledger_are_read(
    stock: Path, asked: Callable[[Catalogue], tuple[object, ...]], first: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A plan names each piece that it passed over: in a large stock one is two megabytes."""
    run = FileCatalogue.execute
    plans: list[str] = []

    def noting(catalogue: FileCatalogue, sql: str, parameters: Sequence[Any] = ()) -> Any:
        if sql.startswith("SELECT"):
            plans.extend(str(detail) for *_, detail in run(catalogue, f"EXPLAIN QUERY PLAN {sql}", parameters))
        return run(catalogue, sql, parameters)

    with open_catalogue(stock, write=False) as catalogue:
        monkeypatch.setattr(FileCatalogue, "execute", noting)
        assert asked(catalogue) == ()
    assert plans[0] == first
