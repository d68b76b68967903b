"""`remnants promised`: what a saved order leaves is seen and can't be cut; received it is an offcut, called off it is nothing."""

import json
import random
from typing import Any

import pytest

from remnants.actions import open_catalogue
from remnants.actions.kept_orders import save_order
from remnants.actions.promised import Corrected, call_off, promise, receive
from remnants.actions.promised_seen import PromiseState, promises, promises_of
from remnants.errors import NotAllowed
from remnants.geometry import Outline
from remnants.model.order_kept import CarpetKept, LeftoverKept, OrderKept, RoomKept
from tests.commands import Remnants
from tests.stock_values import SIGNED
from tests.test_cli_orders import QUICK
from tests.test_house import HOUSE

NARROW: dict[str, Any] = HOUSE | {
    "carpets": [],
    "lot": "77",
    "rooms": [{"name": "Hall", "width": 2.5, "length": 6, "pile": 0}],
}
"""A hall of 2.5 x 6 m off 4 m goods: 1.5 x 6 m is left."""


@pytest.fixture
def saved(remnants: Remnants) -> Remnants:
    """With the order of the hall saved, and what it leaves promised."""
    remnants.ok("order", remnants.file("rooms.json", NARROW), *QUICK, "--save")
    told = " ".join(remnants.ok("promised", "--of", "1", "--unit", "m").split())
    assert "1 1 Velder Loop, Oatmeal, lot 77 1.500 m x 6.000 m" in told
    return remnants


def test_what_is_promised_is_seen_and_gives_nothing(saved: Remnants) -> None:
    told = saved.ok("find", "velder", "oatmeal", "--unit", "m")
    assert "nothing in the catalogue is like" in told and "Promised by orders, not to be cut yet:" in told
    closet = NARROW | {"rooms": [{"name": "Closet", "width": 1, "length": 1, "hidden": True}]}
    (way,) = json.loads(saved.ok("order", saved.file("closet.json", closet), "--tries", "20", "--json"))["ways"]
    assert way["rooms"][0]["cuts"][0]["source"] == "roll"


def test_what_was_received_by_mistake_is_promised_again_once_that_is_taken_back(saved: Remnants) -> None:
    saved.ok("promised", "--receive", "1", "--by", "Wim")
    saved.ok("undo", "O-0001", "--by", "Wim")
    assert "1.500 m x 6.000 m" in saved.ok("promised", "--unit", "m")
    assert "1.500 m x 6.000 m" in saved.ok("promised", "--of", "1", "--unit", "m"), "the roll isn't cut yet"
    tag = saved.ok("promised", "--receive", "1", "--place", "Bay 3", "--by", "Wim").split()[-1].rstrip(".")
    assert "Bay 3" in saved.ok("show", tag) and "nothing is promised" in saved.ok("promised")
    assert saved("verify").code == 0


def test_a_revision_of_what_was_cut_says_that_it_orders_all_once_more(saved: Remnants) -> None:
    saved.ok("promised", "--receive", "1", "--by", "Wim")
    wider = NARROW | {"rooms": [{"name": "Hall", "width": 2.6, "length": 6, "pile": 0}]}
    done = saved("order", saved.file("wider.json", wider), *QUICK, "--revises", "1")
    told = "note: Order 1 was cut by revision 1, as O-0001 came in from it; revision 2 orders all of it once more."
    assert done.code == 0 and told in done.err
    saved.ok("undo", "O-0001")
    assert "note" not in saved("order", saved.file("wider.json", wider), *QUICK, "--revises", "1").err


def test_it_is_received_as_it_was_measured_and_gives_carpet_then(saved: Remnants) -> None:
    told = saved.ok("promised", "--receive", "1", "--width", "1.45 m", "--place", "Bay 3", "--by", "Wim")
    assert told == "Received as O-0001.\n"
    found = json.loads(saved.ok("find", "O-0001", "--json"))["pieces"][0]
    assert (found["kind"], found["style"], found["lot"], found["place"]) == ("offcut", "Velder Loop", "77", "Bay 3")
    assert (found["width"], found["length"]) == pytest.approx((1450 / 25.4, 6000 / 25.4), abs=0.01)
    assert "left of order 1" in saved.ok("history", "O-0001")
    closet = NARROW | {"rooms": [{"name": "Closet", "width": 1, "length": 1, "hidden": True}]}
    (way,) = json.loads(saved.ok("order", saved.file("closet.json", closet), "--tries", "20", "--json"))["ways"]
    assert way["rooms"][0]["cuts"][0]["source"] == "O-0001"
    assert "nothing is promised" in saved.ok("promised")
    again = saved.refused("promised", "--receive", "1", code=1)
    assert "leftover 1 was received as O-0001 already" in again
    assert "order 1 was cut, as O-0001 came in from it" in saved.refused("promised", "--of", "1", code=1)


def test_an_order_that_is_off_promises_nothing_any_more(saved: Remnants) -> None:
    assert "Order 1: 1 promised leftover called off." in saved.ok("promised", "--call-off", "1")
    assert "nothing is promised" in saved.ok("promised")
    assert "leftover 1 was called off already" in saved.refused("promised", "--receive", "1", code=1)
    assert "Promised" not in saved.ok("find", "velder")
    assert "2 " in saved.ok("promised", "--of", "1")  # it is on again


def test_a_later_revision_takes_the_place_of_what_an_earlier_one_promised(saved: Remnants) -> None:
    wider = NARROW | {"rooms": [NARROW["rooms"][0] | {"width": 2}]}
    saved.ok("order", saved.file("rooms.json", wider), *QUICK, "--revises", "1")
    assert "2.000 m x 6.000 m" in saved.ok("promised", "--of", "1", "--unit", "m")
    assert saved.ok("promised", "--unit", "m").count("Velder Loop") == 1


def test_what_cannot_be_promised_is_told(remnants: Remnants) -> None:
    full = NARROW | {"rooms": [NARROW["rooms"][0] | {"width": 4}]}
    remnants.ok("order", remnants.file("full.json", full), *QUICK, "--save")
    assert "order 1 leaves nothing of its rolls" in remnants.refused("promised", "--of", "1", code=1)
    bare = {key: value for key, value in NARROW.items() if key not in ("style", "colour", "lot")}
    remnants.ok("order", remnants.file("bare.json", bare), *QUICK, "--save")
    assert "doesn't say which carpet it is in" in remnants.refused("promised", "--of", "2", code=1)
    assert "there is no order 9" in remnants.refused("promised", "--of", "9", code=1)
    assert "no leftover is promised under number 5" in remnants.refused("promised", "--receive", "5", code=1)
    assert "there is no order 999" in remnants.refused("promised", "--call-off", "9" * 30, code=1)
    assert "--width: " in remnants.refused("promised", "--receive", "5", "--width", "-1 m", code=2)


def an_order(wide: float) -> OrderKept:
    ring = ((0.0, 0.0), (wide, 0.0), (wide, 900.0), (0.0, 900.0))
    left = LeftoverKept("Velder Loop", "", "", Outline(ring), (wide, 900.0))
    return OrderKept("Fen Row", (RoomKept("Hall", "", 1.0, wide),), (CarpetKept("", 4000.0, 900.0, 0),), (left, left))


def test_whatever_is_done_in_any_order_each_promise_ends_once_and_each_received_one_has_its_piece(remnants: Remnants) -> None:
    chance = random.Random(11)
    with open_catalogue(remnants.catalogue, write=True) as catalogue:
        for number in (1, 2):
            save_order(catalogue, an_order(500.0 + number), signed=SIGNED)
        tags: list[str] = []
        for step in range(60):
            order = chance.randint(1, 2)
            try:
                match chance.randint(0, 3):
                    case 0:
                        promise(catalogue, order, signed=SIGNED)
                    case 1:
                        call_off(catalogue, order, signed=SIGNED)
                    case 2 if waiting := promises(catalogue):
                        tags.append(
                            receive(catalogue, chance.choice(waiting).number, found=Corrected(width_mm=400.0), signed=SIGNED)
                        )
                    case _:
                        save_order(catalogue, an_order(600.0 + step), revises=order, signed=SIGNED)
            except NotAllowed as error:
                assert "was cut" in str(error)
            every = [*promises_of(catalogue, 1), *promises_of(catalogue, 2)]
            assert len({each.number for each in every}) == len(every)
            assert sorted(each.tag for each in every if each.state is PromiseState.RECEIVED) == sorted(tags)
            for one in (1, 2):
                assert len({each.revision for each in promises_of(catalogue, one) if each.state is PromiseState.PROMISED}) <= 1
