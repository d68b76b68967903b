"""Whatever an order was saved from, table, drawing, file with options: its rooms come back as they were read."""

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.actions import open_catalogue
from remnants.actions.keep_safe import verify
from remnants.actions.kept_orders import save_order
from remnants.exchange.house import HouseAsked, read_house
from remnants.exchange.rooms_kept import with_roll, without_drawing, without_words, words_of
from remnants.model.order_kept import CarpetKept, OrderKept, RoomKept
from tests.commands import Remnants
from tests.stock_values import SIGNED
from tests.test_cli_order import HEARTH, SQUARE, draw
from tests.test_house import HOUSE

TABLE = "Room,Width (m),Length (m),Carpet\nDen,3,2.5,Velder Loop\nNook,2,2,Velder Loop\n"
QUICK = ("--no-stock", "--tries", "5", "--unit", "m")


def again(remnants: Remnants, number: int) -> HouseAsked:
    """The rooms of a saved order as they are written for its next revision."""
    out = remnants.folder / "again.json"
    assert f"--revises {number}" in remnants.ok("orders", str(number), "--rooms", str(out))
    return read_house(out)


def test_an_order_saved_from_a_table_is_opened_changed_and_revised(remnants: Remnants) -> None:
    table = remnants.folder / "rooms.csv"
    table.write_text(TABLE)
    remnants.ok("order", str(table), "--roll-width", "4", *QUICK, "--save")
    (kept,) = again(remnants, 1).carpets
    assert [(room.name, room.outline.bounds) for room in kept.asked.floors.rooms] == [
        ("Den", (0, 0, 3000, 2500)),
        ("Nook", (0, 0, 2000, 2000)),
    ]
    assert [roll.width_mm for roll in kept.asked.rolls] == [4000] and kept.asked.floors.wanted.style == "Velder Loop"
    out = remnants.folder / "again.json"
    changed = json.loads(out.read_text())
    changed["rooms"][0]["length"] = "3 m"
    out.write_text(json.dumps(changed))
    remnants.ok("order", str(out), *QUICK, "--revises", "1")
    assert "Den 3.000 m x 3.000 m, before 3.000 m x 2.500 m" in remnants.ok("orders", "1", "--unit", "m")
    earlier = remnants.folder / "earlier.json"
    remnants.ok("orders", "1", "--rooms", str(earlier), "--revision", "1")
    assert read_house(earlier).carpets[0].asked.floors.rooms[0].outline.bounds == (0, 0, 3000, 2500)


def test_one_saved_from_a_drawing_needs_the_drawing_no_more(remnants: Remnants) -> None:
    """Alone, and beside a rooms file that names its layers: a room of 3 x 4 m with a hearth."""
    drawing = draw(remnants.folder / "plan.dxf", ("LOUNGE", SQUARE), ("LOUNGE", HEARTH))
    file = {"unit": "m", "drawing": "plan.dxf", "roll": {"width": 4}, "rooms": [{"layer": "LOUNGE"}]}
    wanted = read_house(remnants.file("rooms.json", file))
    remnants.ok("order", remnants.file("rooms.json", file), *QUICK, "--save")
    remnants.ok("order", str(drawing), "--roll-width", "4 m", *QUICK, "--save")
    drawing.unlink()
    first = again(remnants, 1)
    assert first == wanted
    assert [room.outline for room in again(remnants, 2).carpets[0].asked.floors.rooms]


def test_what_cannot_be_opened_says_so(remnants: Remnants) -> None:
    remnants.ok("order", remnants.file("rooms.json", HOUSE), *QUICK, "--save")
    assert "order 1 has no revision 3, it has 1" in remnants.refused("orders", "1", "--rooms", "x", "--revision", "3", code=2)
    assert "--rooms: say of which order" in remnants.refused("orders", "--rooms", "x", code=2)
    assert "--rooms FILE" in remnants.refused("orders", "1", "--revision", "1", code=2)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--roll-width", "3.66 m"), {"width": "3660.0 mm"}),
        (("--roll-length", "20"), {"length": "20000.0 mm"}),
        (("--compare",), {"widths": ["12 ft", "13' 6\"", "15 ft", "3.66 m", "4 m", "5 m"]}),
    ],
)
def test_what_options_say_of_the_roll_is_kept_with_it(remnants: Remnants, options: tuple[str, ...], said: dict[str, Any]) -> None:
    den: dict[str, Any] = {"unit": "m", "roll": {"width": 4}, "rooms": [{"name": "Den", "width": 3, "length": 2}]}
    remnants.ok("order", remnants.file("rooms.json", den), *options, *QUICK, "--save")
    assert again(remnants, 1) == read_house(with_roll(den, said))
    widths = {"width": [3660], "length": [4000], "widths": [4000, 3657.6, 4114.8, 4572, 3660, 5000]}[next(iter(said))]
    assert [roll.width_mm for roll in again(remnants, 1).carpets[0].asked.rolls] == pytest.approx(widths)


NAMES = st.sampled_from(["Quillon Farrow", "quillon  FARROW", "Den", "Farrow", "Hall of Quillon Farrow", "12 ft", "Velder Loop"])


@settings(max_examples=60)
@given(NAMES, NAMES, NAMES, st.dictionaries(NAMES, NAMES, max_size=2))
def test_words_of_somebody_are_in_no_text_of_a_rooms_file_and_its_figures_stay(
    order: str, room: str, to: str, more: dict[str, str]
) -> None:
    door = {"edge": 0, "from": 1, "width": 2, "to": to}
    file: dict[str, Any] = {
        "unit": "ft",
        "order": order,
        "style": "Velder Loop",
        "note": more,
        "roll": {"width": "12 ft"},
        "rooms": [{"name": room, "width": "12 ft", "length": 3, "doorways": [door]}],
    }
    for texts in (("Quillon Farrow", ""), ("12", "Quillon Farrow"), ("Velder Loop",)):
        words = words_of(texts)
        assert words is not None
        made = json.loads(without_words(json.dumps(file), words, "erased-1", named=False))
        left = [made["order"], made["rooms"][0]["name"], made["rooms"][0]["doorways"][0]["to"], json.dumps(made["note"])]
        assert not any(words.search(text) for text in left)
        assert made["rooms"][0]["width"] == made["roll"]["width"] == "12 ft" and made["style"] == "Velder Loop"
        assert without_words(json.dumps(made), words, "erased-1", named=False) == json.dumps(made)


def test_a_file_without_a_drawing_stays_as_it_is() -> None:
    assert without_drawing(HOUSE, Path()) == HOUSE
    assert words_of(("", "  ")) is None


def test_verify_finds_orders_that_can_no_longer_be_told_or_opened(tmp_path: Path) -> None:
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        for width in (2000.0, 2500.0, 3000.0):
            kept = OrderKept("Fen Row 4", (RoomKept("den", "", width, 2000.0),), (CarpetKept("", 4000.0, 2000.0, 0),))
            save_order(catalogue, kept, revises=1 if width > 2000 else None, asked="{}", signed=SIGNED)
        assert verify(catalogue).faults == ()
        for number, (sql, told) in enumerate(
            (
                ("UPDATE kept_order SET asked = '[1]' WHERE revision = 3", "order 1, revision 3: its rooms file is none"),
                ("UPDATE kept_order SET kept = '{}' WHERE revision = 1", "order 1, revision 1: what is kept of it can't be read"),
                ("DELETE FROM kept_order WHERE revision = 2", "order 1: revision 2 is missing before revision 3"),
            ),
            start=1,
        ):
            catalogue.execute(sql)
            found = [str(fault) for fault in verify(catalogue).faults]
            assert told in found and len(found) == number
