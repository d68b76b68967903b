"""A PDF that a drawing program wrote, as a plan: its lines, curves and texts at the scale that is said. Lengths in mm.

What reads them comes with the extra `drawings`. A PDF has no layers that its reader tells: lines are told apart by their width.
"""

from __future__ import annotations

import io
import logging
import math
import re
from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from remnants.errors import BadFile, BadInput, Fault
from remnants.exchange.plans.drawn import Drawn, LayerSeen, Spot, Stroke, TextDrawn
from remnants.exchange.plans.dxf_strokes import CURVE_MM
from remnants.exchange.plans.said import PlanSaid
from remnants.geometry import Point
from remnants.late import Late
from remnants.limits import DRAWING_ENTITIES, DRAWING_POINTS
from remnants.units import MM_PER_IN, Unit, write_length

if TYPE_CHECKING:
    from ezdxf import math as dxf_math
    from pdfminer import high_level, layout
else:
    dxf_math = Late("ezdxf.math")
    high_level, layout = Late("pdfminer.high_level"), Late("pdfminer.layout")

__all__ = ["PDF", "pdf_drawn", "scale_of"]

logging.getLogger("pdfminer").addHandler(logging.NullHandler())  # what is wrong with a plan is told in our own words
PDF = b"%PDF-"
"""How a PDF begins."""

POINT_MM = MM_PER_IN / 72
"""A point of PDF on paper (ISO 32000-1, 8.3.2.3)."""

FRAME_SHARE = 0.85
"""What is larger than this of a page both ways is its frame, and no room."""

_UNSOUND = "no PDF that can be read, or it breaks off; save it anew"
_SCALE = re.compile(r"\b1\s*[:/]\s*(\d{1,4}(?:[.,]\d+)?)\b")


def scale_of(text: str) -> float:
    """How many times larger than on paper all is, of a text such as `1:50`. Raises BadInput."""
    found = _SCALE.fullmatch(text.strip())
    scale = float(found[1].replace(",", ".")) if found else 0.0
    if scale < 1:
        raise BadInput(f"{text[:40]!r} is no scale: give it as the plan has it, such as 1:50")
    return scale


def pdf_drawn(data: bytes, name: str, said: PlanSaid) -> Drawn:
    """All that a page shows, in mm as built.

    Raises BadFile: no PDF that can be read, protected, no such page, a scan without lines, no scale, over a limit.
    """
    sheets = _pages(data, name)
    if not 1 <= said.page <= len(sheets):
        raise BadFile([Fault(name, f"there is no page {said.page}: it has {len(sheets)}")])
    sheet = sheets[said.page - 1]
    things = list(_within(sheet, name))
    curves = [thing for thing in things if isinstance(thing, layout.LTCurve) and _is_seen(thing) and not _is_frame(thing, sheet)]
    if not curves:
        scan = "it is a scan: " if any(isinstance(thing, layout.LTImage) for thing in things) else ""
        what = f"{scan}page {said.page} holds no lines; measure from it, or ask for the plan as its drawing program writes it"
        raise BadFile([Fault(name, what)])
    texts = [thing for thing in things if isinstance(thing, layout.LTTextLine)]
    unit_mm = POINT_MM * _scale(said, texts, sheet, name)
    strokes = tuple(stroke for curve in curves for stroke in _strokes(curve, unit_mm))
    if sum(len(stroke.points) for stroke in strokes) > DRAWING_POINTS:
        raise BadFile([Fault(name, f"over {DRAWING_POINTS:,} points, curves flattened: keep only what bounds the rooms in it")])
    counts = Counter(stroke.spot.layer for stroke in strokes)
    layers = tuple(LayerSeen(layer, count, 0) for layer, count in sorted(counts.items()))
    others = (f"page {said.page} of {len(sheets)} is read",) if len(sheets) > 1 else ()
    return Drawn(strokes, tuple(_text(each, unit_mm) for each in texts), (), layers, others, unit_mm)


def _pages(data: bytes, name: str) -> list[Any]:
    """The pages, laid out. Raises BadFile for whatever the reader stumbles over, which has many names."""
    try:
        return list(high_level.extract_pages(io.BytesIO(data), maxpages=MOST_PAGES))
    except Exception as error:
        locked = "Password" in type(error).__name__ or "Encrypt" in type(error).__name__
        what = "it is protected by a password: save it without" if locked else _UNSOUND
        raise BadFile([Fault(name, what)]) from None


def _within(sheet: Any, name: str) -> Iterator[Any]:
    """All things of a page, those in figures and boxes too. Raises BadFile over the limit."""
    waiting, count = [sheet], 0
    while waiting:
        thing = waiting.pop()
        count += 1
        if count > DRAWING_ENTITIES:
            raise BadFile([Fault(name, f"over {DRAWING_ENTITIES:,} lines and texts: keep only what bounds the rooms in it")])
        yield thing
        if isinstance(thing, layout.LTContainer) and not isinstance(thing, layout.LTTextLine):
            waiting += reversed(list(thing))


def _is_seen(curve: Any) -> bool:
    """Whether it is drawn in any colour but white."""
    white = curve.non_stroking_color in (1, (1,), (1, 1, 1), [1], [1, 1, 1], (0, 0, 0, 0))
    return bool(curve.stroke or (curve.fill and not white))


def _is_frame(curve: Any, sheet: Any) -> bool:
    return bool(curve.width > FRAME_SHARE * sheet.width and curve.height > FRAME_SHARE * sheet.height)


def _scale(said: PlanSaid, texts: list[Any], sheet: Any, name: str) -> float:
    """How many times larger than on paper. Raises BadFile where nobody said it, with what stands on the page."""
    if said.scale:
        return said.scale
    on_it = sorted({found[0] for text in texts for found in _SCALE.finditer(text.get_text()[:200])})
    told = f"; on it stands {' and '.join(on_it[:4])}" if on_it else ""
    across, up = (write_length(side * POINT_MM, Unit.MM) for side in (sheet.width, sheet.height))
    what = f"a PDF tells no scale: say it, such as 1:50, for the page at {across} × {up}{told}"
    raise BadFile([Fault(name, what)])


def _strokes(curve: Any, unit_mm: float) -> Iterator[Stroke]:
    """A path as lines; one that is closed runs back to where it began, as walls are drawn by either."""
    layer = f"{curve.linewidth:.2g} pt" if curve.stroke else "filled"
    points: list[Point] = []
    curved: set[Point] = set()

    def made() -> Iterator[Stroke]:
        if len(points) > 1:
            at = (points[0][0] / unit_mm, points[0][1] / unit_mm)
            yield Stroke(tuple(points), False, Spot("path", "", layer, at), frozenset(curved))

    for kind, *places in curve.original_path or ():
        run = [(float(x) * unit_mm, float(y) * unit_mm) for x, y in places]
        if not all(math.isfinite(value) for point in run for value in point):
            continue
        if kind == "m":
            yield from made()
            points, curved = run[-1:], set()
        elif kind == "h" and points:
            points.append(points[0])
        elif kind == "c" and points and len(run) == 3:
            bend = dxf_math.Bezier4P([dxf_math.Vec3(*point, 0.0) for point in (points[-1], *run)])
            bent = [(float(each.x), float(each.y)) for each in bend.flattening(CURVE_MM)]
            curved |= set(bent[1:-1])
            points += bent[1:]
        elif run and points:
            points.append(run[-1])
    yield from made()


def _text(line: Any, unit_mm: float) -> TextDrawn:
    middle = ((line.x0 + line.x1) / 2 * unit_mm, (line.y0 + line.y1) / 2 * unit_mm)
    return TextDrawn(line.get_text().strip(), middle, line.height * unit_mm)


MOST_PAGES = 20
"""Pages of a PDF that are looked through for the one that is asked for."""
