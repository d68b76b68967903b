"""A sheet made from a plan laid out by hand, and its pages read by an independent reader."""

from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import Any

import pdfplumber

import remnants
from remnants.materials.rules import MaterialRules
from remnants.materials.steps import Setting
from remnants.model import Construction, Style
from remnants.report.customer import NAMES, Texts
from remnants.report.page import PageSize
from remnants.report.pdf import Fonts
from remnants.report.sheet import Sheet, sheet_pdf
from remnants.units import Unit
from tests.report.plans import Layout

HOME = Path(remnants.__file__).parent / "report"
FONTS = Fonts((HOME / "fonts/DejaVuSans.ttf").read_bytes(), (HOME / "fonts/DejaVuSans-Bold.ttf").read_bytes())
TEXTS = Texts(*((HOME / f"texts/{name}.txt").read_text(encoding="utf-8") for name in NAMES))
STYLE = Style("Velder Loop", Construction.LOOP, row_mm=6.35, mass_g_m2=2200, pile_height_mm=4, backing_mm=2)
MM_PER_PT = 25.4 / 72


def a_sheet(layout: Layout, *, unit: Unit = Unit.FT, **more: Any) -> Sheet:
    setting = Setting(layout.pieces, {STYLE.name: STYLE}, MaterialRules(), unit=unit)
    return Sheet(layout.plan, layout.job, setting, **{"texts": TEXTS} | more)


def the_pdf(layout: Layout, size: PageSize = PageSize.A4, **more: Any) -> bytes:
    return sheet_pdf(a_sheet(layout, **more), FONTS, size=size)


@dataclass(frozen=True)
class Page:
    """A page as the reader sees it; lengths mm, y up from the foot."""

    text: str
    words: tuple[tuple[str, float, float], ...]
    level: tuple[tuple[float, float, float], ...]
    upright: tuple[tuple[float, float, float], ...]
    fonts: frozenset[str]
    outside: tuple[str, ...]
    boxes: tuple[tuple[float, float, float], ...]

    @property
    def first(self) -> str:
        """The words of the highest line."""
        top = max(y for _, _, y in self.words)
        return " ".join(text for text, _, y in self.words if abs(y - top) < 1.5)


def pages(pdf: bytes) -> list[Page]:
    """The pages of a sheet; the reader takes long, so that one that is made again is not read again."""
    return list(_pages(pdf))


@lru_cache(maxsize=16)
def _pages(pdf: bytes) -> tuple[Page, ...]:
    with pdfplumber.open(BytesIO(pdf)) as read:
        return tuple(_page(page) for page in read.pages)


def _page(page: Any) -> Page:
    """Words as (text, middle x, middle y), level lines and shapes as (left, right, y), upright lines as (bottom, top, x)."""
    words = tuple(
        (word["text"], (word["x0"] + word["x1"]) / 2 * MM_PER_PT, (page.height - (word["top"] + word["bottom"]) / 2) * MM_PER_PT)
        for word in page.extract_words()
    )
    level, upright = [], []
    for line in page.lines:
        (x0, x1), (y0, y1) = sorted((line["x0"], line["x1"])), sorted((line["y0"], line["y1"]))
        if y1 - y0 < 0.01:
            level.append((x0 * MM_PER_PT, x1 * MM_PER_PT, y0 * MM_PER_PT))
        elif x1 - x0 < 0.01:
            upright.append((y0 * MM_PER_PT, y1 * MM_PER_PT, x0 * MM_PER_PT))
    boxes = tuple(
        (shape["x0"] * MM_PER_PT, shape["x1"] * MM_PER_PT, shape["y0"] * MM_PER_PT) for shape in page.rects + page.curves
    )
    outside = tuple(
        char["text"]
        for char in page.chars
        if char["x0"] < 0 or char["x1"] > page.width or char["top"] < 0 or char["bottom"] > page.height
    )
    return Page(
        page.extract_text(use_text_flow=True),
        words,
        tuple(level),
        tuple(upright),
        frozenset(c["fontname"] for c in page.chars),
        outside,
        boxes,
    )
