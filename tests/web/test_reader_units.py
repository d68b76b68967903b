"""Lengths on every page stand as whoever reads them reads lengths."""

import html
import re
from urllib.parse import quote

import pytest

from tests.thorough import some
from tests.web.conftest import Browser, House

FEET = re.compile(r"\d\s?(?:'|″|′)|\d\"|\b\d[\d /]*\s(?:in|ft|ft²|yd²)(?=\s*(?:[×,.;:)]|across|along|wide|long|short|of\b|$))")
METRIC = re.compile(r"\d\s?(?:mm|cm|m|m²)\b")
PARTS = {"tag": "O-0007", "place": "Bay 3", "name": "Fern Row 2", "what": "sheet", "number": "1"}
ASKED = {
    "/patch/answer": {
        "style": "Velder Loop",
        "width": "30 cm",
        "length": "8 in",
        "pile": "0",
        "wall": "2 in",
        "edge_0": "wall",
        "max_parts": "3",
    },
    "/order": {"roll_width": "4 m", "width_1": "14 ft", "length_1": "16 ft", "style": "Velder Loop"},
    "/find": {"words": "velder"},
}
SAID = re.compile(
    r"<(svg|script|head|select|textarea|input)\b.*?(?:</\1>|/?>)|<(?:span|p)[^>]*hint[^>]*>.*?</(?:span|p)>", re.DOTALL
)
"""Left out: hints that show how lengths may be typed, choices of units, and what the reader typed."""


LABELS = re.compile(r"label printer, \d+ × \d+ mm|mm by 35 mm film")
"""Stock for label printers is sold, and lenses are told, in millimetres, whatever one measures in."""


def words(page: str) -> str:
    drawn = " ".join(re.findall(r"<text\b[^>]*>([^<]*)<", page))
    told = " ".join(re.findall(r"<desc\b[^>]*>([^<]*)<", page))
    plain = re.sub(r"<[^>]*>", " ", SAID.sub(" ", page))
    return LABELS.sub(" ", html.unescape(f"{plain} {drawn} {told}"))


def pages(house: House, browser: Browser) -> dict[str, str]:
    """The words of every page that the app answers with."""
    found = {}
    for rule in house.app.url_map.iter_rules():
        if "GET" not in (rule.methods or ()) or rule.endpoint in ("static", "start.link") or not rule.arguments <= PARTS.keys():
            continue
        parts = PARTS | ({"name": "Wim"} if rule.rule.startswith("/people/") else {})
        path = rule.rule
        for part, told in parts.items():
            path = re.sub(rf"<(?:\w+:)?{part}>", quote(told), path)
        answer = browser.get(path, query_string=ASKED.get(path, {}))
        if answer.mimetype == "text/html":
            found[path] = words(answer.text)
    return found


def test_the_patterns_tell_feet_and_metres_apart() -> None:
    for text in ("3' 4\"", "38 1/2 in across", "12 ft.", "802.3 ft²"):
        assert FEET.search(text) and not METRIC.search(text)
    for text in ("96.5 cm", "0.97 m wide", "970 mm", "4.2 m²"):
        assert METRIC.search(text) and not FEET.search(text)
    assert not FEET.search("before 1980 in the US")


READERS = (("cm", FEET), ("m", FEET), ("ft", METRIC), ("in", METRIC))


@pytest.mark.parametrize(("unit", "foreign"), some(READERS, of=2))
def test_no_page_tells_a_length_in_units_that_the_reader_does_not_read(house: House, unit: str, foreign: re.Pattern[str]) -> None:
    maud = house.browser("Maud")
    maud.post("/me/preferences", data={"unit": unit, "theme": "light"})
    shown = maud.get("/patch/answer", query_string=ASKED["/patch/answer"] | {"job": "Fern Row 2"}).text
    form = shown.partition('action="/jobs/hold"')[2].partition("</form>")[0]
    fields = {name: html.unescape(text) for name, text in re.findall(r'name="(\w+)" value="([^"]*)"', form)}
    assert maud.post("/jobs/hold", data=fields).status_code == 303
    every = pages(house, maud)
    assert {"/patch/answer", "/pieces/O-0007", "/jobs/Fern%20Row%202", "/racks/Bay%203", "/order", "/find"} <= every.keys()
    hits = {
        path: [told[max(0, hit.start() - 30) : hit.end() + 20] for hit in foreign.finditer(told)] for path, told in every.items()
    }
    assert not {path: found for path, found in hits.items() if found}
