"""A drawing written as SVG: plain black on paper, sized in millimetres, named and described for readers who can't see it."""

import re
from collections.abc import Iterable, Sequence
from html import escape

from remnants.report.drawing import Anchor, Area, Dash, Drawing, Fill, Lines, Mark, Pen, Words
from remnants.report.lettering import CAP_SHARE

__all__ = ["svg_text"]

PAPER = "#fffefa"
INK = "#111"

NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
CARPET = "#f0e8d8"
"""Of carpet whose colour isn't known."""

FILLS = {Fill.NONE: "none", Fill.PAPER: PAPER, Fill.INK: INK, Fill.CARPET: CARPET}
TUFTS = (
    '<defs><pattern id="tufts" width="3" height="2.6" patternUnits="userSpaceOnUse"><path d="M.7 .4V1.2M2.2 1.7V2.5" '
    f'stroke="{INK}" stroke-opacity=".2" stroke-width=".3" stroke-linecap="round"/></pattern></defs>\n'
)
"""A few tufts, so that carpet is told from floor and paper at a glance."""


def svg_text(drawing: Drawing) -> str:
    """The drawing as a whole SVG 1.1 document; its size is that of the paper (mm), and it shrinks to a narrower page."""
    width, height = _figure(drawing.width_mm), _figure(drawing.height_mm)
    head = (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}" '
        'role="img" aria-labelledby="title desc" style="max-width:100%;height:auto" '
        f'font-family="sans-serif" fill="{INK}" stroke="none" stroke-linecap="butt" stroke-linejoin="miter">\n'
        f'<title id="title">{_safe(drawing.title)}</title>\n<desc id="desc">{_safe(drawing.told)}</desc>\n'
        f'<rect width="{width}" height="{height}" fill="{PAPER}"/>\n'
    )
    head += TUFTS if any(isinstance(mark, Area) and mark.fill is Fill.CARPET for mark in drawing.marks) else ""
    return head + "".join(_mark(mark, drawing.height_mm) for mark in drawing.marks) + "</svg>\n"


def _mark(mark: Mark, height: float) -> str:
    match mark:
        case Lines():
            path = " ".join(_path(run, height) for run in mark.runs)
            return f'<path d="{path}" fill="none"{_stroke(mark.pen, mark.dash)}/>\n'
        case Area():
            path = " ".join(_path(ring, height) + "Z" for ring in mark.rings)
            stroke = _stroke(mark.pen, mark.dash) if mark.pen else ""
            pile = f'<path d="{path}" fill="url(#tufts)" fill-rule="evenodd"/>\n' if mark.fill is Fill.CARPET else ""
            return f'<path d="{path}" fill="{mark.tint or FILLS[mark.fill]}" fill-rule="evenodd"{stroke}/>\n{pile}'
        case Words():
            return _words(mark, height)


def _words(words: Words, height: float) -> str:
    x, y = _figure(words.at[0]), _figure(height - words.at[1])
    lean = f' transform="rotate({_figure(-words.lean_deg)} {x} {y})"' if words.lean_deg else ""
    anchor = "" if words.anchor is Anchor.START else f' text-anchor="{words.anchor}"'
    bold = ' font-weight="bold"' if words.bold else ""
    halo = _mark(Area((words.corners,), Fill.PAPER, None), height) if words.halo else ""
    drop = _figure(height - words.at[1] + words.size_mm * CAP_SHARE)
    return f'{halo}<text x="{x}" y="{drop}" font-size="{_figure(words.size_mm)}"{anchor}{bold}{lean}>{_safe(words.text)}</text>\n'


def _stroke(pen: Pen, dash: Dash) -> str:
    pattern = f' stroke-dasharray="{" ".join(_figure(length) for length in dash.lengths_mm)}"' if dash.lengths_mm else ""
    return f' stroke="{INK}" stroke-width="{pen.value}"{pattern}'


def _path(points: Sequence[tuple[float, float]], height: float) -> str:
    return "M" + "L".join(_pairs(points, height))


def _pairs(points: Sequence[tuple[float, float]], height: float) -> Iterable[str]:
    return (f"{_figure(x)} {_figure(height - y)}" for x, y in points)


def _figure(value: float) -> str:
    return f"{round(value, 3) + 0.0:.3f}".rstrip("0").rstrip(".")


def _safe(text: str) -> str:
    """Text with what XML forbids shown as a mark and the rest escaped."""
    return escape(NOT_XML.sub("\ufffd", text), quote=False)
