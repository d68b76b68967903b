"""Every page for everybody: axe-core finds nothing in either theme, nothing scrolls sideways at 320 px or at 200 %."""

from pathlib import Path
from typing import Any

import axe_playwright_python
import pytest

from tests.web.browser.conftest import DESK, Shop

AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}

PAGES = {
    "/sign-in": "",
    "/away": "",
    "/": "Maud",
    "/patch": "Wim",
    "/patch?shape=corners&corners=0,0;40,0;40,14;0,14&pile=45": "Wim",
    "/patch?tag=none": "Wim",
    "/patch/answer?style=Harrow+Twist&width=40&length=14&pile=90": "Wim",
    "/patch/answer?style=Harrow+Twist&width=400&length=140": "Wim",
    "/patch/answer?width=zz": "Wim",
    "/find": "Wim",
    "/find?words=velder": "Wim",
    "/pieces/O-0007": "Wim",
    "/log?logged=R-0001&style=Velder+Loop": "Wim",
    "/racks": "Wim",
    "/racks/Bay 3": "Wim",
    "/racks/Bay 3?counted=yes": "Wim",
    "/count": "Wim",
    "/count/Bay 3": "Wim",
    "/jobs": "Wim",
    "/order": "Wim",
    "/order?roll_width=12+ft&width_1=14+ft&length_1=16+ft&style=Velder+Loop": "Wim",
    "/order?roll_width=12+ft&width_1=3+ft&use_1=repair&width_2=zz&corner_2=ur&held=none&steps=1": "Wim",
    "/stock": "Wim",
    "/stock?style=Velder+Loop&amount=x": "Wim",
    "/me": "Maud",
    "/people": "Maud",
    "/sign-out": "Maud",
    "/nowhere": "Wim",
}


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_axe_finds_nothing(shop: Shop, theme: Any) -> None:
    found = {}
    for name in ("", "Wim", "Maud"):
        context = shop.context(name, viewport=DESK, color_scheme=theme)
        for path in (path for path, who in PAGES.items() if who == name):
            page = context.new_page()
            page.goto(path)
            page.wait_for_function("document.documentElement.classList.contains('scripted')")
            page.evaluate(AXE)
            told = page.evaluate("rules => axe.run(document, rules)", RULES)
            assert told["passes"]
            if told["violations"]:
                found[path] = [(each["id"], [node["html"][:160] for node in each["nodes"]]) for each in told["violations"]]
            page.close()
    assert not found


@pytest.mark.parametrize("width", [320, 640])
def test_nothing_scrolls_sideways(shop: Shop, width: int) -> None:
    """WCAG 2.2, 1.4.10: reflow at 320 CSS pixels, which is a page 1280 wide at 400 %; 640 is 200 %."""
    wide = []
    for name in ("", "Wim", "Maud"):
        context = shop.context(name, viewport={"width": width, "height": 700})
        for path in (path for path, who in PAGES.items() if who == name):
            page = context.new_page()
            page.goto(path)
            if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
                wide.append(path)
            page.close()
    assert not wide


def test_targets_are_large_enough_for_a_thumb(shop: Shop) -> None:
    """WCAG 2.2, 2.5.8 asks 24 px; buttons and fields here have 44 at least."""
    page = shop.page("Wim", viewport={"width": 360, "height": 740})
    for path in ("/patch", "/log", "/find"):
        page.goto(path)
        small = page.evaluate(
            "[...document.querySelectorAll('main button, main select, main input:not([type=radio], [type=checkbox])')]"
            ".filter(e => e.offsetParent && e.getBoundingClientRect().height < 44).map(e => e.outerHTML)"
        )
        assert not small
