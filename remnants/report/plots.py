"""Plots of figures, drawn like every drawing here: black on paper, told apart by line, hatching and words, never by colour."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from remnants.geometry.tolerances import WHOLE
from remnants.report.drawing import Anchor, Area, Dash, Drawing, Fill, Lines, Mark, Pen, Words
from remnants.report.lettering import width_mm

__all__ = ["Series", "bars_plot", "columns_plot", "levels_plot"]

WIDE_MM, HIGH_MM = 100.0, 60.0
TEXT_MM = 3.6
LEFT_MM, RIGHT_MM, BELOW_MM = 17.0, 3.0, 8.0
MOST_LABELS = 5
HATCH_MM = 1.1
_DASHES = (Dash.SOLID, Dash.DASHED, Dash.DOTTED, Dash.CHAIN)


@dataclass(frozen=True, slots=True)
class Series:
    """Figures under one name, one a period."""

    name: str
    values: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where figures are drawn: the highest tick, the room's corner and size (paper mm), how many periods."""

    top: float
    left: float
    bottom: float
    width: float
    height: float
    count: int

    def x(self, at: float) -> float:
        return self.left + self.width * at / self.count

    def y(self, value: float) -> float:
        return self.bottom + self.height * value / self.top


def levels_plot(title: str, labels: Sequence[str], series: Sequence[Series], *, unit: str) -> Drawing:
    """Levels over time as steps, the first series heavy; each line has its own dash, and its name in a key above."""
    frame, marks = _framed(labels, series, unit)
    for index, each in enumerate(series):
        run = [(frame.x(at + side), frame.y(value)) for at, value in enumerate(each.values) for side in (0, 1)]
        marks.append(Lines((tuple(run),), Pen.THICK if index == 0 else Pen.PLAIN, _DASHES[index % len(_DASHES)]))
    marks += _key(series, _line_sample)
    return _finished(title, labels, series, unit, marks)


def columns_plot(title: str, labels: Sequence[str], series: Sequence[Series], *, unit: str) -> Drawing:
    """Columns side by side in each period: the first series black, the second hatched, the third white."""
    frame, marks = _framed(labels, series, unit)
    gap = 0.16
    each_wide = (1 - gap) / len(series)
    for index, each in enumerate(series):
        for at, value in enumerate(each.values):
            if value > 0:
                left = frame.x(at + gap / 2 + index * each_wide)
                right = frame.x(at + gap / 2 + (index + 1) * each_wide)
                marks += _filled(index, (left, frame.bottom, right, frame.y(value)))
    marks += _key(series, lambda index, x, y: _filled(index, (x, y - 1.3, x + 6.0, y + 1.3)))
    return _finished(title, labels, series, unit, marks)


def bars_plot(title: str, bars: Sequence[tuple[str, float, str]], *, unit: str) -> Drawing:
    """A bar for each (name, value, value as text), the name above it and the text at its end."""
    row = 9.5
    height = len(bars) * row + 4.0
    most = max((value for _, value, _ in bars), default=0.0) or 1.0
    room = WIDE_MM - 6.0 - max((width_mm(text, TEXT_MM) for _, _, text in bars), default=0.0)
    marks: list[Mark] = []
    for index, (name, value, text) in enumerate(bars):
        top = height - 2.0 - index * row
        marks.append(Words(_short(name, WIDE_MM - 6.0), (2.0, top - 2.2), TEXT_MM))
        end = 2.0 + room * value / most
        marks += _filled(0, (2.0, top - 8.4, end, top - 4.6)) if value > 0 else []
        marks.append(Words(text, (end + 1.5, top - 6.5), TEXT_MM))
    told = f"{title}, {unit}: " + "; ".join(f"{name} {text}" for name, _, text in bars)
    return Drawing(title, title, f"{told}. The table below has the same figures.", WIDE_MM, height, 1.0, tuple(marks))


def _framed(labels: Sequence[str], series: Sequence[Series], unit: str) -> tuple[_Frame, list[Mark]]:
    """The frame with its grid, figures at the left, and as many labels below as have room."""
    most = max((value for each in series for value in each.values), default=0.0)
    step = _tick(most)
    top = step * max(1, math.ceil(most / step - WHOLE))
    rows = 0 if len(series) == 1 else _key_rows(series)
    frame = _Frame(
        top, LEFT_MM, BELOW_MM, WIDE_MM - LEFT_MM - RIGHT_MM, HIGH_MM - BELOW_MM - 7.0 - 6.0 * rows, max(1, len(labels))
    )
    right = frame.left + frame.width
    marks: list[Mark] = []
    for index in range(round(top / step) + 1):
        y = frame.y(index * step)
        marks.append(Lines((((frame.left, y), (right, y)),), Pen.PLAIN if index == 0 else Pen.HAIR))
        marks.append(Words(f"{index * step:,.10g}", (frame.left - 1.5, y), TEXT_MM, Anchor.END))
    marks.append(Words(unit, (frame.left, frame.bottom + frame.height + 4.2), TEXT_MM, bold=True))
    widest = max((width_mm(label, TEXT_MM) for label in labels), default=1.0)
    every = math.ceil(len(labels) / max(1, min(MOST_LABELS, int(frame.width / (widest + 3.0)))))
    for at in range((every - 1) // 2, len(labels), every):
        half = width_mm(labels[at], TEXT_MM) / 2
        x = min(max(frame.x(at + 0.5), half + 1.0), WIDE_MM - half - 1.0)
        marks.append(Words(labels[at], (x, 3.2), TEXT_MM, Anchor.MIDDLE))
        marks.append(Lines((((frame.x(at + 0.5), frame.bottom), (frame.x(at + 0.5), frame.bottom - 1.2)),), Pen.PLAIN))
    return frame, marks


def _tick(most: float) -> float:
    """A round step of which at most five make the highest figure."""
    if most <= 0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(most / 5))
    return next(step * power for step in (1, 2, 5, 10) if step * power * 5 >= most)


def _key_places(series: Sequence[Series]) -> Iterable[tuple[int, float, str]]:
    """Row, left end (paper mm) and shown name of each series in the key."""
    x, row = LEFT_MM, 0
    for each in series:
        name = _short(each.name, 45.0)
        wide = 8.0 + width_mm(name, TEXT_MM) + 5.0
        if x > LEFT_MM and x + wide > WIDE_MM:
            x, row = LEFT_MM, row + 1
        yield row, x, name
        x += wide


def _key_rows(series: Sequence[Series]) -> int:
    return max(row for row, _, _ in _key_places(series)) + 1


def _key(series: Sequence[Series], sample: Callable[[int, float, float], list[Mark]]) -> list[Mark]:
    marks: list[Mark] = []
    if len(series) > 1:
        for index, (row, x, name) in enumerate(_key_places(series)):
            y = HIGH_MM - 3.0 - 6.0 * row
            marks += sample(index, x, y)
            marks.append(Words(name, (x + 8.0, y), TEXT_MM))
    return marks


def _line_sample(index: int, x: float, y: float) -> list[Mark]:
    return [Lines((((x, y), (x + 6.5, y)),), Pen.THICK if index == 0 else Pen.PLAIN, _DASHES[index % len(_DASHES)])]


def _filled(index: int, box: tuple[float, float, float, float]) -> list[Mark]:
    left, low, right, high = box
    ring = ((left, low), (right, low), (right, high), (left, high))
    if index % 3 == 0:
        return [Area((ring,), Fill.INK, None)]
    marks: list[Mark] = [Area((ring,), Fill.PAPER, Pen.PLAIN)]
    return [*marks, *_hatch(box)] if index % 3 == 1 else marks


def _hatch(box: tuple[float, float, float, float]) -> list[Mark]:
    """Strokes rising to the right, cut off at the box."""
    left, low, right, high = box
    runs = []
    offset = -(right - left) + HATCH_MM
    while offset < high - low:
        start = (left + max(0.0, -offset), low + max(0.0, offset))
        reach = min(right - start[0], high - start[1])
        if reach > 0.05:
            runs.append((start, (start[0] + reach, start[1] + reach)))
        offset += HATCH_MM
    return [Lines(tuple(runs), Pen.THIN)] if runs else []


def _short(name: str, room: float) -> str:
    while width_mm(name, TEXT_MM) > room:
        name = f"{name.rstrip('…')[:-1]}…"
    return name


def _finished(title: str, labels: Sequence[str], series: Sequence[Series], unit: str, marks: Sequence[Mark]) -> Drawing:
    return Drawing(title, title, _told(title, labels, series, unit), WIDE_MM, HIGH_MM, 1.0, tuple(marks))


def _told(title: str, labels: Sequence[str], series: Sequence[Series], unit: str) -> str:
    """First, highest and last of each series, in a sentence."""
    told = []
    for each in series:
        if each.values:
            at = max(range(len(each.values)), key=each.values.__getitem__)
            first, most, last = (f"{value:,.1f}" for value in (each.values[0], each.values[at], each.values[-1]))
            told.append(f"{each.name}: {first} in {labels[0]}, most {most} in {labels[at]}, {last} in {labels[-1]}")
    return f"{title}, {unit}. {'. '.join(told)}. The table below has the same figures."
