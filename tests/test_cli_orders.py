"""`remnants orders`: an order is saved under a number, each later one a revision, and what changed is told in words."""

import json
import random
from typing import Any

from remnants.exchange.order_kept import kept_json, kept_of
from remnants.geometry import Outline
from remnants.model.money import Money
from remnants.model.order_kept import CarpetKept, LeftoverKept, OrderKept, RoomKept
from remnants.report.orders_text import compared
from remnants.units import Unit
from tests.commands import Remnants
from tests.test_cli_papers import text_of
from tests.test_house import HOUSE, PRICES

QUICK = ("--no-stock", "--tries", "20", "--unit", "m")


def saving(remnants: Remnants, file: dict[str, Any], *more: str) -> str:
    return remnants.ok("order", remnants.file("rooms.json", file), *QUICK, "--by", "Maud", *more)


def longer(**room: Any) -> dict[str, Any]:
    """The house with a hall that is otherwise."""
    return HOUSE | {"rooms": [HOUSE["rooms"][0] | room, HOUSE["rooms"][1]]}


def test_an_order_is_saved_revised_and_compared_in_words(remnants: Remnants) -> None:
    """A hall of 4 x 6 m, then of 4 x 7 m with a study of 4 x 2 m: 6 and 9 m of 4 m goods at 20.00, beside 15 m² at 30.00."""
    assert "Saved: Order 1, revision 1." in saving(remnants, HOUSE, "--save")
    study = {"name": "Study", "width": 4, "length": 2, "pile": 0}
    later = longer(length=7) | {"rooms": [*longer(length=7)["rooms"], study]}
    assert "Saved: Order 1, revision 2." in saving(remnants, later, "--revises", "1", "--why", "study too")
    told = remnants.ok("orders", "1", "--unit", "m")
    for words in (
        "Order 1, revision 2: Fen Row 4. Velder Loop, Oatmeal: 9.000 m of roll 4.000 m wide;",
        "Saved by Maud on",
        "study too.",
        "Against revision 1: Study added, 4.000 m x 2.000 m; Hall 4.000 m x 7.000 m, before 4.000 m x 6.000 m; ",
        "Velder Loop, Oatmeal: 9.000 m of roll 4.000 m wide, before 6.000 m of roll 4.000 m wide",
        "carpet 1,170.00 EUR, before 930.00 EUR.",
        "Order 1, revision 1: Fen Row 4.",
    ):
        assert words in told
    back = remnants.ok("orders", "1", "--between", "2", "1", "--unit", "m")
    assert "Against revision 2: Study taken out; Hall 4.000 m x 6.000 m, before 4.000 m x 7.000 m" in back
    assert remnants.ok("orders", "--unit", "m").count("Order 1, revision 2") == 1


def test_what_orders_the_same_is_the_same_revision(remnants: Remnants) -> None:
    saving(remnants, HOUSE, "--save")
    assert "Saved: Order 1, revision 1." in saving(remnants, HOUSE, "--revises", "1")
    answer = json.loads(saving(remnants, longer(length=7), "--revises", "1", "--json"))
    assert answer["saved"] == {"order": 1, "revision": 2}
    assert "Saved: Order 2, revision 1." in saving(remnants, HOUSE, "--save")


def test_papers_name_their_revision_and_the_quote_is_kept_with_it(remnants: Remnants) -> None:
    rooms, prices = remnants.file("rooms.json", HOUSE), remnants.file("prices.json", PRICES)
    words = ("papers", rooms, *QUICK, "-o", remnants.folder / "papers", "--prices", prices)
    assert "order 1, revision 1: order.pdf" in remnants.ok(*words, "--save")
    for name in ("quote", "order", "ticket", "floors", "house"):
        assert "Order 1, revision 1" in text_of(remnants.folder / "papers" / f"{name}.pdf")
    dearer = PRICES | {"tax_percent": 10}
    remnants.file("prices.json", dearer)
    assert "order 1, revision 2" in remnants.ok(*words, "--revises", "1")
    assert "quoted 1,376.65 EUR, before 1,251.50 EUR." in remnants.ok("orders", "1", "--unit", "m")
    remnants.ok("papers", rooms, *QUICK, "-o", remnants.folder / "plain")
    assert "revision" not in text_of(remnants.folder / "plain" / "order.pdf")


def test_what_cannot_be_is_refused_in_words(remnants: Remnants) -> None:
    saving(remnants, HOUSE, "--save")
    rooms = remnants.file("rooms.json", HOUSE)
    assert "there is no order 7; `remnants orders`" in remnants.refused("orders", "7", code=1)
    assert "order 1 has no revision 3, it has 1" in remnants.refused("orders", "1", "--between", "1", "3", code=2)
    assert "--between: say of which order" in remnants.refused("orders", "--between", "1", "2", code=2)
    done = remnants("order", rooms, *QUICK, "--revises", "9")
    assert done.code == 1 and "there is no order 9" in done.err
    both = remnants("order", rooms, *QUICK, "--revises", "1", "--save")
    assert both.code == 2 and "give one of the two" in both.err


def test_without_any_order_that_is_said(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    assert "no order is saved yet" in remnants.ok("orders")


def an_order(chance: random.Random) -> OrderKept:
    names = chance.sample(["Hall", "Den", "Loft", "Bed"], chance.randint(1, 4))
    rooms = tuple(RoomKept(name, "", chance.randint(1, 9) * 500.0, chance.randint(1, 9) * 500.0) for name in names)
    carpets = (CarpetKept("", 4000.0, chance.randint(1, 9) * 500.0, chance.randint(0, 4), (Money(chance.randint(0, 9), "EUR"),)),)
    ring = ((0.0, 0.0), (500.0, 0.0), (500.0, chance.randint(1, 9) * 100.0), (0.0, 700.0))
    left = (LeftoverKept("Velder Loop", "", "7", Outline(ring), (500.0, 100.0)),) * chance.randint(0, 2)
    return OrderKept("Fen Row", rooms, carpets, left, chance.choice([None, Money(chance.randint(1, 9), "EUR")]))


def test_nothing_is_said_of_two_that_are_alike_and_something_of_any_two_that_are_not() -> None:
    """What is kept comes back as it was; the same is told of the same, and the rooms that come go when looked at backwards."""
    chance = random.Random(3)
    for _ in range(150):
        one, other = an_order(chance), an_order(chance)
        assert kept_of(json.loads(json.dumps(kept_json(one)))) == one
        assert compared(one, one, Unit.M) == [] and one.is_as(one)
        if not one.is_as(other) and [room.name for room in one.rooms] == [room.name for room in other.rooms]:
            assert compared(one, other, Unit.M)
        forth, back = compared(one, other, Unit.M), compared(other, one, Unit.M)
        came = {words.partition(" added")[0] for words in forth if " added, " in words}
        assert came == {words.removesuffix(" taken out") for words in back if words.endswith(" taken out")}
