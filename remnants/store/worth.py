"""What is in store by what was paid for it: sums made by the store. Areas mm², lengths mm, money in whole minor units.

Whether a piece would be kept the store tells from the largest rectangle that is known to lie in it: of a piece with slanted edges
that is a few percent smaller than the largest there is.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, timedelta

from remnants.ledger.over_time import AGES
from remnants.ledger.worth import By, WorthSum
from remnants.rules import LeastSizes
from remnants.store.catalogue import Catalogue
from remnants.store.in_store import IN_STORE_ROWS
from remnants.store.worth_kept import CHANGES, between

__all__ = ["KEPT_OFF_THE_LIST", "tags_kept", "worth_sums"]

KEPT_OFF_THE_LIST = "CREATE INDEX piece_kept_until ON piece (keep_until, tag) WHERE keep_until IS NOT NULL;"
"""The step of the migrations by which the few pieces that are not to be cleared out are found without a look at all others."""

_BY = {"style": By.STYLE, "place": By.BRANCH, "supplier": By.SUPPLIER, "day": By.AGE}


def worth_sums(catalogue: Catalogue, least: LeastSizes, *, today: date) -> Mapping[By, tuple[WorthSum, ...]]:
    """Remnants and offcuts on hand, held ones too, by each: by key and currency. Worth is the cost of what would be kept.

    The age counts from the day on which the piece was received, as told or else as the ledger has it. All of it is told from
    sums that are kept; where other least sizes are in force than those that they go by, what lies between is read.
    """
    found: dict[tuple[By, str, str], list[int]] = defaultdict(lambda: [0, 0, 0, 0])
    figures = "pieces, area_mm2, cost_minor, worth_minor"
    kept = f"SELECT by_what, key, currency, {figures} FROM worth_sum UNION ALL {CHANGES.format(told='worth_change')}"
    for by_what, key, currency, *sums in catalogue.execute(kept):
        _add(found, (_BY[by_what], _key(by_what, key, today), currency), sums)
    sql, values = between(catalogue, least)
    for *keys, currency, more in catalogue.execute(sql.format(zeros=""), values) if sql else ():
        for by_what, key in zip(("style", "place", "supplier", "day"), keys, strict=True):
            _add(found, (_BY[by_what], _key(by_what, key, today), currency), (0, 0, 0, more))
    told: dict[By, list[WorthSum]] = {by: [] for by in By}
    for (by, key, currency), (pieces, area_mm2, cost, worth) in sorted(found.items()):
        if pieces:
            told[by].append(WorthSum(key, currency, pieces, float(area_mm2), cost, worth))
    return {by: tuple(sums) for by, sums in told.items()}


def _add(found: Mapping[tuple[By, str, str], list[int]], where: tuple[By, str, str], sums: Iterable[int]) -> None:
    own = found[where]
    own[:] = [one + more for one, more in zip(own, sums, strict=True)]


def _key(by_what: str, key: str, today: date) -> str:
    """Of a day the place in AGES."""
    if by_what != "day":
        return key
    since = [(today - timedelta(days=age.under_days)).isoformat() for age in AGES if age.under_days]
    return str(next((index for index, day in enumerate(since) if key > day), len(since)))


def tags_kept(catalogue: Catalogue, today: date) -> frozenset[str]:
    """The tags of the pieces in store that are not to be cleared out until a day after this one."""
    sql = f"SELECT tag FROM piece WHERE keep_until > ? AND {IN_STORE_ROWS}"
    return frozenset(row["tag"] for row in catalogue.query(sql, [today.isoformat()]))
