"""What is in store by what was paid for it: sums made by the store. Areas mm², lengths mm, money in whole minor units.

Whether a piece would be kept the store tells from the largest rectangle that is known to lie in it: of a piece with slanted edges
that is a few percent smaller than the largest there is.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
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
_WHOLE = "CAST(coalesce(sum({}), 0) AS BIGINT)"
_SUMS = f"count(*), sum(area_mm2), {_WHOLE.format('minor')}, {_WHOLE.format('CASE WHEN kept THEN minor END')}"


def worth_sums(catalogue: Catalogue, least: LeastSizes, *, today: date) -> Mapping[By, tuple[WorthSum, ...]]:
    """Remnants and offcuts on hand, held ones too, by each: by key and currency. Worth is the cost of what would be kept.

    The age counts from the day on which the piece was received, as told or else as the ledger has it. The pieces are read once:
    both stores keep what a WITH tells as soon as it is asked twice. Places are many and so are summed apart from all else.
    """
    age, since = _age(today)
    holds, sizes = holds_least(least)
    sql = (
        f"WITH told AS (SELECT style, place, supplier, {age} AS age, {_CURRENCY} AS currency, area_mm2, {_MINOR} AS minor,"
        f" {holds} AS kept FROM {catalogue.read_through('piece')} WHERE {IN_STORE_ROWS})"
        f" SELECT 1 AS placed, place, '' AS supplier, 0 AS age, currency, {_SUMS} FROM told GROUP BY place, currency"
        f" UNION ALL SELECT 0, style, supplier, age, currency, {_SUMS} FROM told GROUP BY style, supplier, age, currency"
    )
    found: dict[By, list[WorthSum]] = {by: [] for by in By}
    for placed, name, supplier, index, *sums in catalogue.execute(sql, [*since, *sizes]):
        keys = {By.BRANCH: name} if placed else {By.STYLE: name, By.SUPPLIER: supplier, By.AGE: index}
        for by, key in keys.items():
            found[by].append(WorthSum(str(key), *sums))
    return {by: _summed(sums) for by, sums in found.items()}


def _age(today: date) -> tuple[str, list[str]]:
    """SQL for the place in AGES, and its values."""
    since = [(today - timedelta(days=age.under_days)).isoformat() for age in AGES if age.under_days]
    cases = " ".join(f"WHEN coalesce(received_on, substr(came, 1, 10)) > ? THEN {index}" for index in range(len(since)))
    return f"CASE {cases} ELSE {len(since)} END", since


def _summed(sums: Iterable[WorthSum]) -> tuple[WorthSum, ...]:
    """One for each key and currency, in their order."""
    alike: dict[tuple[str, str], list[WorthSum]] = defaultdict(list)
    for each in sums:
        alike[each.key, each.currency].append(each)
    return tuple(
        WorthSum(
            *key,
            sum(each.pieces for each in some),
            math.fsum(each.area_mm2 for each in some),
            sum(each.cost_minor for each in some),
            sum(each.worth_minor for each in some),
        )
        for key, some in sorted(alike.items())
    )


def tags_kept(catalogue: Catalogue, today: date) -> frozenset[str]:
    """The tags of the pieces in store that are not to be cleared out until a day after this one."""
    sql = f"SELECT tag FROM piece WHERE keep_until > ? AND {IN_STORE_ROWS}"
    return frozenset(row["tag"] for row in catalogue.query(sql, [today.isoformat()]))
