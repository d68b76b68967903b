"""`remnants prices`: the shop's own list, kept in the catalogue, with who changed what when."""

import json
import random
from fractions import Fraction
from pathlib import Path

from remnants.exchange.price_entries import price_list_json, read_price_list
from remnants.model.money import Per
from remnants.model.price_list import ALLOWED, Priced, PriceLine, PriceList
from remnants.report.prices_text import changes_told
from tests.commands import Remnants
from tests.test_cli_papers import PRICES, ROOMS, text_of

SPRING = PRICES | {
    "tax_percent": "7.25",
    "lines": [{"what": "carpet", "amount": "26.5", "per": "m2"}, {"what": "bar", "amount": 9, "per": "each"}],
}


def test_a_price_file_is_put_in_and_comes_out_as_it_went_in(remnants: Remnants) -> None:
    out = remnants.ok("prices", remnants.file("prices.json", SPRING), "--by", "Maud", "--why", "spring list")
    assert "carpet 26.50 m²" in " ".join(out.split()) and "Margin 10 %, tax 7.25 %. Set by Maud on" in out
    written = remnants.folder / "out.json"
    remnants.ok("prices", "--export", written)
    assert read_price_list(Path(written)) == read_price_list(SPRING)
    assert json.loads(remnants.ok("prices", "--json"))["lines"][0]["amount"] == "26.5"


def test_who_changed_what_when_is_kept_and_nothing_is_noted_twice(remnants: Remnants) -> None:
    remnants.ok("prices", remnants.file("prices.json", PRICES), "--by", "Maud")
    for _ in range(2):
        remnants.ok("prices", remnants.file("spring.json", SPRING), "--by", "Wim", "--why", "spring list")
    history = remnants.ok("prices", "--history").splitlines()
    assert len(history) == 2
    assert "Wim (spring list): carpet 26.50 for m², before 25.00 for m²" in history[0]
    assert "bar, before" not in history[0] and "door bar 9.00 for one, before not priced" in history[0]
    assert "stairs (each step) not priced, before 11.00 for one; tax 7.25 %, before 19 %" in history[0]
    assert "Maud: the first list, 2 prices" in history[1]


def test_a_list_at_fault_changes_nothing(remnants: Remnants) -> None:
    remnants.ok("prices", remnants.file("prices.json", PRICES))
    told = remnants.refused("prices", remnants.file("bad.json", PRICES | {"currency": "XXQ"}), code=2)
    assert "'XXQ' is no currency code" in told
    assert json.loads(remnants.ok("prices", "--json"))["currency"] == "EUR"


def test_without_any_list_that_is_said(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    assert "no prices are kept yet; `remnants prices FILE` puts a price file in" in remnants.refused("prices", code=1)


def test_a_quote_is_made_by_the_kept_prices_where_no_file_is_given(remnants: Remnants) -> None:
    """Three breadths of 13 m of 4 m goods are 52 m², at 25.00 and 10 % on it; a file goes before what is kept."""
    remnants.ok("prices", remnants.file("prices.json", PRICES))
    rooms, folder = remnants.file("rooms.json", ROOMS), remnants.folder / "papers"
    out = remnants.ok("papers", rooms, "--no-stock", "--tries", "40", "-o", folder)
    assert "Carpet: 52.00 m² at 27.50 EUR: 1,430.00 EUR" in out
    quote = text_of(folder / "quote.pdf")
    assert "27.50 EUR" in quote and "25.00" not in quote
    for name in ("order", "ticket", "floors", "house"):
        assert "EUR" not in text_of(folder / f"{name}.pdf")


def test_what_is_written_reads_as_the_same_list_whatever_it_holds() -> None:
    chance = random.Random(7)
    for _ in range(60):
        what = chance.sample(list(Priced), chance.randint(0, len(Priced)))
        lines = [
            PriceLine(each, Fraction(chance.randint(0, 10**7), 1000), chance.choice(ALLOWED[each]))
            for each in what
            if each is not Priced.CARPET
        ]
        lines += [
            PriceLine(Priced.CARPET, Fraction(chance.randint(0, 10**6), 100), Per.M2, style)
            for style in chance.sample(["", "Velder Loop", "Ambry Plain"], chance.randint(0, 3))
        ]
        percents = [Fraction(chance.randint(0, 4000), 100) for _ in range(2)]
        made = PriceList(chance.choice(["EUR", "JPY", "KWD"]), tuple(lines), *percents)
        assert read_price_list(json.loads(json.dumps(price_list_json(made)))) == made
        assert changes_told(made, made) == []
