"""Rooms as lines of a spreadsheet: every row is a room, or several alike; what can't be used is told by row and column."""

from pathlib import Path

import pytest
from openpyxl import Workbook

from remnants.errors import BadFile
from remnants.exchange.house import read_house
from remnants.exchange.room_lines import file_of_lines, lines_file
from remnants.limits import ROOMS
from remnants.units import Unit
from tests.commands import Remnants

SHEET = """Room,Width (ft),Length (ft),Qty,Carpet,Colour,Dye lot
Lounge,14' 6",16,,Velder Loop,Oatmeal,4471-B
Bedroom,11,12' 3",3,Velder Loop,Oatmeal,4471-B
Hall,4,15,1,,,
"""


def read(text: str, unit: Unit = Unit.MM, carpet: str = "") -> dict[str, tuple[str, str]]:
    told, _ = lines_file(text.encode(), "rooms.csv", unit, carpet=carpet)
    return {room["name"]: (room["width"], room["length"]) for room in told["rooms"]}


def refused(text: str, carpet: str = "") -> str:
    with pytest.raises(BadFile) as told:
        read(text, carpet=carpet)
    return str(told.value)


def test_a_row_is_a_room_or_several_alike_in_the_unit_of_its_heading(tmp_path: Path) -> None:
    path = tmp_path / "alder.csv"
    path.write_text(SHEET, encoding="utf-8")
    (only,) = read_house(file_of_lines(path, Unit.FT)).carpets
    asked = only.asked
    sizes = {room.name: room.outline.bounds[2:] for room in asked.floors.rooms}
    assert list(sizes) == ["Lounge", "Bedroom 1", "Bedroom 2", "Bedroom 3", "Hall"]
    assert sizes["Lounge"] == pytest.approx((14.5 * 304.8, 16 * 304.8))
    assert sizes["Bedroom 2"] == pytest.approx((11 * 304.8, 12.25 * 304.8))
    assert (asked.floors.name, asked.floors.wanted.style, asked.floors.wanted.lot) == ("alder", "Velder Loop", "4471-B")


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("name;across;up\nDen;3,5 m;4 m\n", ("3,5 m", "4 m")),
        ("room\tsize\nDen\t3.5 m x 4 m\n", ("3.5 m", "4 m")),
        ("Name,W x L\nDen,3500 by 4000\n", ("3500 mm", "4000 mm")),
        ("sep=;\nname;width (m);length (m)\nDen;3.5;4\n", ("3.5 m", "4 m")),
    ],
)
def test_sizes_are_read_as_people_write_them(text: str, size: tuple[str, str]) -> None:
    assert read(text) == {"Den": size}


def test_a_workbook_is_read_too(remnants: Remnants) -> None:
    book = Workbook()
    for row in (["Room", "Width (m)", "Length (m)"], ["Den", 3.5, 4], ["Nook", 2, 1.5]):
        book.active.append(row)
    path = remnants.folder / "rooms.xlsx"
    book.save(path)
    (only,) = read_house(file_of_lines(path, Unit.MM)).carpets
    assert [room.name for room in only.asked.floors.rooms] == ["Den", "Nook"]


def test_every_cell_that_cannot_be_used_is_told_by_row_and_column_at_once() -> None:
    told = refused(
        "Room,Across,Up,Count,Pile\nLounge,wide,5000,1,0\nHall,1200,,1,0\nDen,3000,-4,1,0\nNook,2000,2000,0,0\n,2000,2000,2,up\n"
    )
    for words in (
        "rooms.csv: row 2, column \"Across\": Lounge: 'wide'",
        'row 3, column "Up": this cell is empty',
        "row 4, column \"Up\": Den: '-4 mm' is no size",
        "row 5, column \"Count\": '0' is no count of rooms: give a whole number from 1",
        'row 6, column "Pile": row 6 1:',
    ):
        assert words in told
    assert told.index("row 2") < told.index("row 3") < told.index("row 4") < told.index("row 5") < told.index("row 6")
    assert "row 2, column \"Size\": 'big' is no size: write width x length" in refused("Room,Size\nDen,big\n")


def test_two_rooms_of_one_name_are_told_with_their_row() -> None:
    assert 'row 3, column "Room": ' in refused("Room,Width,Length\nDen,3000,4000\nDen,2000,2000\n")


def test_what_is_no_table_of_rooms_says_what_is_missing() -> None:
    assert "no column tells how large the rooms are" in refused("Room,Colour\nDen,red\n")
    assert "no room is in it: give each a row below the headings" in refused("Room,Width,Length\n")
    assert "no column tells" in refused("")


def test_of_rooms_in_several_carpets_those_of_one_may_be_asked_for_alone() -> None:
    two = SHEET.replace("Bedroom,11,12' 3\",3,Velder Loop,Oatmeal,4471-B", "Bedroom,11,12' 3\",3,Arden Twist,Grey,")
    assert 'row 4, column "Carpet": say which carpet: the other rows name several' in refused(two)
    assert list(read(two, carpet="arden twist")) == ["Bedroom 1", "Bedroom 2", "Bedroom 3"]
    assert "no room is of a carpet 'Moss'" in refused(two, carpet="Moss")


def test_no_more_rooms_are_made_than_an_order_takes() -> None:
    assert f"at most {ROOMS:,} rooms in all" in refused(f"Room,Width,Length,Count\nDen,3000,4000,{ROOMS}\nNook,2000,2000,1\n")
    assert "is no count of rooms" in refused("Room,Width,Length,Count\nDen,3000,4000,99999999999\n")


def test_an_order_is_made_of_lines(remnants: Remnants) -> None:
    path = remnants.file("rooms.csv", "Room,Width (m),Length (m)\nDen,3.5,4\n")
    words = ("order", path, "--no-stock", "--tries", "1", "--unit", "m")
    assert "order" in remnants.ok(*words, "--roll-width", "4 m")
    assert "--roll-width: say how wide the roll is" in remnants.refused(*words, code=2)
