"""From a plan to a quote: what the job takes, by the shop's own prices alone, every line its quantity times its price."""

import math
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remnants.errors import BadFile, BadInput
from remnants.estimating import Floors, OrderPlan, Stairs
from remnants.estimating.quote import Quantities, quantities, quote
from remnants.exchange.price_entries import read_price_list
from remnants.model.money import AREAS, LENGTHS, Per, Price
from remnants.model.price_list import Priced, PriceLine, PriceList
from tests.estimating.floors import PLAIN, a_door, a_roll, a_room, order

LIST = PriceList(
    "EUR",
    (
        PriceLine(Priced.CARPET, Fraction(2500), Per.M2),
        PriceLine(Priced.UNDERLAY, Fraction(450), Per.M2),
        PriceLine(Priced.STRIP, Fraction(120), Per.M),
        PriceLine(Priced.TAPE, Fraction(90), Per.M),
        PriceLine(Priced.BAR, Fraction(900), Per.EACH),
        PriceLine(Priced.LABOUR, Fraction(600), Per.M2),
        PriceLine(Priced.VISIT, Fraction(3000), Per.EACH),
    ),
    margin_percent=Fraction(10),
    tax_percent=Fraction(19),
)


def one_room() -> tuple[OrderPlan, Floors]:
    """4 x 5 m with a doorway of 80 cm to another floor, off a roll of 4 m."""
    room = replace(a_room("4 m", "5 m", pile_deg=0.0), doorways=(a_door("1 m", "0", "1.8 m", "0"),))
    return order(room, roll=a_roll("4 m"), rules=PLAIN), Floors("test", (room,))


def test_a_quote_worked_by_hand() -> None:
    # with 10 % on each price: 20 m² at 27.50 = 550.00; 20 at 4.95 = 99.00; 18 - 0.8 m at 1.32 = 22.70; one bar at 9.90;
    # 20 m² at 6.60 = 132.00; 33.00. Together 846.60; 19 % of it 160.85
    quoted = quote(quantities(*one_room()), LIST)
    amounts = {line.what: str(line.amount) for line in quoted.lines}
    assert amounts == {
        Priced.CARPET: "550.00 EUR",
        Priced.UNDERLAY: "99.00 EUR",
        Priced.STRIP: "22.70 EUR",
        Priced.BAR: "9.90 EUR",
        Priced.LABOUR: "132.00 EUR",
        Priced.VISIT: "33.00 EUR",
    }
    assert [str(each) for each in (quoted.net, quoted.tax, quoted.total)] == ["846.60 EUR", "160.85 EUR", "1,007.45 EUR"]


def test_what_the_shop_did_not_price_is_told_and_costs_nothing() -> None:
    bare = replace(LIST, lines=LIST.lines[:1])
    quoted = quote(quantities(*one_room()), bare)
    assert [line.what for line in quoted.lines] == [Priced.CARPET]
    assert set(quoted.unpriced) == {Priced.UNDERLAY, Priced.STRIP, Priced.BAR, Priced.LABOUR, Priced.UPLIFT}


def test_a_doorway_between_two_rooms_takes_strip_off_both_walls_and_no_bar() -> None:
    hall = replace(a_room("4 m", "5 m", name="Hall", pile_deg=0.0), doorways=(a_door("0", "1 m", "0", "1.8 m", to="Den"),))
    den = a_room("4 m", "5 m", name="Den", pile_deg=0.0)
    plan = order(hall, den, roll=a_roll("4 m"), rules=PLAIN)
    for back in ((), (a_door("4 m", "1 m", "4 m", "1.8 m", to="Hall"),)):
        taken = quantities(plan, Floors("test", (hall, replace(den, doorways=back))))
        assert taken.walls_mm == pytest.approx(36_000.0 - 1_600.0)
        assert taken.bars == 0


def test_stairs_are_priced_by_the_step() -> None:
    flight = Stairs("Stairs", 12, 800.0, 250.0, 180.0, winders=((900.0, 900.0),))
    plan = order(flight, roll=a_roll("4 m"), rules=PLAIN)
    taken = quantities(plan, Floors("test", (), (flight,)))
    assert taken.of(Priced.STAIRS, Per.EACH) == 13
    assert taken.of(Priced.LABOUR, Per.M2) == 0


AMOUNT = st.integers(0, 50_000_000).map(float)


@given(AMOUNT, AMOUNT, st.integers(0, 40), st.fractions(0, 20_000, max_denominator=100), st.fractions(0, 80, max_denominator=10))
def test_every_amount_is_what_stands_on_paper_multiplied(
    floor: float, walls: float, bars: int, rate: Fraction, margin: Fraction
) -> None:
    taken = Quantities((4000.0, walls), floor, walls, walls / 2, bars, bars)
    lines = (
        PriceLine(Priced.CARPET, rate, Per.YD2), PriceLine(Priced.UNDERLAY, rate, Per.FT2), PriceLine(Priced.TAPE, rate, Per.FT),
        PriceLine(Priced.BAR, rate, Per.EACH),
    )  # fmt: skip
    quoted = quote(taken, PriceList("USD", lines, margin, Fraction(8)))
    for line in quoted.lines:
        assert (line.quantity * 100).denominator == 1
        assert line.amount.minor == math.floor(line.quantity * line.price.minor + Fraction(1, 2))
        assert abs(line.price.minor - float(rate * (100 + margin) / 100)) <= 0.5 + 1e-9
    assert quoted.net.minor == sum(line.amount.minor for line in quoted.lines)
    assert quoted.total.minor == quoted.net.minor + quoted.tax.minor
    assert not {line.what for line in quoted.lines} & set(quoted.unpriced)


def test_a_price_file_is_read_exactly() -> None:
    file = {"currency": "usd", "tax_percent": "7.25", "lines": [{"what": "underlay", "amount": "0.655", "per": "ft2"}]}
    prices = read_price_list(file)
    assert (prices.currency, prices.tax_percent, prices.lines[0].rate_minor) == ("USD", Fraction("7.25"), Fraction("65.5"))


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"currency": "XXQ"}, "no currency code"),
        ({"tax_percent": "a lot"}, "tax_percent: 'a lot' is no percentage"),
        ({"margin_percent": 2000}, "margin_percent: give a percentage from 0 to 1000"),
        ({"lines": [{"what": "wallpaper", "amount": 1, "per": "m2"}]}, "lines"),
        (
            {"lines": [{"what": "strip", "amount": 1, "per": "m2"}]},
            "lines.0..per: strip is not priced by 'm2': give one of m, ft",
        ),
        ({"lines": [{"what": "bar", "amount": "1,5", "per": "each"}]}, "lines.0..amount"),
        ({"lines": [{"what": "bar", "amount": 1, "per": "each"}] * 2}, "lines.1..what: 'bar' is priced twice"),
    ],
)
def test_a_price_file_that_cannot_be_is_told_at_its_place(changes: dict[str, object], told: str) -> None:
    with pytest.raises((BadFile, BadInput), match=told):
        read_price_list({"currency": "EUR", "lines": [], **changes})


def test_everything_may_be_priced_by_something() -> None:
    for what in Priced:
        by = next(by for by in (*AREAS, *LENGTHS, Per.EACH) if _able(what, by))
        assert PriceList("EUR", (PriceLine(what, Fraction(1), by),)).priced == {what}


def _able(what: Priced, by: Per) -> bool:
    try:
        PriceList("EUR", (PriceLine(what, Fraction(1), by),))
    except BadInput:
        return False
    return True


def test_a_roll_has_no_price_each() -> None:
    with pytest.raises(BadInput, match="no price each") as refused:
        Price("EUR", Fraction(2500), Per.EACH)
    assert [fault.where for fault in refused.value.faults] == ["per"]
