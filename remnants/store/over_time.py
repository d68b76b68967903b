"""What was in store when, and what cuts took out of it: sums by period and style, made by the store. Areas mm²."""

from datetime import date, timedelta

from remnants.ledger.over_time import AGES, AgedSum, CutSum, Flow, Step, StoreSum
from remnants.store.catalogue import Catalogue
from remnants.store.in_store import in_store

__all__ = ["age_sums", "cut_sums", "first_day", "store_sums"]

_PERIODS = {Step.MONTH: "substr({day}, 1, 7) || '-01'", Step.YEAR: "substr({day}, 1, 4) || '-01-01'"}

_AREA = "CAST(json_extract(facts, '$.{}') AS DOUBLE PRECISION)"


def first_day(catalogue: Catalogue) -> date | None:
    """The day of the first change of what is in store; None before any."""
    (day,) = catalogue.execute("SELECT min(day) FROM store_change").fetchone()
    return date.fromisoformat(day) if day else None


def store_sums(catalogue: Catalogue, step: Step) -> tuple[StoreSum, ...]:
    """How pieces and area in store changed, by period, style and cause, oldest first."""
    days = (
        "SELECT day, style, flow, sum(pieces) AS pieces, sum(area_mm2) AS area_mm2"
        f" FROM {catalogue.by_index('store_change', 'store_change_by_day')} GROUP BY 1, 2, 3"
    )
    period = _first_day_of(catalogue, step, "day")
    sums = f"SELECT {period} AS period, style, flow, sum(pieces), sum(area_mm2) FROM ({days}) AS days"
    sql = f"{sums} GROUP BY 1, 2, 3 ORDER BY 1, 2, 3"
    rows = catalogue.execute(sql)
    return tuple(StoreSum(date.fromisoformat(row[0]), row[1], Flow(row[2]), row[3], row[4]) for row in rows)


def cut_sums(catalogue: Catalogue, step: Step) -> tuple[CutSum, ...]:
    """What the cuts that count (those not taken back) took and wasted, by period, style and whether the piece was the shop's."""
    period = _first_day_of(catalogue, step, "substr(at, 1, 10)")
    sql = (
        f"SELECT {period} AS period, piece.style, piece.kind IN ('remnant', 'offcut') AS ours, count(*),"
        f" sum({_AREA.format('taken_mm2')}), sum({_AREA.format('waste_mm2')})"
        " FROM entry JOIN piece USING (tag) WHERE act = 'cut'"
        " AND number NOT IN (SELECT CAST(json_extract(facts, '$.number') AS BIGINT) FROM entry WHERE act = 'undone')"
        " GROUP BY 1, 2, 3 ORDER BY 1, 2, 3"
    )
    rows = catalogue.execute(sql)
    return tuple(CutSum(date.fromisoformat(row[0]), row[1], bool(row[2]), row[3], row[4], row[5]) for row in rows)


def age_sums(catalogue: Catalogue, today: date) -> tuple[AgedSum, ...]:
    """Pieces and area in store now, by style and age: days since the piece came in. Ages are the places in AGES."""
    since = [(today - timedelta(days=age.under_days)).isoformat() for age in AGES if age.under_days]
    cases = " ".join(f"WHEN came > ? THEN {index}" for index in range(len(since)))
    came = f"SELECT style, came, count(*) AS pieces, sum(area_mm2) AS area_mm2 FROM {in_store(catalogue)} GROUP BY style, came"
    sql = (
        f"SELECT style, CASE {cases} ELSE {len(since)} END AS age, sum(pieces), sum(area_mm2)"
        f" FROM (SELECT style, substr(came, 1, 10) AS came, pieces, area_mm2 FROM ({came}) AS times) AS days"
        " GROUP BY 1, 2 ORDER BY 1, 2"
    )
    return tuple(AgedSum(*row) for row in catalogue.execute(sql, since))


def _first_day_of(catalogue: Catalogue, step: Step, day: str) -> str:
    """SQL for the first day of the period that a day lies in; weeks begin on Monday (ISO 8601)."""
    return catalogue.monday_of(day) if step is Step.WEEK else _PERIODS[step].format(day=day)
