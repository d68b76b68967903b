"""Draws the pictures of an order in the pages: the demo house as it can be laid, and its papers. `python docs/make_pictures.py`.

A paper's picture is made of the lines and texts of its PDF, so that it shows what is printed. With `--check` nothing is written,
and it fails where a picture is not current.
"""

import argparse
import io
import math
import re
import sys
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from html import escape
from pathlib import Path
from typing import Any

from pdfminer.converter import PDFPageAggregator
from pdfminer.layout import LTChar, LTCurve
from pdfminer.pdfinterp import PDFPageInterpreter, PDFResourceManager
from pdfminer.pdfpage import PDFPage

from remnants.actions.make_sheet import fonts
from remnants.actions.order_house import HouseOrdered, order_house
from remnants.actions.order_rooms import Limits
from remnants.actions.quote_order import quote_order
from remnants.exchange import Stock
from remnants.exchange.house import read_house
from remnants.exchange.price_entries import read_price_list
from remnants.report.house_sheet import house_pdf
from remnants.report.house_view import house_drawing
from remnants.report.papers import OrderPaper, quote_pdf, supplier_pdf
from remnants.report.svg import svg_text
from remnants.report.ticket_sheet import TicketSheet, ticket_pdf

ROOT = Path(__file__).parents[1]
DEMO, IMAGES = ROOT / "demo", ROOT / "docs" / "images"
DAY = "2 Mar 2026"
ROOM_MM = (180.0, 120.0)
"""What a drawing of the house may take of a page."""

FOOT_PT = 72.0
"""What lies lower on a page is its foot: the picture ends above it."""


@cache
def demo_house() -> HouseOrdered:
    """The demo house, ordered."""
    return order_house(read_house(DEMO / "house.json"), Stock((), ()), limits=Limits(seconds=None, tries=40))


def pictures() -> dict[str, str]:
    """Each picture by its file's name."""
    house = demo_house()
    unit, parts = house.asked.unit, house.plans
    quoted = quote_order(parts, read_price_list(DEMO / "prices.json"))
    paper = OrderPaper(house.asked.name, parts, unit, DAY)
    papers = {
        "quote": quote_pdf(paper, quoted, fonts()),
        "supplier": supplier_pdf(paper, fonts()),
        "ticket": ticket_pdf(TicketSheet(paper.name, parts, unit, DAY), fonts()),
        "house": house_pdf(paper, fonts()),
    }
    drawn = {f"order-choice-{number}.svg": text for number, text in enumerate(_choices(house), start=1)}
    return drawn | {f"paper-{name}.svg": page_svg(pdf, f"The paper: {name}") for name, pdf in papers.items()}


def _choices(house: HouseOrdered) -> Iterator[str]:
    """The house by each choice of its first carpet."""
    first, *others = house.plans
    for plan in house.carpets[0].chosen.choices:
        more = len(plan.placed) - len(first.plan.placed)
        numbered = [replace(each, plan=replace(each.plan, first_cut=each.plan.first_cut + more)) for each in others]
        parts = (replace(first, plan=plan), *numbered)
        drawing = house_drawing(parts, house.asked.unit, name=house.asked.name, room=ROOM_MM).drawing
        yield _with_edge(svg_text(drawing))


def _with_edge(svg: str) -> str:
    """The picture with a little more paper round it, as its walls lie at its edges."""
    wide, high = (float(found) for found in re.findall(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)[0])
    return re.sub(r'viewBox="[^"]*"', f'viewBox="-3 -3 {wide + 6:g} {high + 6:g}"', svg, count=1)


def page_svg(pdf: bytes, title: str) -> str:
    """The first page of a PDF down to where it ends above its foot, as SVG in its own points."""
    laid = PDFPageAggregator(PDFResourceManager())
    PDFPageInterpreter(laid.rsrcmgr, laid).process_page(next(PDFPage.get_pages(io.BytesIO(pdf))))
    page: Any = laid.get_result()
    things = [thing for thing in page if isinstance(thing, (LTCurve, LTChar)) and thing.y0 > FOOT_PT]
    wide, high = page.width, page.height - min(thing.y0 for thing in things) + 20
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.0f} {high:.0f}" role="img" '
        f'font-family="DejaVu Sans, sans-serif"><title>{escape(title)}</title>\n'
        f'<rect width="{wide:.0f}" height="{high:.0f}" fill="#fff"/>\n'
    )
    return head + "".join(_shown(things, page.height)) + "</svg>\n"


def _shown(things: list[Any], high: float) -> Iterator[str]:
    """Paths and runs of letters in the order in which they are printed."""
    run: list[Any] = []
    for thing in things:
        if isinstance(thing, LTChar):
            if run and not _goes_on(run[-1], thing):
                yield _text(run, high)
                run = []
            run.append(thing)
            continue
        if run:
            yield _text(run, high)
            run = []
        yield _path(thing, high)
    if run:
        yield _text(run, high)


def _goes_on(last: Any, next_one: Any) -> bool:
    """Whether a letter stands right behind another, on its line."""
    a, b, _, _, x, y = last.matrix
    along = math.hypot(a, b) or 1.0
    ahead = (x + last.adv * a / along, y + last.adv * b / along)
    same = last.fontname == next_one.fontname and last.matrix[:4] == next_one.matrix[:4]
    return same and math.dist(ahead, next_one.matrix[4:]) < 0.3 * _high(last)


def _high(letter: Any) -> float:
    """How high a letter's line is: the box of one that leans on its side lies across it."""
    a, b, *_ = letter.matrix
    return float(letter.width if abs(b) > abs(a) else letter.height)


def _text(run: list[Any], high: float) -> str:
    """A run of letters, from the first that is none of its blanks to the last."""
    inked = [index for index, each in enumerate(run) if each.get_text().strip()]
    if not inked:
        return ""
    first, last = run[inked[0]], run[inked[-1]]
    a, b, _, _, x, y = first.matrix
    long = math.dist((x, y), last.matrix[4:]) + last.adv * math.hypot(a, b)
    turn = -math.degrees(math.atan2(b, a))
    lean = f' transform="rotate({turn:.1f} {x:.2f} {high - y:.2f})"' if abs(turn) > 0.05 else ""
    bold = ' font-weight="bold"' if "Bold" in last.fontname else ""
    words = escape("".join(each.get_text() for each in run).strip().replace("\N{NO-BREAK SPACE}", " "), quote=False)
    at = f'x="{x:.2f}" y="{high - y:.2f}" font-size="{_high(first):.2f}" textLength="{long:.2f}"'
    return f"<text {at}{bold}{lean}>{words}</text>\n"


def _path(curve: Any, high: float) -> str:
    steps = []
    for kind, *places in curve.original_path:
        steps.append("Z" if kind == "h" else kind.upper() + " ".join(f"{x:.2f} {high - y:.2f}" for x, y in places))
    white = curve.non_stroking_color in (1, 1.0, (1,), (1.0,), (1, 1, 1), (1.0, 1.0, 1.0))
    fill = ("#fff" if white else "#000") if curve.fill else "none"
    dash = curve.dashing_style[0] if curve.dashing_style else ()
    dashed = f' stroke-dasharray="{" ".join(f"{each:.2f}" for each in dash)}"' if dash else ""
    line = f' stroke="#000" stroke-width="{curve.linewidth:.2f}"{dashed}' if curve.stroke else ""
    return f'<path d="{"".join(steps)}" fill="{fill}"{line}/>\n'


def main() -> int:
    """Writes the pictures, or looks whether they are current."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--check", action="store_true", help="change nothing; fail where one is not current")
    stale = []
    check = parser.parse_args().check
    for name, text in pictures().items():
        path = IMAGES / name
        if path.exists() and path.read_text(encoding="utf-8") == text:
            continue
        stale.append(name)
        if not check:
            path.write_text(text, encoding="utf-8")
    sys.stdout.write("".join(f"{name}\n" for name in stale))
    return 1 if stale and check else 0


if __name__ == "__main__":
    raise SystemExit(main())
