"""Where along the patch a seam is seen alike: a family of seams cut at doorways, lanes and furniture.

Between two places where something begins or ends, a seam touches the same doorway, crosses the same lanes and is hidden, if
at all, by the same furniture. At such a place itself it meets what lies on both sides.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations, pairwise
from typing import NamedTuple

from remnants.fitting.patch.question import AXES, Ask
from remnants.fitting.patch.shape import Axis, Shape, Split, splits
from remnants.geometry.outline import bounds
from remnants.geometry.segments import Line, edges_of, meeting, part_of
from remnants.geometry.tolerances import BESIDE_MM
from remnants.sights import View

__all__ = ["Span", "Where", "clear_of", "every_span", "least_view", "seam_length", "spans_along", "spans_of"]

CLEAR_MM = 25.4
"""How far a seam is set from a doorway, a lane or the edge of furniture where there is room (common practice, no source)."""

ALIKE_MM = 0.5
"""Seams whose seen lengths differ by no more are seen alike."""


class Span(NamedTuple):
    """Positions `low` to `high` of a seam (mm) at which it is seen alike, and how: what is seen of it is the least there."""

    low: float
    high: float
    view: View


Where = Sequence[tuple[Split, Span]]
"""Families of seams, each with a span of its positions."""


def spans_of(ask: Ask, split: Split) -> tuple[Span, ...]:
    """The spans of a family of seams, lowest first; one where nothing is known of what lies round the patch."""
    if ask.surroundings.is_plain:
        length = seam_length(ask, split.axis)
        return (Span(split.low, split.high, View(length, length)),)
    key = split.shape.ring, split.axis, split.rising, split.falling
    if key not in ask.spans:
        ask.spans[key] = tuple(_spans(ask, split))
    return tuple(Span(low, high, view) for low, high, view in ask.spans[key])


def every_span(ask: Ask, shape: Shape) -> list[tuple[Split, Span]]:
    """The spans of every family of seams through a shape, along the pile and across it."""
    return [(split, span) for axis in AXES for split in splits(shape, axis) for span in spans_of(ask, split)]


def spans_along(ask: Ask, axis: Axis) -> list[tuple[View, list[tuple[Split, Span]]]]:
    """The spans of the whole patch along an axis, those that are seen alike together, the least seen first."""
    found: dict[View, list[tuple[Split, Span]]] = {}
    for split in splits(ask.shape, axis):
        for span in spans_of(ask, split):
            found.setdefault(span.view, []).append((split, span))
    return sorted(found.items(), key=lambda each: (not each[0].is_hidden, each[0].doorway != "", each[0].across_lane))


def seam_length(ask: Ask, axis: Axis) -> float:
    """The least length (mm) of one seam through the whole patch; of an odd patch nothing is known."""
    return ask.shape.extent(Axis(1 - axis)) if ask.shape.is_rectangle else 0.0


def least_view(ask: Ask, axis: Axis | None, *, inner: int) -> list[tuple[Axis, View]]:
    """How seams square to an axis (None: to either) may be seen; where there are several, some may be shorter than the patch."""
    axes = AXES if axis is None else (axis,)
    found = [(way, view) for way in axes for view, _ in spans_along(ask, way)] or [
        (way, View(seam_length(ask, way), seam_length(ask, way))) for way in axes
    ]
    if inner > 1 and not ask.surroundings.is_plain:
        return [(way, View(0.0, 1.0 if ask.surroundings.hidden else 0.0)) for way, _ in found]
    return found


def clear_of(span: Span, low: float, high: float) -> tuple[float, float]:
    """The range of a seam within a span, kept clear of where the span begins and ends as far as there is room (mm)."""
    begins, ends = max(low, span.low), min(high, span.high)
    off = min(CLEAR_MM, max(ends - begins, 0.0) / 2)
    return begins + off if span.low > low else begins, ends - off if span.high < high else ends


def _spans(ask: Ask, split: Split) -> Iterator[Span]:
    held: Span | None = None
    for span in _looked_at(ask, split):
        if held is not None and _alike(held.view, span.view):
            held = Span(held.low, span.high, min(held.view, span.view, key=_shown))
            continue
        if held is not None:
            yield held
        held = span
    if held is not None:
        yield held


def _looked_at(ask: Ask, split: Split) -> Iterator[Span]:
    """The places where something begins or ends, and what lies between them, in their order."""

    def seen(at: float) -> View:
        return ask.view_of(split.line(min(max(at, split.low), split.high)))

    places = [split.low, *_events(ask, split), split.high]
    for at, after in pairwise([*places, split.high]):
        yield Span(max(at - BESIDE_MM, split.low), min(at + BESIDE_MM, split.high), seen(at))
        if after - at > 2 * BESIDE_MM:
            low, high = at + BESIDE_MM, after - BESIDE_MM
            least = min(map(seen, (low, (low + high) / 2, high)), key=_shown)
            yield Span(low, high, replace(seen((low + high) / 2), shown_mm=least.shown_mm))


def _shown(view: View) -> float:
    return view.shown_mm


def _alike(one: View, two: View) -> bool:
    meets = (one.is_hidden, one.doorway, one.across_lane) == (two.is_hidden, two.doorway, two.across_lane)
    return meets and abs(one.shown_mm - two.shown_mm) <= ALIKE_MM


def _events(ask: Ask, split: Split) -> list[float]:
    """Positions strictly inside a family of seams at which something begins or ends, lowest first."""
    around = ask.surroundings
    box = split.shape.box
    rings = [[edge for edge in edges_of(ring, closed=True) if _near(edge, box)] for ring in around.hidden]
    others = [line for line in (*around.steps, *(line for line, _ in around.doorways)) if _near(line, box)]
    told = [*(edge for ring in rings for edge in ring), *others]
    places = [point[split.axis] for line in told for point in line]
    ring = split.shape.ring
    walls = [(ring[edge], ring[(edge + 1) % len(ring)]) for edge in (split.rising, split.falling)]
    pairs = [(line, wall) for line in told for wall in walls]
    pairs += [(edge, other) for ring in rings for edge in ring for other in others]
    pairs += [(edge, other) for one, two in combinations(rings, 2) for edge in one for other in two]
    places += [part_of(one, share, 1.0)[0][split.axis] for one, two in pairs if (share := meeting(one, two)) is not None]
    found: list[float] = []
    for at in sorted(places):
        if split.low + BESIDE_MM < at < split.high - BESIDE_MM and (not found or at - found[-1] > BESIDE_MM):
            found.append(at)
    return found


def _near(line: Line, box: Sequence[float]) -> bool:
    """True if a line's bounds meet a box (mm)."""
    left, bottom, right, top = bounds(line)
    return left <= box[2] + 1 and right >= box[0] - 1 and bottom <= box[3] + 1 and top >= box[1] - 1
