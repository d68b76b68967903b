"""On every page and sheet a length stands on one line: no plain blank is left inside it, and no line ends there."""

import html
import io
import re
from collections.abc import Iterator
from itertools import groupby
from typing import Any

import pdfplumber
import pytest

from remnants.actions import doors, open_catalogue
from remnants_web import Settings, create_app
from remnants_web.demo import make_accounts, tell
from tests.web.conftest import Browser
from tests.web.crawl import crawl
from tests.web.test_demo_shop import DOWNLOADS, NOW

BLANK = "[ \n\r\t]"
PARTED = re.compile(
    rf"""\d{BLANK}+(?:(?:mm|cm|m|ft|in)(?:(?![\w²]){BLANK}*(?=[,.;:)×<]|$|wide|long|across|along|of\b|to\b)|²)|\d+/\d+)"""
    rf"""|\d'{BLANK}+\d[\d /]*\" """.rstrip(),
)
"""A figure and its unit, a whole and its fraction, feet and inches, with a blank between at which a line may end."""

NOT_READ = re.compile(r"<(script|style|textarea|option|title)\b.*?</\1>|<[^>]*>", re.DOTALL)
ASKED = (
    "/patch/answer?style=Velder+Loop&width=38&length=14&pile=90&wall=3&edge_0=wall&max_parts=2",
    "/order?roll_width=12+ft&width_1=10+ft&length_1=11+ft&style=Velder+Loop",
    "/said?line=hall+36+x+33%2C+wall+left+and+right%2C+pile+to+the+door",
    "/nowhere",
)


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """Of the manager of the invented shop."""
    path = tmp_path_factory.mktemp("whole") / "invented.db"
    with open_catalogue(path, write=True) as catalogue:
        tell(catalogue, now=NOW)
        boss = make_accounts(catalogue, now=NOW)[0].person
        secret = doors.link_device(catalogue, doors.device_link(catalogue, boss, now=NOW), label="test", now=NOW)
    app = create_app(Settings(path, demo=True, now=lambda: NOW))
    app.test_client_class = Browser
    browser = app.test_client()
    assert isinstance(browser, Browser)
    browser.set_cookie("remnants", secret)
    yield browser


def read(page: bytes) -> list[str]:
    """The texts of a page as they were sent, each by itself."""
    return [html.unescape(text) for text in re.split(NOT_READ, page.decode()) if text and text.strip()]


def lines_of(letters: list[dict[str, Any]]) -> Iterator[str]:
    """What a sheet's letters say, as they were set, each line ended where the next letter stands higher or lower.

    Blanks that were set are left as blanks that don't break: paper breaks no lines of its own.
    """
    for _, line in groupby(
        letters, key=lambda letter: (letter["upright"], round(letter["bottom" if letter["upright"] else "x1"]))
    ):
        yield "".join(letter["text"] for letter in line).replace(" ", "\xa0")


def test_the_pattern_finds_what_a_line_can_part() -> None:
    for text in ("38 1/2 in", "38 in wide", "5' 0 1/2\"", "12'\n6\"", "0.97 m,", "2.56 m²"):
        assert PARTED.search(text), text
    for text in ("38\xa01/2\xa0in", "38\xa0in wide", "5'\xa00\xa01/2\"", "Bay 3 in the yard", "2 minutes"):
        assert not PARTED.search(text), text


def test_no_page_leaves_a_blank_inside_a_length_at_which_a_line_may_end(browser: Browser) -> None:
    seen, held = 0, 0
    for path, answer in (*crawl(browser, most=120), *((path, browser.get(path)) for path in ASKED)):
        if answer.mimetype == "text/html":
            texts = read(answer.data)
            assert not [text for text in texts if PARTED.search(text)], path
            seen, held = seen + 1, held + sum("\xa0" in text for text in texts)
    assert seen > 20 and held > 100


@pytest.mark.parametrize("address", DOWNLOADS)
def test_no_sheet_parts_a_length_over_two_lines(browser: Browser, address: str) -> None:
    with pdfplumber.open(io.BytesIO(browser.get(address).data)) as pdf:
        for page in pdf.pages:
            assert not PARTED.search("\n".join(lines_of(page.chars))), page.page_number
