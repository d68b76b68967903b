"""Labels as pictures of a printer's dots, black or white and nothing between; and how large a label is, as one types it."""

import math
import re
from io import BytesIO

from PIL import Image, ImageDraw, ImageFont

from remnants.errors import BadInput, BadMeasure, Fault
from remnants.geometry.tolerances import TOLERANCE_MM
from remnants.report.drawing import Anchor, Area, Fill, Lines, Mark, Words
from remnants.report.labels import Label, label_marks
from remnants.report.lettering import CAP_SHARE, width_mm
from remnants.report.pdf import Fonts
from remnants.units import MM_PER_IN, Unit, parse_length

__all__ = ["LARGEST_MM", "RESOLUTIONS", "SMALLEST_MM", "label_png", "read_label_size"]

RESOLUTIONS = {203: 8.0, 300: 300 / MM_PER_IN}
"""Dots per mm of the printers called 203 and 300 dpi; the first have 8 dots to the millimetre (common practice, no source)."""

SMALLEST_MM, LARGEST_MM = (40.0, 25.0), (300.0, 300.0)
"""Width and height of the least label that holds what is to be told, and of the largest that such printers take (mm)."""

_BETWEEN = re.compile(r"\s*[x×*]\s*", re.IGNORECASE)
_ANCHORS = {Anchor.START: "ls", Anchor.MIDDLE: "ms", Anchor.END: "rs"}


def read_label_size(text: str) -> tuple[float, float]:
    """Width and height of a label (mm): `62x29`, `100 x 50 mm`, `4 x 2 in`, `2 1/4" x 1 1/4"`; figures alone are mm.

    A unit behind the second counts for both. Raises BadInput at `label`.
    """
    parts = _BETWEEN.split(text.strip())
    try:
        if len(parts) != 2:
            raise BadMeasure("no size")
        unit = Unit.IN if re.search(r"(in|\"|″|inch|inches)\.?$", parts[1], re.IGNORECASE) else Unit.MM
        width, height = (parse_length(part, unit) for part in parts)
    except BadMeasure:
        told = f"{text[:40]!r} is no label: give its width and height, such as 62x29 in mm or 4 x 2 in"
        raise BadInput([Fault("label", told)]) from None
    within = all(least <= side <= most for side, least, most in zip((width, height), SMALLEST_MM, LARGEST_MM, strict=True))
    if not within:
        told = f"{text[:40]!r} is no label that can be printed: at least 40 x 25 mm, at most 300 x 300 mm"
        raise BadInput([Fault("label", told)])
    return width, height


def label_png(label: Label, fonts: Fonts, *, size_mm: tuple[float, float], dots_per_mm: float) -> bytes:
    """The label as a PNG of black and white dots that says how many there are to the inch.

    A label is as many whole dots as go on it. Raises BadInput as `label_marks`.
    """
    width, height = (math.floor((side + TOLERANCE_MM) * dots_per_mm) for side in size_mm)
    picture = Image.new("1", (width, height), 1)
    pen = ImageDraw.Draw(picture)
    pen.fontmode = "1"
    for mark in label_marks(label, size_mm, dot_mm=1 / dots_per_mm):
        _draw(pen, mark, fonts, dots_per_mm, height)
    out = BytesIO()
    picture.save(out, "PNG", dpi=(dots_per_mm * MM_PER_IN, dots_per_mm * MM_PER_IN), optimize=True)
    return out.getvalue()


def _draw(pen: ImageDraw.ImageDraw, mark: Mark, fonts: Fonts, scale: float, height: int) -> None:
    """Every line is drawn whole, and as many dots wide as it comes to; labels have no broken ones."""

    def at(point: tuple[float, float]) -> tuple[int, int]:
        return round(point[0] * scale), height - round(point[1] * scale)

    match mark:
        case Lines():
            for run in mark.runs:
                pen.line([at(point) for point in run], fill=0, width=max(1, round(mark.pen.value * scale)))
        case Area():
            for ring in mark.rings:
                _fill(pen, [at(point) for point in ring], ink=mark.fill is Fill.INK)
        case Words():
            font = _font(mark, fonts, scale)
            baseline = (mark.at[0], mark.at[1] - mark.size_mm * CAP_SHARE)
            pen.text(at(baseline), mark.text, fill=0, font=font, anchor=_ANCHORS[mark.anchor])


def _fill(pen: ImageDraw.ImageDraw, corners: list[tuple[int, int]], *, ink: bool) -> None:
    """A rectangle along the axes covers the dots between its sides and none beyond; its neighbour begins at the next."""
    xs, ys = {x for x, _ in corners}, {y for _, y in corners}
    if len(corners) == 4 and len(xs) == len(ys) == 2:
        pen.rectangle((min(xs), min(ys), max(xs) - 1, max(ys) - 1), fill=0 if ink else 1)
    else:
        pen.polygon(corners, fill=0 if ink else 1)


def _font(words: Words, fonts: Fonts, scale: float) -> ImageFont.FreeTypeFont:
    """The font at the size of the words, a dot smaller where whole dots make them longer than they are on paper."""
    data = fonts.bold if words.bold else fonts.plain
    room = width_mm(words.text, words.size_mm, bold=words.bold) * scale
    size = max(1, round(words.size_mm * scale))
    font = ImageFont.truetype(BytesIO(data), size)
    while size > 1 and font.getlength(words.text) > room + 1:
        size -= 1
        font = ImageFont.truetype(BytesIO(data), size)
    return font
