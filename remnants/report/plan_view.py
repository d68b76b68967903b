"""A page of a plan with its lines numbered, to choose one whose length is known: as a picture (SVG), and in words."""

from collections.abc import Iterable
from html import escape

from remnants.geometry import Point
from remnants.model.page_seen import LineSeen, PageSeen
from remnants.units import Unit

__all__ = ["lines_told", "page_svg"]

MOST_POINTS = 40_000
"""Corners of lines that the picture shows beside those that have a number: more is a grey field, and slow on a phone."""

NUMBERED_SHARE = 0.06
"""A number stands beside lines that are longer than this of the picture's longer side; the others are told in the list."""


def lines_told(seen: PageSeen, unit: Unit) -> tuple[tuple[int, str], ...]:
    """Each numbered line and which it is, in words."""
    return tuple((line.number, line.told(unit)) for line in seen.lines)


def page_svg(seen: PageSeen, unit: Unit) -> str:
    """The lines of the page as a picture, those with a number heavier: what is told of one is its title."""
    left, low, right, top = _box(seen)
    size = max(right - left, top - low)
    letters = size / 30
    frame = f'x="{left:.1f}" y="{seen.height_mm - top:.1f}" width="{right - left:.1f}" height="{top - low:.1f}"'
    told = f"The page with its {len(seen.lines)} longest lines numbered"
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="plan-page" role="img" aria-label="{told}" '
        f'viewBox="{left:.1f} {seen.height_mm - top:.1f} {right - left:.1f} {top - low:.1f}" '
        f'font-family="sans-serif" font-size="{letters:.2f}"><rect {frame} fill="#fff"/>'
    )
    paths = _path(_as_many(seen.paths), seen.height_mm)
    thin = f'<path d="{paths}" fill="none" stroke="#777" stroke-width="1" vector-effect="non-scaling-stroke"/>'
    lines = "".join(_line(line, seen.height_mm, unit) for line in seen.lines)
    long = (line for line in seen.lines if line.length_mm >= NUMBERED_SHARE * size)
    return f"{head}{thin}{lines}{''.join(_number(line, seen.height_mm, letters) for line in long)}</svg>\n"


def _box(seen: PageSeen) -> tuple[float, float, float, float]:
    """What of the page has lines with a number, and a little round it; all of it where none has."""
    points = [point for line in seen.lines for point in (line.start, line.end)]
    if not points:
        return 0.0, 0.0, seen.width_mm, seen.height_mm
    xs, ys = zip(*points, strict=True)
    room = 0.04 * max(max(xs) - min(xs), max(ys) - min(ys))
    return min(xs) - room, min(ys) - room, max(xs) + room, max(ys) + room


def _as_many(paths: Iterable[tuple[Point, ...]]) -> Iterable[tuple[Point, ...]]:
    count = 0
    for path in paths:
        count += len(path)
        if count > MOST_POINTS:
            return
        yield path


def _path(paths: Iterable[tuple[Point, ...]], height: float) -> str:
    return " ".join("M" + " ".join(f"{x:.1f} {height - y:.1f}" for x, y in path) for path in paths)


def _line(line: LineSeen, height: float, unit: Unit) -> str:
    (ax, ay), (bx, by) = line.start, line.end
    at = f'x1="{ax:.2f}" y1="{height - ay:.2f}" x2="{bx:.2f}" y2="{height - by:.2f}" vector-effect="non-scaling-stroke"'
    return (
        f'<g class="plan-line" data-line="{line.number}"><title>{line.number}: {escape(line.told(unit))}</title>'
        f'<line {at} stroke="#111" stroke-width="2"/>'
        f'<line {at} stroke="transparent" stroke-width="18" pointer-events="stroke"/></g>'
    )


def _number(line: LineSeen, height: float, letters: float) -> str:
    """Its number on a little paper, at its middle."""
    x, y = (line.start[0] + line.end[0]) / 2, height - (line.start[1] + line.end[1]) / 2
    wide = letters * (0.5 + 0.62 * len(str(line.number)))
    return (
        f'<rect x="{x - wide / 2:.2f}" y="{y - letters * 0.6:.2f}" width="{wide:.2f}" height="{letters * 1.2:.2f}" fill="#fff" '
        f'pointer-events="none"/><text x="{x:.2f}" y="{y + letters * 0.36:.2f}" text-anchor="middle" fill="#111" '
        f'pointer-events="none">{line.number}</text>'
    )
