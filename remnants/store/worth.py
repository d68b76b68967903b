"""What is in store by what was paid for it: sums made by the store. Areas mm², lengths mm, money in whole minor units.

Whether a piece would be kept the store tells from the largest rectangle that is known to lie in it: of a piece with slanted edges
that is a few percent smaller than the largest there is.
"""

from datetime import date, timedelta

from remnants.ledger.over_time import AGES
from remnants.ledger.worth import By, WorthSum
from remnants.rules import LeastSizes
from remnants.store.catalogue import Catalogue
from remnants.store.in_store import IN_STORE_ROWS
from remnants.store.least_sizes import holds_least

__all__ = ["KEPT_OFF_THE_LIST", "tags_kept", "worth_sums"]

KEPT_OFF_THE_LIST = "CREATE INDEX piece_kept_until ON piece (keep_until, tag) WHERE keep_until IS NOT NULL;"
"""The step of the migrations by which the few pieces that are not to be cleared out are found without a look at all others."""

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
        f" CAST(coalesce(sum(CASE WHEN {holds} THEN {_MINOR} END), 0) AS BIGINT)"
        f" FROM {catalogue.read_through('piece')} WHERE {IN_STORE_ROWS} GROUP BY 1, 2 ORDER BY 1, 2"
    )
    return tuple(WorthSum(str(name), *sums) for name, *sums in catalogue.execute(sql, [*first, *sizes]))


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
