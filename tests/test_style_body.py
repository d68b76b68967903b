"""Mass and thickness of a style: read, kept, written back, refused when they can't be."""

import json
from pathlib import Path

import pytest

from remnants.actions import open_catalogue
from remnants.actions.show_piece import show_piece
from remnants.errors import BadFile, BadInput
from remnants.exchange import read_stock, stock_json
from remnants.model import Style
from tests.commands import Remnants


def a_stock(**more: object) -> str:
    style = {"name": "Velder Loop", "construction": "loop"} | more
    piece = {"tag": "R-1", "kind": "remnant", "style": "Velder Loop", "pile": 0, "width": 40, "length": 60}
    return json.dumps({"unit": "in", "styles": [style], "pieces": [piece]})


def test_a_stock_file_gives_mass_and_thickness() -> None:
    (style,) = read_stock(a_stock(mass=2400, pile_height="6 mm", backing="1/8 in")).styles
    assert (style.mass_g_m2, style.pile_height_mm, style.backing_mm) == (2400, 6, 3.175)
    assert style.thickness_mm == 9.175


def test_it_is_written_back_the_same() -> None:
    stock = read_stock(a_stock(mass=2400.5, pile_height=0.25, backing=0.125))
    assert read_stock(json.dumps(stock_json(stock))) == stock
    assert "mass" not in stock_json(read_stock(a_stock()))["styles"][0]


def test_thickness_is_unknown_unless_both_heights_are_known() -> None:
    assert Style("Velder", pile_height_mm=6).thickness_mm is None


@pytest.mark.parametrize("more", [{"mass": 0}, {"mass": "heavy"}, {"pile_height": 0}, {"backing": -1}])
def test_what_can_not_be_is_refused_with_its_place(more: dict[str, object]) -> None:
    with pytest.raises(BadFile, match=rf"styles\[0\]\.{next(iter(more))}"):
        read_stock(a_stock(**more))
    with pytest.raises(BadFile, match="0 is no mass per area: give grams a square metre"):
        read_stock(a_stock(mass=0))
    with pytest.raises(BadInput, match="mass"):
        Style("Velder", mass_g_m2=float("nan"))


def test_the_catalogue_keeps_it(remnants: Remnants, tmp_path: Path) -> None:
    file = tmp_path / "stock.json"
    file.write_text(a_stock(mass=2400, pile_height=0.25, backing=0.125))
    remnants.ok("log", file)
    with open_catalogue(remnants.catalogue, write=False) as catalogue:
        style = show_piece(catalogue, "R-1").style
    assert (style.mass_g_m2, style.pile_height_mm, style.backing_mm) == (2400, 6.35, 3.175)
    assert "2400 g/m²" in remnants.ok("show", "R-1")
