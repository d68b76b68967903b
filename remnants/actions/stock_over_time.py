"""Stock over time, by style and by age, and what reuse has saved: the figures of one page, for all styles or one."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from remnants.errors import BadInput, Fault
from remnants.estimating import Money, Per, Price, amount_of
from remnants.ledger.over_time import AGES, AgedSum, CutSum, Level, Reuse, Step, StoreSum, levels, periods, reuse, step_for
from remnants.store import Catalogue, over_time

__all__ = ["StockOverTime", "StyleShare", "area_price", "stock_over_time", "worth"]


@dataclass(frozen=True)
class StyleShare:
    """A style in store now: pieces, area, and since which ages (places as in AGES); what reuse of it saved."""

    style: str
    pieces: int
    area_mm2: float
    old_mm2: float
    saved: Reuse


@dataclass(frozen=True)
class StockOverTime:
    """The figures. `levels` and `saved` go period by period; `ages` are (word, pieces, area); `leading` styles' own levels."""

    step: Step
    levels: tuple[Level, ...]
    saved: tuple[Reuse, ...]
    all_saved: Reuse
    ages: tuple[tuple[str, int, float], ...]
    styles: tuple[StyleShare, ...]
    leading: tuple[tuple[str, tuple[Level, ...]], ...]
    lines: tuple[tuple[str, tuple[Level, ...], tuple[Reuse, ...]], ...]


def stock_over_time(catalogue: Catalogue, *, today: date, style: str = "", leading: int = 3) -> StockOverTime | None:
    """The figures up to today, of one style or of all; None before anything was in store."""
    first = over_time.first_day(catalogue)
    if first is None:
        return None
    last = max(today, first)
    step = step_for(first, last)
    over = periods(first, last, step)
    stored = [each for each in over_time.store_sums(catalogue, step) if each.period in set(over)]
    cut, aged = over_time.cut_sums(catalogue, step), over_time.age_sums(catalogue, last)
    shares = _shares(aged, cut, stored)
    if style:
        stored, cut, aged = _of(stored, style), tuple(_of(cut, style)), tuple(_of(aged, style))
    by_style: dict[str, list[StoreSum]] = defaultdict(list)
    for each in stored:
        by_style[each.style].append(each)
    cut_by_style: dict[str, list[CutSum]] = defaultdict(list)
    for sums in cut:
        cut_by_style[sums.style].append(sums)
    lines = tuple(
        (name, levels(by_style[name], over), _by_period(cut_by_style[name], over)) for name in sorted({*by_style, *cut_by_style})
    )
    known = {name: level for name, level, _ in lines}
    top = [share.style for share in shares[:leading] if share.style in known and not style]
    return StockOverTime(
        step,
        levels(stored, over),
        _by_period(cut, over),
        reuse(cut),
        tuple(_age(index, aged) for index in range(len(AGES))),
        shares,
        tuple((name, known[name]) for name in top),
        lines,
    )


def area_price(amount: str, currency: str, per: str) -> Price | None:
    """A typed price of an area of carpet; None without an amount. Raises BadInput at `amount`, `currency`, `per`."""
    if not amount.strip():
        return None
    if per not in (Per.M2, Per.FT2, Per.YD2):
        raise BadInput([Fault("per", "give the price of an area")])
    code, where = currency.strip().upper(), "currency"
    try:
        amount_of("0", code)
        where = "amount"
        return Price(code, amount_of(amount, code), Per(per))
    except BadInput as error:
        raise BadInput(Fault(where, fault.what) for fault in error.faults) from None


def worth(area_mm2: float, price: Price) -> Money:
    """What that much new carpet costs at the price."""
    return price.of(1000.0, area_mm2 / 1000.0)


def _of(sums: Iterable[StoreSum | CutSum | AgedSum], style: str) -> list:  # type: ignore[type-arg]
    return [each for each in sums if each.style == style]


def _by_period(sums: Iterable[CutSum], over: Sequence[date]) -> tuple[Reuse, ...]:
    found: dict[date, list[CutSum]] = defaultdict(list)
    for each in sums:
        found[each.period].append(each)
    return tuple(reuse(found[period]) for period in over)


def _age(index: int, aged: Iterable[AgedSum]) -> tuple[str, int, float]:
    own = [each for each in aged if each.age == index]
    return AGES[index].word, sum(each.pieces for each in own), sum(each.area_mm2 for each in own)


def _shares(aged: Sequence[AgedSum], cut: Sequence[CutSum], stored: Sequence[StoreSum]) -> tuple[StyleShare, ...]:
    """Every style that is or was in store, the most area first."""
    held: dict[str, list[AgedSum]] = defaultdict(list)
    taken: dict[str, list[CutSum]] = defaultdict(list)
    for each in aged:
        held[each.style].append(each)
    for sums in cut:
        taken[sums.style].append(sums)
    old = next(index for index, age in enumerate(AGES) if age.word.startswith("1 "))
    made = [
        StyleShare(
            name,
            sum(each.pieces for each in held[name]),
            sum(each.area_mm2 for each in held[name]),
            sum(each.area_mm2 for each in held[name] if each.age >= old),
            reuse(taken[name]),
        )
        for name in {each.style for each in stored} | set(taken) | set(held)
    ]
    return tuple(sorted(made, key=lambda share: (-share.area_mm2, share.style)))
