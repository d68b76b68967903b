"""A PDF that a drawing program wrote, as a plan: its lines, curves and texts at the scale that is said. Lengths in mm.

What reads them comes with the extra `drawings`. Where a PDF has no layers, lines are told apart by their width.
"""

from __future__ import annotations

import logging
import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from remnants.errors import BadFile, BadInput, Fault
from remnants.exchange.plans.doors import Door, door_groups, doors_on
from remnants.exchange.plans.drawn import Drawn, LayerSeen, Shown, Spot, Stroke, TextDrawn, hidden_told
from remnants.exchange.plans.dxf_strokes import CURVE_MM
from remnants.exchange.plans.known import lines_numbered, scale_known
from remnants.exchange.plans.said import PlanSaid
from remnants.exchange.plans.swings import swings_of, unsure_told, with_arcs
from remnants.geometry import Point
from remnants.late import Late
from remnants.limits import DRAWING_ENTITIES, DRAWING_POINTS
from remnants.model.page_seen import PageSeen
from remnants.units import MM_PER_IN, Unit, write_length

if TYPE_CHECKING:
    from ezdxf import math as dxf_math
    from pdfminer import layout

    from remnants.exchange.plans import pdf_pages
    from remnants.exchange.plans.pdf_pages import PageLaidOut
else:
    dxf_math, layout = Late("ezdxf.math"), Late("pdfminer.layout")
    pdf_pages = Late("remnants.exchange.plans.pdf_pages")

__all__ = ["PDF", "page_seen", "pdf_drawn", "scale_of"]

logging.getLogger("pdfminer").addHandler(logging.NullHandler())  # what is wrong with a plan is told in our own words
PDF = b"%PDF-"
"""How a PDF begins."""

POINT_MM = MM_PER_IN / 72
"""A point of PDF on paper (ISO 32000-1, 8.3.2.3)."""

FRAME_SHARE = 0.85
"""What is larger than this of a page both ways is its frame, and no room."""

SCALE_ANEW = "say which scale the drawing is in"
_UNSOUND = "no PDF that can be read, or it breaks off; save it anew"
_SCALE = re.compile(r"\b1\s*[:/]\s*(\d{1,4}(?:[.,]\d+)?)\b")


def scale_of(text: str) -> float:
    """How many times larger than on paper all is, of a text such as `1:50`. Raises BadInput."""
    found = _SCALE.fullmatch(text.strip())
    scale = float(found[1].replace(",", ".")) if found else 0.0
    if scale < 1:
        raise BadInput(f"{text[:40]!r} is no scale: give it as the plan has it, such as 1:50")
    return scale


def pdf_drawn(data: bytes, name: str, said: PlanSaid, unit: Unit = Unit.MM) -> Drawn:
    """All that a page shows, in mm as built; lengths are told in `unit`. Layers are the document's own, else the lines' widths.

    Raises BadFile: no PDF that can be read, protected, no such page, a scan without lines, no scale, over a limit; a known length
    of no line, or between points that are none.
    """
    laid, things, curves = _things(data, name, said.page)
    texts = [thing for thing in things if isinstance(thing, layout.LTTextLine)]
    scale, by = _scale(said, texts, _page_of(laid.page, curves), name, unit)
    unit_mm = POINT_MM * scale
    wanted = {each.casefold() for each in (*said.layers, *said.islands, *said.doors)}
    strokes: list[Stroke] = []
    hidden: set[str] = set()
    counts: Counter[str] = Counter()
    for curve in curves:
        layer = laid.of_thing.get(id(curve)) or _width_of(curve)
        made = tuple(_strokes(curve, layer, unit_mm))
        counts[layer] += len(made)
        if laid.layers.get(layer, True) or layer.casefold() in wanted:
            strokes += made
        else:
            hidden.add(layer)
    if sum(len(stroke.points) for stroke in strokes) > DRAWING_POINTS:
        raise BadFile([Fault(name, f"over {DRAWING_POINTS:,} points, curves flattened: keep only what bounds the rooms in it")])
    layers = tuple(
        LayerSeen(layer, count, 0, Shown.OFF if layer in hidden else Shown.SHOWN) for layer, count in sorted(counts.items())
    )
    told = [f"page {said.page} of {laid.pages} is read"] if laid.pages > 1 else []
    told += [by] if by else []
    told += [hidden_told(layers)] if hidden else []
    others, doors, asked = _doors(strokes, said, unit_mm)
    remedy = f"look at the length that was told, as it makes the scale 1:{scale:.4g}" if by else SCALE_ANEW
    notes = (*told, *asked)
    return Drawn(others, tuple(_text(each, unit_mm) for each in texts), doors, layers, notes, unit_mm, remedy, bool(by))


def page_seen(data: bytes, name: str, number: int = 1) -> PageSeen:
    """The lines of a page on paper, to choose one whose length is known. Raises BadFile as `pdf_drawn`, but for a scale."""
    laid, _, curves = _things(data, name, number)
    return _page_of(laid.page, curves)


def _page_of(sheet: Any, curves: Sequence[Any]) -> PageSeen:
    """What is on paper: curves as they bend, and the lines that are straight."""
    strokes = [stroke for curve in curves for stroke in _strokes(curve, "", POINT_MM)]
    straight = [stroke.points for stroke in strokes if not stroke.curved]
    return PageSeen(
        sheet.width * POINT_MM, sheet.height * POINT_MM, tuple(stroke.points for stroke in strokes), lines_numbered(straight)
    )


def _doors(strokes: Sequence[Stroke], said: PlanSaid, unit_mm: float) -> tuple[tuple[Stroke, ...], tuple[Door, ...], list[str]]:
    """Strokes without doors; the doors, on their layers or as arcs with leaves; and which arcs may be doors, in words."""
    on_them = with_arcs([stroke for stroke in strokes if doors_on((stroke.spot.layer,), said)], closed=True)
    found = swings_of([stroke for stroke in strokes if not doors_on((stroke.spot.layer,), said)])
    asked = unsure_told(found, lambda point: _place(point, unit_mm))
    return found.strokes, (*found.doors, *door_groups(on_them)), asked


def _place(point: Point, unit_mm: float) -> str:
    """A point (mm as built) on paper, as a ruler on the page finds it."""
    x, y = (value / unit_mm * POINT_MM for value in point)
    return f"{x:.4g}, {y:.4g} mm on the page"


def _things(data: bytes, name: str, number: int) -> tuple[PageLaidOut, list[Any], list[Any]]:
    """A page, all its things, and its curves but for its frame. Raises BadFile: none, none such, over the limit, no lines."""
    laid = _page(data, name, number)
    things = list(_within(laid.page, name))
    curves = [
        thing for thing in things if isinstance(thing, layout.LTCurve) and _is_seen(thing) and not _is_frame(thing, laid.page)
    ]
    if not curves:
        scan = "it is a scan: " if any(isinstance(thing, layout.LTImage) for thing in things) else ""
        what = f"{scan}page {number} holds no lines; measure from it, or ask for the plan as its drawing program writes it"
        raise BadFile([Fault(name, what)])
    return laid, things, curves


def _page(data: bytes, name: str, number: int) -> PageLaidOut:
    """The page, laid out. Raises BadFile for whatever the reader stumbles over, which has many names."""
    try:
        laid: PageLaidOut = pdf_pages.page_laid_out(data, number)
    except Exception as error:
        locked = "Password" in type(error).__name__ or "Encrypt" in type(error).__name__
        what = "it is protected by a password: save it without" if locked else _UNSOUND
        raise BadFile([Fault(name, what)]) from None
    if laid.page is None:
        raise BadFile([Fault(name, f"there is no page {number}: it has {laid.pages}" if laid.pages else _UNSOUND)])
    return laid


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


def _scale(said: PlanSaid, texts: list[Any], page: PageSeen, name: str, unit: Unit) -> tuple[float, str]:
    """How many times larger than on paper, and by which length if one was known. Raises BadFile where nobody said it."""
    if said.scale:
        return said.scale, ""
    on_it = sorted({found[0] for text in texts for found in _SCALE.finditer(text.get_text()[:200])})
    told = f"; on it stands {' and '.join(on_it[:4])}" if on_it else ""
    if said.known_mm:
        scale, by = scale_known(said, page, name, unit)
        return scale, by + told.replace("on it stands", "on the page stands")
    across, up = (write_length(side, Unit.MM) for side in (page.width_mm, page.height_mm))
    what = f"a PDF tells no scale: say it, such as 1:50, for the page at {across} × {up}{told}"
    raise BadFile([Fault(name, f"{what}; or say how long one of its lines is")])


def _width_of(curve: Any) -> str:
    return f"{curve.linewidth:.2g} pt" if curve.stroke else "filled"


def _strokes(curve: Any, layer: str, unit_mm: float) -> Iterator[Stroke]:
    """A path as lines; one that is closed runs back to where it began, as walls are drawn by either."""
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
