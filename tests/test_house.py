"""A house in several carpets is one order: a part for each carpet as if it were ordered alone, one total, one run of numbers."""

import csv
import io
import json
from datetime import timedelta
from itertools import count
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.actions import open_catalogue
from remnants.actions.booking import book
from remnants.actions.log_pieces import log_pieces
from remnants.actions.order_house import HouseOrdered, limits_of_each, order_house, stock_free_for
from remnants.actions.order_rooms import Limits, order_rooms
from remnants.actions.quote_order import quote_order
from remnants.errors import BadFile, BadInput
from remnants.estimating.quote import house_quantities
from remnants.exchange import Stock, read_stock
from remnants.exchange.house import read_house
from remnants.exchange.price_entries import read_price_list
from remnants.exchange.rooms import read_rooms
from remnants.ledger import Held
from tests.commands import Remnants
from tests.stock_values import SIGNED, a_piece, a_stock, a_style
from tests.test_cli_papers import text_of
from tests.thorough import few

FEW = Limits(seconds=None, tries=20)
NOTHING = Stock((), ())

HOUSE: dict[str, Any] = {
    "unit": "m",
    "order": "Fen Row 4",
    "style": "Velder Loop",
    "colour": "Oatmeal",
    "roll": {"width": 4},
    "trim": {"wall": 0, "seam": 0},
    "cut_step": 0,
    "prices": [{"currency": "EUR", "amount": 20, "per": "m2"}],
    "carpets": [
        {
            "name": "bedrooms",
            "style": "Ambry Plain",
            "colour": "Slate",
            "roll": {"width": 5},
            "prices": [{"currency": "EUR", "amount": 30, "per": "m2"}],
        }
    ],
    "rooms": [
        {
            "name": "Hall",
            "width": 4,
            "length": 6,
            "pile": 0,
            "doorways": [{"edge": 1, "from": 1, "width": 0.8, "to": "Bed"}, {"edge": 0, "from": 1, "width": 0.9}],
        },
        {
            "name": "Bed",
            "width": 5,
            "length": 3,
            "pile": 0,
            "carpet": "Bedrooms",
            "doorways": [{"edge": 3, "from": 1, "width": 0.8, "to": "Hall"}],
        },
    ],
}
PRICES: dict[str, Any] = {
    "currency": "EUR",
    "lines": [
        {"what": "carpet", "amount": 25, "per": "m2"},
        {"what": "carpet", "amount": 40, "per": "m2", "style": "ambry plain"},
        {"what": "bar", "amount": 9, "per": "each"},
        {"what": "strip", "amount": 1, "per": "m"},
    ],
}


def ordered(file: dict[str, Any], stock: Stock = NOTHING) -> HouseOrdered:
    return order_house(read_house(file), stock, limits=FEW)


def test_each_carpet_comes_off_its_own_roll_and_the_cuts_are_numbered_through_the_house() -> None:
    """A hall of 4 x 6 m takes 6 m of 4 m goods, a bedroom of 5 x 3 m takes 3 m of 5 m goods."""
    hall, bed = ordered(HOUSE).plans
    assert (hall.carpet, hall.plan.ordered_mm, hall.plan.roll.width_mm) == ("Velder Loop, Oatmeal", 6000, 4000)
    assert (bed.carpet, bed.plan.ordered_mm, bed.plan.roll.width_mm) == ("bedrooms", 3000, 5000)
    assert (*hall.plan.cut_numbers.values(), *bed.plan.cut_numbers.values()) == (1, 2)


def test_the_doorway_between_two_carpets_takes_one_bar_and_no_strip() -> None:
    # walls: 20 m and 16 m; the doorway of 80 cm takes strip off both, the other one of 90 cm off the hall
    takes = house_quantities(ordered(HOUSE).plans)
    assert [each.bars for each in takes] == [2, 0] or [each.bars for each in takes] == [1, 1]
    assert sum(each.walls_mm for each in takes) == pytest.approx(36_000 - 2 * 800 - 900)
    told_once = json.loads(json.dumps(HOUSE))
    del told_once["rooms"][1]["doorways"]
    once = house_quantities(ordered(told_once).plans)
    assert sum(each.bars for each in once) == 2
    assert sum(each.walls_mm for each in once) == pytest.approx(36_000 - 2 * 800 - 900)


def test_the_quote_prices_each_carpet_by_its_style_and_all_else_once() -> None:
    # 24 m² at 25.00, 15 m² at 40.00, 33.5 m of strip, two bars at 9.00
    quoted = quote_order(ordered(HOUSE).plans, read_price_list(PRICES))
    assert [(line.what.value, line.style, str(line.amount)) for line in quoted.lines] == [
        ("carpet", "Velder Loop", "600.00 EUR"),
        ("carpet", "Ambry Plain", "600.00 EUR"),
        ("bar", "", "18.00 EUR"),
        ("strip", "", "33.50 EUR"),
    ]
    alone = quote_order(ordered(HOUSE).plans, read_price_list(PRICES | {"lines": PRICES["lines"][1:]}))
    assert alone.without == ("Velder Loop",) and alone.unpriced[0].value == "carpet"


def test_a_carpet_is_priced_once_for_each_style() -> None:
    with pytest.raises((BadFile, BadInput), match=r"lines.1..what: 'carpet' of 'Ambry Plain' is priced twice"):
        read_price_list({"currency": "EUR", "lines": [{**PRICES["lines"][1], "style": "Ambry Plain"}] * 2})
    with pytest.raises((BadFile, BadInput), match="only carpet is priced by its style"):
        read_price_list({"currency": "EUR", "lines": [{"what": "bar", "amount": 1, "per": "each", "style": "x"}]})


@given(st.lists(st.tuples(st.integers(8, 60), st.integers(8, 60), st.sampled_from(["", "bedrooms"])), min_size=2, max_size=4))
@settings(max_examples=few(36), deadline=None)
def test_a_carpet_of_a_house_is_ordered_as_it_would_be_alone(sizes: list[tuple[int, int, str]]) -> None:
    rooms = [
        {"name": f"R{at}", "width": wide / 10, "length": long / 10, "carpet": carpet}
        for at, (wide, long, carpet) in enumerate(sizes)
    ]
    house = ordered(HOUSE | {"rooms": rooms})
    seen = [number for part in house.plans for number in part.plan.cut_numbers.values()]
    assert sorted(seen) == list(range(1, len(seen) + 1))
    for carpet, made in zip(house.asked.carpets, house.carpets, strict=True):
        own = {key: value for key, value in HOUSE.items() if key != "carpets"} | (HOUSE["carpets"][0] if carpet.name else {})
        alone = order_rooms(
            read_rooms(own | {"rooms": [room for room in rooms if room["carpet"] == carpet.name]}), NOTHING, limits=FEW
        )
        assert made.chosen.best.ordered_mm == alone.chosen.best.ordered_mm
        assert made.chosen.best.placed == alone.chosen.best.placed


def test_a_piece_in_stock_is_given_to_one_carpet_alone() -> None:
    """Two closets that one remnant would fill, in one style of two lots each."""
    piece = {"tag": "R-1", "kind": "remnant", "style": "Velder Loop", "colour": "Oatmeal", "width": 2.2, "length": 1.6, "pile": 0}
    stock = read_stock({"unit": "m", "styles": [{"name": "Velder Loop"}], "pieces": [piece]})
    rooms = [{"name": name, "width": 2, "length": 1.5, "hidden": True} for name in ("Closet", "Nook")]
    rooms[1]["carpet"] = "again"
    file = HOUSE | {"carpets": [{"name": "again", "style": "Velder Loop", "roll": {"width": 4}}], "rooms": rooms}
    tags = [part.plan.tags for part in ordered(file, stock).plans]
    assert tags == [("R-1",), ()]


def test_the_seconds_are_shared_and_the_tries_are_not() -> None:
    ticks = count(0.0, 3.0)
    each = list(limits_of_each(Limits(seconds=20.0, tries=40, clock=lambda: next(ticks)), 2))
    assert [(own.tries, round(own.seconds or 0, 1)) for own in each] == [(40, 8.5), (40, 14.0)]


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"carpets": [{"style": "x"}]}, "carpets[0].name: give the carpet a name"),
        ({"carpets": [{"style": "x"}]}, "rooms[1].carpet: 'Bedrooms' is none of the carpets: there are none with a name"),
        ({"carpets": [{"name": "a"}, {"name": "A "}]}, "carpets[1].name: 'A ' names two carpets"),
        ({"carpets": [{"name": "a"}]}, "rooms[1].carpet: 'Bedrooms' is none of the carpets: there are 'a'"),
        ({"carpets": [{"name": "bedrooms", "roll": {"width": 0}}]}, "carpets[0].roll.width: 0 is no size"),
        ({"carpets": [{"name": "bedrooms", "drawing": "x.dxf"}]}, "carpets[0].drawing: this is told once, by the file itself"),
        ({"carpets": 3}, "carpets: give a list, not the number 3"),
        ({"trim": {"wall": -1}}, "trim.wall: -1 is below zero"),
        (
            {"rooms": [HOUSE["rooms"][0], HOUSE["rooms"][1] | {"name": "Hall"}]},
            "rooms[1].name: 'Hall' is the name of two floors; give each its own",
        ),
        (
            {"rooms": [HOUSE["rooms"][0], HOUSE["rooms"][1] | {"width": -3}]},
            "rooms[1].width: Bed: -3 is no size: give a length above zero",
        ),
    ],
)
def test_what_is_wrong_is_told_at_its_place_in_the_file_once(changes: dict[str, Any], told: str) -> None:
    with pytest.raises(BadFile) as refused:
        read_house(HOUSE | changes)
    assert [str(fault) for fault in refused.value.faults if str(fault).startswith(told)], refused.value
    assert len(set(refused.value.faults)) == len(refused.value.faults)


def test_a_carpet_takes_no_price_and_no_lot_of_another() -> None:
    bare = {"name": "bedrooms", "style": "Ambry Plain", "roll": {"width": 5}}
    _, bed = read_house(HOUSE | {"lot": "7", "carpets": [bare]}).carpets
    assert (bed.asked.rules.prices, bed.asked.floors.wanted.lot, bed.asked.floors.wanted.colour) == ((), "", "")
    assert bed.asked.rules.wall_mm == 0


def test_a_file_that_names_no_carpets_is_what_it_was() -> None:
    plain = {key: value for key, value in HOUSE.items() if key != "carpets"}
    (only,) = read_house(plain | {"rooms": HOUSE["rooms"][:1] and [HOUSE["rooms"][0] | {"doorways": []}]}).carpets
    assert only.name == "" and only.asked.floors.rooms[0].name == "Hall"


@pytest.fixture
def asked(remnants: Remnants) -> tuple[str | Path, ...]:
    return (remnants.file("house.json", HOUSE), "--no-stock", "--tries", "20")


def test_the_order_is_told_carpet_by_carpet_and_in_all(remnants: Remnants, asked: tuple[str | Path, ...]) -> None:
    table, drawn = remnants.folder / "order.csv", remnants.folder / "drawn"
    out = " ".join(remnants.ok("order", *asked, "--ticket", "--csv", table, "--svg", drawn).split())
    assert "Fen Row 4, Velder Loop, Oatmeal: order 6.000 m of roll 4.000 m wide" in out
    assert "Fen Row 4, bedrooms: order 3.000 m of roll 5.000 m wide" in out
    assert "in all 2 39.000 m² 0 930.00" in out.replace("39.00 m²", "39.000 m²")  # 24 x 20 + 15 x 30
    lines = list(csv.reader(io.StringIO(table.read_text(encoding="utf-8"))))
    assert lines[0][-2:] == ["carpet", "number"] and all(len(line) == len(lines[0]) for line in lines)
    assert [line[-2:] for line in lines if line[0] == "cut"] == [["Velder Loop, Oatmeal", "1"], ["bedrooms", "2"]]
    assert {path.name for path in drawn.iterdir()} == {
        "roll.svg", "room-01.svg", "carpet-2-roll.svg", "carpet-2-room-01.svg"
    }  # fmt: skip
    answer = json.loads(remnants.ok("order", *asked, "--json"))
    assert [(each["carpet"], each["ways"][0]["ordered"]) for each in answer["carpets"]] == [
        ("Velder Loop, Oatmeal", 6),
        ("bedrooms", 3),
    ]
    assert [each["ways"][0]["rooms"][0]["cuts"][0]["number"] for each in answer["carpets"]] == [1, 2]
    assert answer["total"]["prices"] == [{"currency": "EUR", "net": "930.00"}]


def test_the_papers_cover_the_whole_house(remnants: Remnants, asked: tuple[str | Path, ...]) -> None:
    folder = remnants.folder / "papers"
    out = remnants.ok("papers", *asked, "-o", folder, "--prices", remnants.file("prices.json", PRICES))
    assert "Total 1,251.50 EUR" in out  # 600 + 600 + 18 + 33.50
    quote, supplier, ticket, floors = (text_of(folder / f"{name}.pdf") for name in ("quote", "order", "ticket", "floors"))
    assert "Carpet, Ambry Plain 15.00 m² 40.00 EUR 600.00 EUR" in quote and "Carpet, Velder Loop 24.00 m²" in quote
    assert "Width: 4.000 m." in supplier and "Width: 5.000 m." in supplier
    assert not [word for word in ("Hall", "bedrooms", "Bedrooms") if word in supplier], "the supplier knows styles"
    assert "Velder Loop, Oatmeal • Hall: 4.000 m x 6.000 m Bedrooms (Ambry Plain, Slate) • Bed: 5.000 m x 3.000 m" in quote
    with pdfplumber.open(folder / "floors.pdf") as read:
        (page,) = [page.extract_text() for page in read.pages if "Carpet: bedrooms" in page.extract_text()]
    assert "Bed: whole from the roll" in page.partition("Carpet: bedrooms")[2], "no heading ends a page"
    assert "bedrooms: the roll, 5.000 m wide" in ticket and "1 2 Bed" in ticket
    assert "to Bed, 0.800 m wide" in floors and "to Hall, 0.800 m wide" in floors


def test_a_table_whose_rows_name_several_carpets_is_an_order_for_them_all(remnants: Remnants) -> None:
    """Den 3 x 4 m on 4 m goods, bedroom 5 x 3 m on 5 m goods."""
    sheet = "Room,Width (m),Length (m),Carpet,Roll width (m)\nDen,3,4,Velder Loop,4\nBed,5,3,Ambry Plain,5\n"
    path = remnants.file("rooms.csv", sheet)
    out = remnants.ok("order", path, "--no-stock", "--tries", "5", "--unit", "m")
    assert (
        "rooms, Velder Loop: order" in out
        and "rooms, Ambry Plain: order 5.080 m of roll 5.000 m" in out
        and "5.000 m wide" in out
    )
    unknown = remnants.file("bare.csv", sheet.replace(",5\n", ",\n"))
    assert "--roll-width: say how wide the roll is" in remnants.refused("order", unknown, "--no-stock", code=2)
    untold = remnants.file("untold.csv", sheet + "Hall,2,2,,\n")
    told = remnants.refused("order", untold, "--no-stock", code=2)
    assert 'row 4, column "Carpet": say which carpet: the other rows name several' in told
    wrong = remnants.file("wrong.csv", sheet.replace("Plain,5", "Plain,wide"))
    assert 'row 3, column "Roll width (m)"' in remnants.refused("order", wrong, "--no-stock", code=2)


def test_of_the_stock_only_pieces_of_the_carpets_asked_are_read_as_of_the_day_told(tmp_path: Path) -> None:
    """A style that is near by name is known still, and what is held until yesterday is free today."""
    styles = ("Velder Loop", "Ambry Plain", "Sorrel")
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        known = (a_piece(f"R-{number}", style=name) for number, name in enumerate(styles, start=1))
        log_pieces(catalogue, a_stock(*known, styles=tuple(map(a_style, styles))), signed=SIGNED)
        day = SIGNED.at.date()
        book(catalogue, [("R-2", Held("Elm Row 3", day))], SIGNED)
        house = read_house(HOUSE)
        for today, tags in ((day, ["R-1"]), (day + timedelta(days=1), ["R-1", "R-2"])):
            found = stock_free_for(catalogue, house, today=today)
            assert [piece.tag for piece in found.stock.pieces] == tags
        strange = read_house(HOUSE | {"style": "Sorell Dune", "carpets": [HOUSE["carpets"][0] | {"style": "Nobody's"}]})
        found = stock_free_for(catalogue, strange, today=day)
        assert found.stock.pieces == ()
        told = order_house(strange, found.stock, limits=FEW, names=found.names).carpets[0].notes
        assert any("no style 'Sorell Dune' in stock" in note for note in told)
        nothing = stock_free_for(
            catalogue, read_house({"unit": "m", "rooms": [{"name": "Den", "width": 3, "length": 3}]}), today=day
        )
        assert nothing.stock.pieces == ()
