"""What stock cost and is worth, kept in sums beside the pieces, and the step of the migrations that makes room for them.

Each write of a piece's row tells what it changed (`worth_change`); from time to time what was told is put into the sums
(`worth_sum`), so that many writes in a row don't write the same sum again and again. What is asked reads both. Areas whole mm²,
so that what is added and taken off again leaves nothing; money whole minor units; lengths mm.

What is worth something hangs on the least sizes that are in force, which change. The sums go by those in `worth_least`; what
others in force make of the pieces that lie between is told from the rows, by `between`.
"""

from remnants.rules import KeepRule, LeastSizes
from remnants.store.catalogue import Catalogue
from remnants.store.in_store import in_store
from remnants.store.least_sizes import holds_least

__all__ = [
    "CHANGES",
    "FIRST_LEAST",
    "WORTH_KEPT",
    "WORTH_KEPT_ON_SERVER",
    "WORTH_OF_ROWS",
    "between",
    "kept_least",
    "put_in_sums",
    "put_in_sums_where_many",
    "tell_least",
    "tell_least_where_far",
]

FIRST_LEAST = LeastSizes(KeepRule(304.8, 457.2))
"""By which the sums go where nothing else was told, as the step below has it."""

FAR_MM = 25.0
"""Least sizes that differ by more are told anew when stock is cut; by less, few pieces lie between."""

_AT_ONCE = 500
"""Entries after which what was told is put into the sums."""

_IN_STORE = "{row}stage IN ('in stock', 'held') AND {row}kind IN ('remnant', 'offcut')"
_CURRENCY = "coalesce(substr({row}cost, length({row}cost) - 2), '')"
_MINOR = "coalesce(CAST(replace(substr({row}cost, 1, length({row}cost) - 4), '.', '') AS BIGINT), 0)"
"""A cost is kept as `Money.written`: all its minor digits, a blank, three letters."""
_DAY = "coalesce({row}received_on, substr({row}came, 1, 10))"
_HALF_UP = "({row}area_mm2 + 0.5)"
_AREA = f"CAST({_HALF_UP} AS BIGINT) - CASE WHEN CAST({_HALF_UP} AS BIGINT) > {_HALF_UP} THEN 1 ELSE 0 END"
"""To whole mm²; one store cuts off what a cast can't hold, the other rounds it."""
_SIDE = """coalesce((SELECT {side}_mm FROM worth_least WHERE style = {row}style),
 (SELECT {side}_mm FROM worth_least WHERE style = ''), {first}) - 0.01"""
_HOLDS = " AND ".join(
    f"{{row}}largest_{side}_mm >= {_SIDE.replace('{side}', side).replace('{first}', first)}"
    for side, first in (("short", "304.8"), ("long", "457.2"))
)
_WORTH = f"CASE WHEN {_HOLDS} THEN {_MINOR} ELSE 0 END"

_TOLD = "style, place, supplier, day, currency, pieces, area_mm2, cost_minor, worth_minor"


def _each(row: str, sign: str) -> str:
    """What one piece is in the sums, added or taken off."""
    names = "{row}style AS style, {row}place AS place, {row}supplier AS supplier"
    figures = f"{sign}1 AS pieces, {sign}({_AREA}) AS area_mm2, {sign}({_MINOR}) AS cost_minor, {sign}({_WORTH}) AS worth_minor"
    return f"{names}, {_DAY} AS day, {_CURRENCY} AS currency, {figures}".replace("{row}", row)


def _there(row: str) -> str:
    return _IN_STORE.replace("{row}", row)


WORTH_OF_ROWS = f"SELECT {_each('piece.', '')} FROM piece WHERE {_there('piece.')}"
"""What each piece in store is in the sums, by the least sizes that these go by."""

CHANGES = """
SELECT 'style' AS by_what, style AS key, currency, pieces, area_mm2, cost_minor, worth_minor FROM {told} AS styles
UNION ALL SELECT 'place', place, currency, pieces, area_mm2, cost_minor, worth_minor FROM {told} AS places
UNION ALL SELECT 'supplier', supplier, currency, pieces, area_mm2, cost_minor, worth_minor FROM {told} AS suppliers
UNION ALL SELECT 'day', day, currency, pieces, area_mm2, cost_minor, worth_minor FROM {told} AS days"""
"""What is `told` piece by piece, as it goes into the sums: once for each that they go by."""

_SUMS = ", ".join(f"CAST(sum({name}) AS BIGINT)" for name in ("pieces", "area_mm2", "cost_minor", "worth_minor"))
_COLUMNS = "by_what, key, currency, pieces, area_mm2, cost_minor, worth_minor"

_TABLES = f"""
CREATE TABLE worth_least (
    style TEXT PRIMARY KEY,
    short_mm REAL NOT NULL,
    long_mm REAL NOT NULL
) STRICT;
CREATE TABLE worth_change (
    style TEXT NOT NULL,
    place TEXT NOT NULL,
    supplier TEXT NOT NULL,
    day TEXT NOT NULL,
    currency TEXT NOT NULL,
    pieces INTEGER NOT NULL,
    area_mm2 INTEGER NOT NULL,
    cost_minor INTEGER NOT NULL,
    worth_minor INTEGER NOT NULL
) STRICT;
CREATE TABLE worth_sum (
    by_what TEXT NOT NULL CHECK (by_what IN ('style', 'place', 'supplier', 'day')),
    key TEXT NOT NULL,
    currency TEXT NOT NULL,
    pieces INTEGER NOT NULL,
    area_mm2 INTEGER NOT NULL,
    cost_minor INTEGER NOT NULL,
    worth_minor INTEGER NOT NULL,
    PRIMARY KEY (by_what, key, currency)
) STRICT, WITHOUT ROWID;
INSERT INTO worth_change ({_TOLD})
SELECT style, place, supplier, day, currency, {_SUMS} FROM ({WORTH_OF_ROWS}) AS told
GROUP BY style, place, supplier, day, currency;
INSERT INTO worth_sum ({_COLUMNS})
SELECT by_what, key, currency, {_SUMS} FROM ({CHANGES.replace("{told}", "worth_change")}) AS told
GROUP BY by_what, key, currency;
DELETE FROM worth_change;
"""

_MATTERS = ("style", "place", "supplier", "received_on", "came", "cost", "area_mm2", "largest_short_mm", "largest_long_mm")
_OF_ROW = "UPDATE OF stage, kind, " + ", ".join(_MATTERS) + " ON piece"
_OLD, _NEW = _there("old."), _there("new.")
_ROWS = (", ".join((_there(f"{row}."), *(f"{row}.{column}" for column in _MATTERS))) for row in ("old", "new"))
_DIFFER = "({}) {{}} ({})".format(*_ROWS) + f" AND (({_OLD}) OR ({_NEW}))"
_GAINED = f"INSERT INTO worth_change ({_TOLD}) SELECT {_each('new.', '')}"
_CHANGED = f"INSERT INTO worth_change ({_TOLD}) SELECT {_each('old.', '-')} WHERE {_OLD}"
_CHANGED += f" UNION ALL SELECT {_each('new.', '')} WHERE {_NEW}"

WORTH_KEPT = f"""{_TABLES}
CREATE TRIGGER worth_gained AFTER INSERT ON piece WHEN {_NEW} BEGIN
    {_GAINED};
END;
CREATE TRIGGER worth_changed AFTER {_OF_ROW} WHEN {_DIFFER.format("IS NOT")} BEGIN
    {_CHANGED};
END;
"""
"""The sums, made of the rows that are there, and what tells each change of a row. Never edited, as any step."""

WORTH_KEPT_ON_SERVER = f"""{_TABLES}
CREATE FUNCTION worth_gained() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    {_GAINED};
    RETURN NULL;
END $$;
CREATE FUNCTION worth_changed() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    {_CHANGED};
    RETURN NULL;
END $$;
CREATE TRIGGER worth_gained AFTER INSERT ON piece FOR EACH ROW WHEN ({_NEW}) EXECUTE FUNCTION worth_gained();
CREATE TRIGGER worth_changed AFTER {_OF_ROW} FOR EACH ROW
WHEN ({_DIFFER.format("IS DISTINCT FROM")}) EXECUTE FUNCTION worth_changed();
"""
"""The same on a server."""


def put_in_sums(catalogue: Catalogue) -> None:
    """Puts what was told into the sums; a sum of no piece goes. The caller holds the transaction."""
    sums = f"SELECT by_what, key, currency, {_SUMS} FROM ({CHANGES.format(told='worth_change')}) AS told"
    added = ", ".join(f"{name} = worth_sum.{name} + excluded.{name}" for name in _COLUMNS.split(", ")[3:])
    catalogue.execute(
        f"INSERT INTO worth_sum ({_COLUMNS}) {sums} WHERE true GROUP BY by_what, key, currency"
        f" ON CONFLICT (by_what, key, currency) DO UPDATE SET {added}"
    )
    catalogue.execute("DELETE FROM worth_sum WHERE pieces = 0")
    catalogue.execute("DELETE FROM worth_change")


def put_in_sums_where_many(catalogue: Catalogue, first: int, last: int) -> None:
    """The same where the entries of these numbers come to another five hundred. The caller holds the transaction."""
    if first // _AT_ONCE != (last + 1) // _AT_ONCE:
        catalogue.by_the_end(put_in_sums)


def kept_least(catalogue: Catalogue) -> LeastSizes:
    """The least sizes that the sums go by."""
    rows = catalogue.query("SELECT style, short_mm, long_mm FROM worth_least ORDER BY style")
    told = {row["style"]: KeepRule(row["short_mm"], row["long_mm"]) for row in rows}
    shop = told.pop("", FIRST_LEAST.shop)
    return LeastSizes(shop, tuple(told.items()))


def tell_least(catalogue: Catalogue, least: LeastSizes) -> None:
    """Has the sums go by these least sizes. The caller holds the transaction."""
    sql, values = between(catalogue, least)
    if sql:
        catalogue.execute(f"INSERT INTO worth_change ({_TOLD}) {sql.format(zeros='0, 0, 0, ')}", values)
    catalogue.execute("DELETE FROM worth_least")
    rows = [(style, *keep.sides_mm) for style, keep in (("", least.shop), *least.own)]
    catalogue.many("INSERT INTO worth_least (style, short_mm, long_mm) VALUES (?, ?, ?)", rows)
    put_in_sums(catalogue)


def between(catalogue: Catalogue, least: LeastSizes) -> tuple[str, list[object]]:
    """SQL for what the pieces are worth more (or less) by these least sizes than by those that the sums go by, and its values:
    style, place, supplier, day, currency, sum. Empty where they are the same.

    It has a place `{zeros}` before the sum. The index of what is in store tells which pieces lie between; those alone are read.
    """
    kept = kept_least(catalogue)
    if _sides(kept) == _sides(least):
        return "", []
    (now, values), (then, others) = holds_least(least), holds_least(kept)
    told = f"style, place, supplier, {_DAY} AS day, {_CURRENCY} AS currency, {_MINOR} AS minor, {now} AS holds"
    rows = f"SELECT {told} FROM {in_store(catalogue)} AND {now} <> {then} AND cost IS NOT NULL".replace("{row}", "")
    by = "style, place, supplier, day, currency"
    more = "CAST(sum(CASE WHEN holds THEN minor ELSE -minor END) AS BIGINT)"
    sql = f"SELECT {by}, {{zeros}}{more} AS more FROM ({rows}) AS told GROUP BY {by}"
    return sql, [*values, *values, *others]


def tell_least_where_far(catalogue: Catalogue, least: LeastSizes) -> None:
    """The same where so much lies between that asking takes long. The caller holds the transaction."""
    if _is_far(kept_least(catalogue), least):
        tell_least(catalogue, least)


def _is_far(kept: LeastSizes, least: LeastSizes) -> bool:
    mine, theirs = dict(kept.own), dict(least.own)
    pairs = [(kept.of(style), least.of(style)) for style in ("", *mine, *theirs)]
    return any(abs(a - b) > FAR_MM for one, other in pairs for a, b in zip(one.sides_mm, other.sides_mm, strict=True))


def _sides(least: LeastSizes) -> tuple[object, ...]:
    """What makes a difference to a sum."""
    own = {style: keep.sides_mm for style, keep in least.own if keep.sides_mm != least.shop.sides_mm}
    return least.shop.sides_mm, tuple(sorted(own.items()))
