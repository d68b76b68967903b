"""A full rack in a real browser: sixty pieces, every one to be read, on the narrowest phone and at the desk."""

import json
import re

import pytest
from playwright.sync_api import expect

from remnants.actions import open_catalogue
from remnants.actions.log_pieces import known_styles, log_pieces
from remnants.exchange import read_stock
from tests.stock_values import SIGNED
from tests.thorough import EVERY
from tests.web.browser.conftest import Shop
from tests.web.browser.test_everybody import AXE, COLOURS, faults

WIDTHS = (14, 24, 36, 48, 60, 72, 90, 144)


def full_rack() -> str:
    pieces = [
        {"tag": f"R-{2000 + at}", "kind": "remnant", "style": "Velder Loop", "colour": "Oatmeal", "lot": "4471-B", "pile": 0,
         "place": "Bay 60", "width": WIDTHS[at % 8], "length": 20 + 160 * (at % 7) / 6}
        for at in range(60)
    ]  # fmt: skip
    return json.dumps({"unit": "in", "pieces": pieces})


@pytest.fixture(scope="module")
def full(running: Shop) -> None:
    with open_catalogue(running.catalogue, write=True) as catalogue:
        log_pieces(catalogue, read_stock(full_rack(), known=known_styles(catalogue)), signed=SIGNED)


OUTLINES = (
    "[...document.querySelectorAll('.rack > li')].map(e => e.querySelector('.shape-of svg > path').getBoundingClientRect().width)"
)
LETTERS = "[...document.querySelectorAll('.rack a .tag, .rack a .small')].map(e => parseFloat(getComputedStyle(e).fontSize))"
LINKS = "[...document.querySelectorAll('.rack a')].map(e => [e.offsetWidth, e.offsetHeight])"


@pytest.mark.usefixtures("full")
@pytest.mark.parametrize("width", [320, 1280])
def test_sixty_pieces_are_to_scale_named_and_readable(shop: Shop, width: int) -> None:
    page = shop.page("Wim", viewport={"width": width, "height": 800})
    page.goto("/racks/Bay 60")
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")
    wide = page.evaluate(OUTLINES)
    assert len(wide) == 60
    for at in range(8):
        assert wide[at] / wide[7] == pytest.approx(WIDTHS[at] / 144, abs=0.02)
    assert wide[7] > 180, "the widest is no speck"
    assert min(page.evaluate(LETTERS)) >= 14
    assert min(min(size) for size in page.evaluate(LINKS)) >= 44
    expect(page.get_by_role("link", name=re.compile("^R-2003 .*Velder Loop, Oatmeal, lot 4471-B, pile ↑ 0°"))).to_have_count(1)


@pytest.mark.usefixtures("full")
def test_axe_finds_nothing_in_a_full_rack(shop: Shop) -> None:
    """In the dark the colours alone differ."""
    page = shop.page("Wim", color_scheme="light")
    page.goto("/racks/Bay 60")
    page.evaluate(AXE)
    assert faults(page) == []
    page.emulate_media(color_scheme="dark")
    assert faults(page, **(COLOURS if EVERY > 1 else {})) == []
