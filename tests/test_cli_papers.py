"""`remnants papers`: the papers of an order, each for one reader and with nothing that is another's."""

import io
from pathlib import Path
from typing import Any

import pdfplumber
import pytest

from tests.commands import Remnants

ROOMS: dict[str, Any] = {
    "unit": "m",
    "order": "Fen Row 4",
    "style": "Velder Loop",
    "colour": "Oatmeal",
    "roll": {"width": 4, "rolls": [{"name": "A", "length": 12, "lot": "7"}, {"name": "B", "length": 20, "lot": "7"}]},
    "trim": {"wall": 0, "seam": 0},
    "rooms": [
        {"name": "Hall", "width": 7, "length": 5, "pile": 0, "doorways": [{"edge": 0, "from": 1, "width": 0.8}]},
        {"name": "Den", "width": 4, "length": 3, "pile": 0},
    ],
    "stairs": [{"name": "Stairs", "steps": 3, "width": 0.8, "tread": 0.25, "riser": 0.18}],
}
PRICES = {
    "currency": "EUR",
    "margin_percent": 10,
    "tax_percent": 19,
    "lines": [{"what": "carpet", "amount": 25, "per": "m2"}, {"what": "stairs", "amount": 11, "per": "each"}],
}


@pytest.fixture
def papers(remnants: Remnants) -> dict[str, str]:
    """The text of each, by its name; and what the command said."""
    folder = remnants.folder / "papers"
    rooms, prices = remnants.file("rooms.json", ROOMS), remnants.file("prices.json", PRICES)
    out = remnants.ok("papers", rooms, "--no-stock", "--tries", "40", "-o", folder, "--prices", prices)
    return {"said": out} | {path.name: text_of(path) for path in folder.iterdir()}


def text_of(path: Path) -> str:
    with pdfplumber.open(io.BytesIO(path.read_bytes())) as read:
        return " ".join(word for page in read.pages for word in page.extract_text().split())


def test_each_paper_has_its_one_purpose(papers: dict[str, str]) -> None:
    """A hall of 7 x 5 m and a den of 4 x 3 on 4 m goods: 5 + 5 + 3 m, the stairs beside the second: 52 m² at 27.50."""
    assert papers.keys() == {"said", "quote.pdf", "order.pdf", "ticket.pdf", "floors.pdf", "house.pdf"}
    quote, supplier, ticket, floors = (papers[f"{name}.pdf"] for name in ("quote", "order", "ticket", "floors"))
    assert "Carpet 52.00 m² 27.50 EUR 1,430.00 EUR" in quote
    assert "Stairs (each step) 3 12.10 EUR 36.30 EUR" in quote
    assert "Not in this price: underlay, tack strip, seam tape, door bar, laying, old carpet taken up." in quote
    assert "Total 1,744.90" in quote and "Total 1,744.90 EUR" in papers["said"]  # 1466.30 and 278.60 of tax
    assert "Width: 4.000 m." in supplier and "B 7 13.000 m" in supplier
    assert "Lengths off the roll, in order" in ticket
    assert "Hall 2" in floors and "Stairs 1" in floors and "seam" in floors
    assert "check a bar with a rule" in ticket and "check a bar with a rule" in floors
    for told, never in (
        (quote, ("rule", "Hall 1", "crosscut", "25.00", "10 %")),
        (supplier, ("rule", "EUR", "Den", "Hall")),
        (floors, ("EUR",)),
        (ticket, ("EUR",)),
    ):
        assert not [word for word in never if word in told]


def test_without_a_price_file_there_is_no_quote(remnants: Remnants) -> None:
    folder = remnants.folder / "papers"
    remnants.ok("papers", remnants.file("rooms.json", ROOMS), "--no-stock", "--tries", "40", "-o", folder, "--paper", "letter")
    assert sorted(path.name for path in folder.iterdir()) == ["floors.pdf", "house.pdf", "order.pdf", "ticket.pdf"]


def test_what_stock_gives_stands_on_the_ticket_with_its_tag(remnants: Remnants) -> None:
    piece = {
        "tag": "R-1",
        "kind": "remnant",
        "style": "Velder Loop",
        "colour": "Oatmeal",
        "lot": "9",
        "width": 4.2,
        "length": 3.2,
        "pile": 0,
    }
    stock = remnants.file("stock.json", {"unit": "m", "styles": [{"name": "Velder Loop"}], "pieces": [piece]})
    folder = remnants.folder / "papers"
    alone = ROOMS | {"rooms": ROOMS["rooms"][1:], "stairs": []}
    words = ("papers", remnants.file("rooms.json", alone), "--stock", stock, "--tries", "40", "-o", folder)
    said = remnants.ok(*words, "--prices", remnants.file("prices.json", PRICES))
    assert "Not priced, as a quote prices the roll alone: 12.00 m² from R-1, cut from stock" in " ".join(said.split())
    assert "R-1" not in text_of(folder / "quote.pdf") and "stock" not in text_of(folder / "quote.pdf")
    assert "Stock gives all of it: no roll is cut. Cut from stock" in text_of(folder / "ticket.pdf")
    assert "R-1 1 Den 0.000 m 0.000 m 4.000 m 3.000 m" in text_of(folder / "ticket.pdf")
    assert "Stock gives all of it: nothing is ordered." in text_of(folder / "order.pdf")


def test_a_price_file_at_fault_is_told_before_anything_is_searched(remnants: Remnants) -> None:
    prices = remnants.file("prices.json", PRICES | {"currency": "XXQ"})
    told = remnants.refused("papers", remnants.file("rooms.json", ROOMS), "-o", remnants.folder, "--prices", prices, code=2)
    assert "currency: 'XXQ' is no currency code" in told


@pytest.mark.parametrize("option", ["--lines", "--layers"])
def test_what_only_shows_a_drawing_is_no_option_of_papers(remnants: Remnants, option: str) -> None:
    done = remnants("papers", remnants.file("rooms.json", ROOMS), "-o", remnants.folder / "papers", option)
    assert done.code == 2
    assert f"unrecognized arguments: {option}" in done.err
    assert not (remnants.folder / "papers").exists()
