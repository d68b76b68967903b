"""`remnants log`: pieces in, all of them or none."""

import json
from pathlib import Path

from tests.commands import Remnants

STOCK = {
    "unit": "in",
    "styles": [{"name": "Plain"}],
    "pieces": [
        {"tag": f"S-{n}", "kind": "remnant", "style": "Plain", "width": 30, "length": 40 + n, "pile": 0} for n in range(3)
    ],
}


def test_a_piece_told_by_options_gets_the_next_free_tag(remnants: Remnants) -> None:
    options = ("log", "--style", "Velder Loop", "--width", "40", "--length", "5' 6\"")
    assert remnants.ok(*options) == "logged 1 piece: R-0001\n"
    assert remnants.ok(*options, "--kind", "laid") == "logged 1 piece: L-0001\n"
    remnants.ok(*options, "--tag", "R-0141")
    assert remnants.ok(*options) == "logged 1 piece: R-0142\n"
    assert "40 in × 66 in" in remnants.ok("show", "R-0142")


def test_a_pile_that_is_not_told_is_never_taken_in_silence(remnants: Remnants) -> None:
    options = ("log", "--style", "Velder Loop", "--width", "40", "--length", "66")
    told = "no pile is told: it is taken to lay up the length (0 degrees)"
    assert f"--pile: {told}; where it lays otherwise: `remnants correct R-0001 --pile`" in remnants(*options).err
    assert "pile" not in remnants(*options, "--pile", "90").err
    rows = "Style,Width,Length,Pile\nVelder Loop,4,5,0\nVelder Loop,4,5,\n"
    assert f"pile: row 3: {told}" in remnants("log", remnants.file("racks.csv", rows)).err
    rows = "Style,Width,Length\n" + "Velder Loop,4,5\n" * 5
    assert f"pile: rows 2, 3, 4 and 2 more: {told}" in remnants("log", remnants.file("more.csv", rows)).err


def test_a_tag_that_differs_only_in_letter_case_is_taken(remnants: Remnants) -> None:
    remnants.log("--tag", "r-0007")
    told = "the catalogue has a piece 'r-0007' already (Velder Loop, in stock); take another tag"
    size = ("--style", "Velder Loop", "--width", "4", "--length", "5")
    assert remnants.refused("log", "--tag", "R-0007", *size, code=2) == f"remnants: --tag: {told}\n"
    sheet = remnants.file("racks.csv", "Tag,Style,Width,Length\nR-0007,Velder Loop,4,5\n")
    assert remnants.refused("log", sheet, code=2).splitlines()[-1] == f"remnants: row 2: {told}"
    assert remnants.ok("log", *size) == "logged 1 piece: R-0008\n"
    sheet = remnants.file("racks.csv", "Tag,Style,Width,Length\n,Velder Loop,4,5\nr-0009,Velder Loop,4,5\n")
    assert remnants.ok("log", sheet) == "logged 2 pieces: R-0010, r-0009\n"
    remnants.ok("undo", "R-0008")
    assert "'R-0008' already (Velder Loop, withdrawn" in remnants.refused("log", "--tag", "r-0008", *size, code=2)
    assert remnants.ok("log", "--tag", "R-0008", *size) == "logged 1 piece: R-0008\n"


def test_a_character_that_nobody_sees_is_refused_wherever_a_name_is_typed(remnants: Remnants) -> None:
    """A right-to-left override makes 1-R of R-1 on every label."""
    remnants.log("--tag", "R-1")
    told = "holds a character that nobody sees (U+202E, right-to-left override): take it out, or type the text anew"
    size = ("--style", "Velder Loop", "--width", "4", "--length", "5")
    assert remnants.refused("log", "--tag", "\u202eR-2", *size, code=2) == f"remnants: --tag: {told}\n"
    assert remnants.refused("move", "R-1", "Bay \u202e4", code=2) == f"remnants: place: {told}\n"
    assert remnants.refused("move", "R-1", "Bay 4", "--by", "\u202eAna", code=2) == f"remnants: --by: {told}\n"
    assert remnants.refused("customer", "F-1", "--name", "\u202eAlder", code=2) == f"remnants: name: {told}\n"


def test_bare_figures_are_in_the_unit_named(remnants: Remnants) -> None:
    remnants.ok("log", "--style", "Plain", "--width", "40", "--length", "66", "--unit", "cm")
    assert "400 mm × 660 mm" in remnants.ok("show", "R-0001", "--unit", "mm")


def test_odd_shapes_can_be_told(remnants: Remnants) -> None:
    corners = ("0,0", "40,0", "40,20", "20,20", "20,60", "0,60")
    remnants.ok("log", "--tag", "L", "--style", "P", "--outline", *corners, "--pile", "90", "--motif", "1,2", "--worn", "2")
    remnants.ok("log", "--tag", "O", "--style", "P", "--radius", "12")
    (piece,) = json.loads(remnants.ok("show", "L", "--json"))["pieces"]
    assert (piece["outline"][2], piece["pile"], piece["motif"], piece["worn"]) == ([40, 20], 90, [1, 2], 2)
    (circle,) = json.loads(remnants.ok("show", "O", "--json"))["pieces"]
    assert len(circle["outline"]) > 16
    assert all((x - 12) ** 2 + (y - 12) ** 2 < 12.001**2 for x, y in circle["outline"])


def test_a_stock_file_is_logged_whole(remnants: Remnants) -> None:
    stock = remnants.file("stock.json", STOCK)
    assert remnants.ok("log", stock) == "logged 3 pieces: S-0, S-1, S-2\n"
    told = remnants.refused("log", stock, code=2)
    assert told.splitlines()[0] == "remnants: 3 faults; nothing was changed"
    assert "pieces[2].tag: the catalogue has a piece 'S-2' already" in told


def test_one_bad_piece_keeps_them_all_out(remnants: Remnants) -> None:
    bad = STOCK | {
        "pieces": [*STOCK["pieces"], {"tag": "S-9", "kind": "rug", "style": "Plain", "width": 0, "length": 1, "pile": 0}],
    }
    told = remnants.refused("log", remnants.file("stock.json", bad), code=2)
    assert "pieces[3].kind" in told
    assert "pieces[3].width" in told
    assert not remnants.catalogue.exists(), "a refused first file leaves no empty catalogue behind"
    remnants.log("--tag", "A-1")
    remnants.refused("log", remnants.folder / "stock.json", code=2)
    remnants.refused("show", "S-0", code=1)


def test_faults_of_options_name_the_options(remnants: Remnants) -> None:
    told = remnants.refused("log", "--style", " ", "--width", "-3", "--length", "wide", code=2)
    assert {line.split(":")[0].strip() for line in told.splitlines()[1:]} == {"--style", "--width", "--length"}
    told = remnants.refused(
        "log", "--style", "P", "--width", "4", "--length", "4", "--pile", "north", "--worn", "9", "--kind", "rug", code=2
    )
    assert {line.split(":")[0].strip() for line in told.splitlines()[1:]} == {"--pile", "--worn", "--kind"}
    assert "remnants: --kind: 'rug' is none of" in remnants.refused("log", "--ask", "--kind", "rug", code=2)
    assert "--outline" in remnants.refused("log", "--style", "P", "--outline", "0,0", "9,9", "9,0", "0,9", code=2)
    assert "'7' is no point" in remnants.refused("log", "--style", "P", "--outline", "7", code=2)


def test_a_style_nobody_described_is_told(remnants: Remnants) -> None:
    done = remnants("log", "--style", "Velder", "--width", "40", "--length", "60")
    assert "'Velder' is not described" in done.err
    assert "not described" not in remnants("log", "--style", "Velder", "--width", "40", "--length", "60").err


def test_a_floor_that_is_measured_again_is_the_same_piece(remnants: Remnants) -> None:
    closet = ("--kind", "laid", "--place", "Alder Court 7, hall", "--room", "closet")
    remnants.log(*closet, "--lot", "4471-B", "--tag", "L-7")
    options = ("log", "--style", "velder loop", "--width", "41", "--length", "60", *closet[:3], "alder court  7", *closet[4:])
    assert remnants.ok(*options) == "L-7 is the carpet of that floor already: told anew, not logged again\n"
    shown = remnants.ok("show", "L-7", "--json")
    assert '"width": 41' in shown and '"lot": "4471-B"' in shown
    assert "corrected" in remnants.ok("history", "L-7")
    before = remnants.ok("history", "L-7")
    remnants.ok(*options)
    assert remnants.ok("history", "L-7") == before, "measured the same, nothing is to be written"
    for other in (("--room", "den"), ("--style", "Harrow Twist"), ("--place", "Alder Court 8")):
        words = dict(zip(options[1::2], options[2::2], strict=True)) | dict([other])
        assert remnants.ok("log", *(word for pair in words.items() for word in pair)).startswith("logged 1 piece: L-")


def test_a_width_below_nothing_is_told_at_its_option_as_it_was_typed(remnants: Remnants) -> None:
    told = remnants.refused("log", "--style", "Velder Loop", "--width", "-4", "--length", "60", code=2)
    assert told == "remnants: --width: '-4' is no size: give a length above zero\n"


def test_a_floor_that_is_logged_under_a_second_tag_is_pointed_at(remnants: Remnants) -> None:
    closet = ("--kind", "laid", "--place", "Alder Court 7, closet")
    remnants.log("--tag", "L-1", *closet)
    told = remnants("log", "--style", "Velder Loop", "--width", "40", "--length", "50", "--tag", "L-2", *closet)
    assert told.code == 0 and "L-1 lies on that floor already (Alder Court 7, closet)" in told.err
    assert "`remnants undo L-2`" in told.err
    assert "on that floor" not in remnants("log", "--style", "Velder Loop", "--width", "9", "--length", "9", "--tag", "R-1").err


def test_floors_logged_together_are_told_once_each_beside_those_before(remnants: Remnants, tmp_path: Path) -> None:
    floor = {"kind": "laid", "style": "Velder Loop", "place": "Alder Court 7, closet", "width": 40, "length": 60, "pile": 0}
    pieces = [{"tag": tag, **floor} for tag in ("L-3", "L-1", "L-2")]
    file = tmp_path / "floors.json"
    file.write_text(json.dumps({"unit": "in", "styles": [{"name": "Velder Loop", "construction": "loop"}], "pieces": pieces}))
    told = [line for line in remnants("log", str(file)).err.splitlines() if "on that floor" in line]
    assert [line.partition(" on that floor")[0].removeprefix("note: ") for line in told] == [
        "L-1: L-3 lies",
        "L-2: L-1 and L-3 lie",
    ]
