"""The whole house on one sheet: every cut's number and every room's name on it, on paper that it can be read on."""

import io
import random
import re
from collections import Counter

import pdfplumber
import pytest

from remnants.actions.make_sheet import fonts
from remnants.actions.order_house import order_house
from remnants.actions.order_rooms import Limits
from remnants.exchange import Stock, read_stock
from remnants.exchange.house import read_house
from remnants.geometry import TOLERANCE_MM
from remnants.model.house_plan import CarpetPlan
from remnants.report.house_places import APART_MM, room_places
from remnants.report.house_sheet import house_pdf
from remnants.report.page import LARGER, PageSize
from remnants.report.papers import OrderPaper
from remnants.units import Unit
from tests.test_house import HOUSE

MM_PER_PT = 25.4 / 72
NOTHING = Stock((), ())
FOOT = "Print at 100 %; check a bar with a rule 100 mm 4 in The house: Fen Row, page 1"


def plans_of(file: dict[str, object], stock: Stock = NOTHING, tries: int = 6) -> tuple[CarpetPlan, ...]:
    return order_house(read_house(file), stock, limits=Limits(seconds=None, tries=tries)).plans


def printed(plans: tuple[CarpetPlan, ...], size: PageSize = PageSize.A4) -> tuple[str, tuple[float, float]]:
    """The only page's words, and its size in mm; nothing stands outside of it."""
    with pdfplumber.open(io.BytesIO(house_pdf(OrderPaper("Fen Row", plans, Unit.M), fonts(), size=size))) as pdf:
        (page,) = pdf.pages
        assert all(
            word["x0"] >= 0 and word["x1"] <= page.width and word["bottom"] <= page.height for word in page.extract_words()
        )
        return " ".join(page.extract_text().split()), (float(page.width) * MM_PER_PT, float(page.height) * MM_PER_PT)


def test_two_carpets_stand_on_one_sheet_with_their_letters() -> None:
    told, size = printed(plans_of(HOUSE))
    assert size == pytest.approx((210, 297), abs=0.2)
    for words in (
        "Hall (A)",
        "Bed (B)",
        "A: Velder Loop, Oatmeal; B: bedrooms (Ambry Plain, Slate).",
        "1 Hall 4.000 m x 6.000 m",
    ):
        assert words in told
    assert "stand side by side" in told


def test_rooms_lie_where_the_plan_puts_them() -> None:
    rooms = [HOUSE["rooms"][0] | {"at": [0, 0]}, HOUSE["rooms"][1] | {"at": [4.1, 0]}]
    plans = plans_of(HOUSE | {"rooms": rooms})
    assert room_places(plans) == {"Hall": (0.0, 0.0), "Bed": (4100.0, 0.0)}
    assert "side by side" not in printed(plans)[0]


def test_what_comes_from_stock_has_its_tag_and_a_sign_of_its_own() -> None:
    piece = {"tag": "R-1", "kind": "remnant", "style": "Velder Loop", "colour": "Oatmeal", "width": 2.2, "length": 1.6, "pile": 0}
    stock = read_stock({"unit": "m", "styles": [{"name": "Velder Loop"}], "pieces": [piece]})
    closet = {"name": "Closet", "width": 2, "length": 1.5, "hidden": True}
    told, _ = printed(plans_of(HOUSE | {"rooms": [closet], "carpets": []}, stock, tries=20))
    assert "cut from stock" in told and "Closet, R-1" in told


@pytest.mark.parametrize("seed", range(5))
def test_every_cut_stands_on_the_sheet_whatever_the_house(seed: int) -> None:
    """By its number: once on the drawing and once in the list, or it is told where to look. No room stands on another."""
    chance = random.Random(seed)
    sizes = [(chance.randint(9, 90) / 10, chance.randint(9, 90) / 10) for _ in range(2 * seed + 1)]
    rooms = [
        {"name": f"R{at}", "width": wide, "length": long, "carpet": chance.choice(["", "bedrooms"])}
        for at, (wide, long) in enumerate([(0.9, 0.9), *sizes])
    ]
    plans, size = plans_of(HOUSE | {"order": "Fen Row", "rooms": rooms, "least_fill": 0}), list(PageSize)[seed % 2]
    told, paper = printed(plans, size)
    assert any(paper == pytest.approx(each.value, abs=0.2) for each in LARGER[size])
    words = Counter(re.findall(r"\S+", told.replace(FOOT, "")))
    for part in plans:
        for name, number in part.plan.cut_numbers.items():
            assert words[str(number)] >= 2 or f"{number}" in told.partition("There is no room here for")[2], (name, told)
    places = room_places(plans)
    boxes = [
        tuple(side + places[room.name][at % 2] for at, side in enumerate(room.outline.bounds))
        for part in plans
        for room in part.asked.rooms
    ]
    for index, one in enumerate(boxes):
        for other in boxes[:index]:
            apart = max(other[0] - one[2], one[0] - other[2], other[1] - one[3], one[1] - other[3])
            assert apart >= APART_MM - TOLERANCE_MM
