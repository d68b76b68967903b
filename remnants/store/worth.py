"""What is in store by what was paid for it: sums made by the store. Areas mm², lengths mm, money in whole minor units.

Whether a plain piece would be kept the store tells from its two sides; of an odd one the largest rectangle has to be found, so
those, and only those that could be kept, are read.
"""

from collections import defaultdict
from datetime import date, timedelta

from remnants.geometry.rectangles import largest_rectangle
from remnants.ledger.over_time import AGES
from remnants.ledger.worth import By, WorthSum
from remnants.rules import LeastSizes
from remnants.store.catalogue import Catalogue
from remnants.store.in_store import IN_STORE_ROWS
from remnants.store.least_sizes import holds_least
from remnants.store.rows import rings_of

__all__ = ["tags_kept", "worth_sums"]

_MINOR = "CAST(replace(substr(cost, 1, length(cost) - 4), '.', '') AS BIGINT)"
"""A cost is kept as `Money.written`: all its minor digits, a blank, three letters."""
_CURRENCY = "coalesce(substr(cost, length(cost) - 2), '')"
_KEYS = {By.STYLE: "style", By.BRANCH: "place", By.SUPPLIER: "supplier"}


def worth_sums(catalogue: Catalogue, by: By, least: LeastSizes, *, today: date) -> tuple[WorthSum, ...]:
    """Remnants and offcuts on hand, held ones too, by key and currency. Worth is the cost of what would be kept.

    The age counts from the day on which the piece was received, as told or else as the ledger has it.
    """
    key, first = _key(by, today)
    holds, sizes = holds_least(least)
    sql = (
        f"SELECT {key} AS key, {_CURRENCY} AS currency, count(*), sum(area_mm2), CAST(coalesce(sum({_MINOR}), 0) AS BIGINT),"
        f" CAST(coalesce(sum(CASE WHEN staircase IS NULL AND {holds} THEN {_MINOR} END), 0) AS BIGINT)"
        f" FROM piece WHERE {IN_STORE_ROWS} GROUP BY 1, 2 ORDER BY 1, 2"
    )
    odd = _odd_worth(catalogue, f"{key} AS key, {_CURRENCY} AS currency", first, least)
    made = []
    for name, currency, count, area_mm2, cost, worth in catalogue.execute(sql, [*first, *sizes]):
        made.append(WorthSum(str(name), currency, count, area_mm2, cost, worth + odd.get((str(name), currency), 0)))
    return tuple(made)


def _odd_worth(catalogue: Catalogue, named: str, values: list[str], least: LeastSizes) -> dict[tuple[str, str], int]:
    """What the odd pieces that would be kept had cost, by key and currency, which `named` tells in SQL."""
    holds, sizes = holds_least(least)
    sql = (
        f"SELECT {named}, {_MINOR} AS minor, style, rings, pile_deg FROM piece"
        f" WHERE {IN_STORE_ROWS} AND staircase IS NOT NULL AND cost IS NOT NULL AND {holds}"
    )
    found: dict[tuple[str, str], int] = defaultdict(int)
    for row in catalogue.query(sql, [*values, *sizes]):
        largest = largest_rectangle(rings_of(row["rings"]), row["pile_deg"])
        if least.of(row["style"]).worth_keeping(largest.width_mm, largest.length_mm):
            found[str(row["key"]), row["currency"]] += row["minor"]
    return found


def _key(by: By, today: date) -> tuple[str, list[str]]:
    """SQL for what the sums are by, and its values."""
    if by is not By.AGE:
        return _KEYS[by], []
    since = [(today - timedelta(days=age.under_days)).isoformat() for age in AGES if age.under_days]
    cases = " ".join(f"WHEN coalesce(received_on, substr(came, 1, 10)) > ? THEN {index}" for index in range(len(since)))
    return f"CASE {cases} ELSE {len(since)} END", since


def tags_kept(catalogue: Catalogue, today: date) -> frozenset[str]:
    """The tags of the pieces in store that are not to be cleared out until a day after this one."""
    sql = f"SELECT tag FROM piece WHERE keep_until > ? AND {IN_STORE_ROWS}"
    return frozenset(row["tag"] for row in catalogue.query(sql, [today.isoformat()]))
