"""Drawings on pages: one drawing code serves screen and print; here it only learns to live among others on a page."""

import re

from markupsafe import Markup

from remnants.model.agreement import Strokes
from remnants.model.page_seen import PageSeen
from remnants.report.board import Paper
from remnants.report.drawing import Drawing
from remnants.report.plan_view import page_svg
from remnants.report.signature import signature_svg
from remnants.report.svg import svg_text
from remnants.units import Unit

__all__ = ["SCREEN", "name_on_page", "on_page", "plan_on_page"]

SCREEN = Paper(width_mm=86.0, tallest_mm=62.0, margin_mm=1.0, keyed=False, headed=False, slim=True)
"""Small paper, so that its figures can be read on a phone (360 px across are 4 px a mm, its smallest text 12 px high); what
heading and key would say stands beside it in words."""

_PROLOGUE = re.compile(r"^<\?xml[^>]*\?>\s*")
_STYLE = re.compile(r'(<svg\b[^>]*?) style="[^"]*"')
_ROOT = re.compile(r"<svg\b[^>]*>")


def on_page(drawing: Drawing | str, number: int) -> Markup:
    """The drawing, or the document that it was written as, as an SVG element for a page.

    Its ids carry `number`, so that several can stand on one page. Its inline style goes, which the content policy forbids;
    the page's own sheet sizes it. Every text in it was escaped when it was drawn.
    """
    drawn = drawing if isinstance(drawing, str) else svg_text(drawing)
    text = _STYLE.sub(r"\1", _PROLOGUE.sub("", drawn), count=1)
    for name in ("title", "desc", "tufts"):
        text = text.replace(f'id="{name}"', f'id="{name}-{number}"', 1)
    text = text.replace("url(#tufts)", f"url(#tufts-{number})")
    root = _ROOT.search(text)
    if root:
        told = root[0].replace('aria-labelledby="title desc"', f'aria-labelledby="title-{number} desc-{number}"')
        text = text.replace(root[0], told, 1)
    return Markup(text)


def name_on_page(strokes: Strokes) -> Markup:
    """A drawn name as an SVG element, of whole numbers alone; nothing where none was drawn."""
    return Markup(signature_svg(strokes)) if strokes else Markup()


def plan_on_page(seen: PageSeen, unit: Unit) -> Markup:
    """A page of a plan as an SVG element: figures alone, and no text of the file's own."""
    return Markup(page_svg(seen, unit))
