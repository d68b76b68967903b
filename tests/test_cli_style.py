"""`remnants style`: what a carpet is."""

import json

from tests.commands import Remnants


def test_a_style_is_described_bit_by_bit(remnants: Remnants) -> None:
    remnants.log("--style", "Velder Loop")
    remnants.ok("style", "Velder Loop", "--construction", "loop", "--roll-width", "12 ft", "--row", "1/4")
    remnants.ok("style", "Velder Loop", "--repeat", "12,18", "--drop", "0.5")
    told = remnants.ok("style", "Velder Loop")
    assert all(text in told for text in ("loop", "144 in", "12 in across × 18 in along, drop 0.5", "1/4 in")), told
    (style,) = json.loads(remnants.ok("show", "R-0001", "--json"))["styles"]
    assert style == {
        "name": "Velder Loop",
        "construction": "loop",
        "roll_width": 144,
        "repeat": {"across": 12, "along": 18, "drop": 0.5},
        "row": 0.25,
    }
    assert "Velder Loop" in remnants.ok("style")


def test_one_style_is_told_line_by_line_with_its_mass_and_heights(remnants: Remnants) -> None:
    remnants.log("--style", "Velder Loop")
    remnants.ok("style", "Velder Loop", "--mass", "2400", "--pile-height", "1/4", "--backing", "3 mm")
    told = remnants.ok("style", "Velder Loop")
    for line in ("style           Velder Loop", "mass            2400 g/m²", "pile height     1/4 in", "backing height  1/8 in"):
        assert line in told
    assert "colours" not in told
    card = remnants.ok("show", "R-0001")
    assert "2400 g/m²" in card
    assert "thickness" in card


def test_what_a_backing_is_made_of_is_told_by_option_and_file_and_told_again(remnants: Remnants) -> None:
    remnants.log("--style", "Velder Loop")
    remnants.ok("style", "Velder Loop", "--backing-material", "felt, glued on", "--mass", "2400")
    remnants.ok("style", "Velder Loop", "--row", "1/4")
    assert "backing       felt, glued on" in remnants.ok("style", "Velder Loop")
    assert "felt, glued on" in remnants.ok("show", "R-0001")
    told = json.loads(remnants.ok("show", "R-0001", "--json"))
    assert told["styles"][0]["backing_material"] == "felt, glued on"
    told["styles"][0]["backing_material"] = "woven jute"
    remnants.ok("log", remnants.file("more.json", told | {"pieces": []}))
    assert "backing       woven jute" in remnants.ok("style", "Velder Loop")
    assert "all is well" in remnants.ok("verify")


def test_what_is_told_wrongly_names_the_option(remnants: Remnants) -> None:
    assert "--roll-width: 'wide' is no length" in remnants.refused("style", "V", "--roll-width", "wide", code=2)
    assert "--repeat: '12' is no repeat: give ACROSS,ALONG" in remnants.refused("style", "V", "--repeat", "12", code=2)
    assert "(choose from 'cut', 'loop'" in remnants.refused("style", "V", "--construction", "wool", code=2)
    assert "--mass: 'heavy' is no number" in remnants.refused("style", "V", "--mass", "heavy", code=2)
    assert "--pile-height: '0' is no size: give a length above zero" in remnants.refused(
        "style", "V", "--pile-height", "0", code=2
    )
    assert "--drop: a drop goes with a repeat" in remnants.refused("style", "V", "--drop", "0.5", code=2)
    remnants.log()
    assert "no style is called 'V'" in remnants.refused("style", "V", code=1)
