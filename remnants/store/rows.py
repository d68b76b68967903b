"""From rows to values and back; the columns' names stand nowhere else but in the statements. Lengths mm."""

import json
import os
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, date, datetime
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from remnants.geometry import Outline, Ring, staircase_of
from remnants.geometry.outline import bounds
from remnants.geometry.staircase import largest_step
from remnants.geometry.turn import turned_ring
from remnants.ledger import Hold, OnTheWay, Signed, Stage, Standing
from remnants.model import Colourway, Lab, Piece, Repeat, Style
from remnants.model.attributes import PIECE, PLAIN, Attribute, Value
from remnants.model.money import money_of
from remnants.model.style_attributes import STYLE, STYLE_PLAIN

__all__ = [
    "ALL_BUT",
    "DERIVED_COLUMNS",
    "PIECE_COLUMNS",
    "STANDING_COLUMNS",
    "STYLE_COLUMNS",
    "TOLD_COLUMNS",
    "UNTOLD",
    "changed_columns",
    "changes_shape",
    "lab_of",
    "moment_text",
    "piece_of",
    "piece_row",
    "rings_of",
    "rings_text",
    "staircase_in",
    "standing_of",
    "standing_row",
    "style_of",
    "style_row",
    "time_of",
    "time_text",
]

STYLE_COLUMNS = tuple(column for attribute in STYLE for column in attribute.columns)
_WORKED_OUT = ("across_mm", "along_mm", "area_mm2", "staircase", "largest_short_mm", "largest_long_mm")
PIECE_COLUMNS = (*(column for attribute in PIECE for column in attribute.columns), *_WORKED_OUT)

_WAY = ("way_start", "way_goal", "way_expected", "way_place", "way_who", "way_at")

STANDING_COLUMNS = (
    *PIECE_COLUMNS,
    "stage",
    "version",
    "hold_job",
    "hold_until",
    "parent",
    *_WAY,
    "lent_until",
    "came",
    "seen_at",
    "by_who",
    "by_at",
    "by_why",
    "by_job",
    "touched",
)

DERIVED_COLUMNS = frozenset({*_WORKED_OUT, "touched"})
"""Worked out from the others, or marks: no part of what a piece is."""

UNTOLD: Mapping[str, Any] = MappingProxyType(
    {column: attribute.usual for attribute in PIECE for column in attribute.columns if not attribute.needed}
)
"""What holds of a piece where an entry, written before a fact was kept, tells nothing of it; as the columns' defaults do."""

TOLD_COLUMNS = ", ".join(column for column in STANDING_COLUMNS if column not in DERIVED_COLUMNS)
"""What `standing_of` reads, for a statement."""

MARK_BYTES = 8
"""Of the mark that each write of a row renews."""

ALL_BUT = 1 - 1e-9
"""An outline that fills so much of its bounds along the pile is a rectangle."""

Row = Mapping[str, Any]

_written = json.JSONEncoder(separators=(",", ":")).encode


def _conversion(attribute: Attribute) -> tuple[Callable[[Any], Any], Callable[[Any], Any]]:
    """How a value goes into its column, and how it comes out."""
    match attribute.value:
        case Value.CHOICE if attribute.choices:
            return str, attribute.choices
        case Value.YES_NO:
            return int, bool
        case Value.DATE:
            return date.isoformat, date.fromisoformat
        case Value.MONEY:
            return lambda money: money.written, money_of
    raise AssertionError(f"no column holds a {attribute.value}")


_AS_IT_IS = frozenset({Value.NAME, Value.TEXT, Value.STEP, Value.LENGTH, Value.MASS, Value.BEARING})


class _Plain:
    """The plain attributes of a table, each of which has a column of its field's name."""

    def __init__(self, attributes: Sequence[Attribute]) -> None:
        self._kept = tuple(attribute.field for attribute in attributes if attribute.value in _AS_IT_IS)
        self._converted = tuple(
            (attribute.field, *_conversion(attribute)) for attribute in attributes if attribute.value not in _AS_IT_IS
        )

    def row(self, thing: Any) -> dict[str, Any]:
        """What the columns hold of a piece or style."""
        values = {field: getattr(thing, field) for field in self._kept}
        for field, into, _ in self._converted:
            value = getattr(thing, field)
            values[field] = None if value is None else into(value)
        return values

    def fields(self, row: Row) -> dict[str, Any]:
        """The fields of the piece or style in a row."""
        values: dict[str, Any] = {field: row[field] for field in self._kept}
        for field, _, out_of in self._converted:
            value = row[field]
            values[field] = None if value is None else out_of(value)
        return values


_OF_STYLES, _OF_PIECES = _Plain(STYLE_PLAIN), _Plain(PLAIN)


def style_row(style: Style) -> tuple[Any, ...]:
    """The values of STYLE_COLUMNS."""
    repeat = style.repeat
    values = _OF_STYLES.row(style) | {
        "repeat_across_mm": repeat and repeat.across_mm,
        "repeat_along_mm": repeat and repeat.along_mm,
        "repeat_drop": repeat and repeat.drop,
        "colours": json.dumps([[colour.name, _lab_list(colour.lab)] for colour in style.colours]),
    }
    return tuple(values[column] for column in STYLE_COLUMNS)


def style_of(row: Row) -> Style:
    """The style in a row."""
    across_mm = row["repeat_across_mm"]
    return Style(
        repeat=None if across_mm is None else Repeat(across_mm, row["repeat_along_mm"], row["repeat_drop"]),
        colours=tuple(Colourway(name, Lab(*lab) if lab else None) for name, lab in json.loads(row["colours"])),
        **_OF_STYLES.fields(row),
    )


def piece_row(piece: Piece) -> tuple[Any, ...]:
    """The values of PIECE_COLUMNS. Across and along are the extents of the outline with its pile turned to +y.

    A plain rectangle has no staircase: its size tells all. The largest rectangle is that of the staircase, shorter side first.
    """
    left, bottom, right, top = (
        bounds(turned_ring(piece.outline.ring, -piece.pile_deg)) if piece.pile_deg else piece.outline.bounds
    )
    lab = _lab_list(piece.lab)
    area_mm2 = _area_mm2(piece.outline)
    odd = area_mm2 < (right - left) * (top - bottom) * ALL_BUT
    staircase = staircase_in(piece.outline, piece.pile_deg) if odd else None
    short_mm, long_mm = sorted(largest_step(staircase) if staircase else (right - left, top - bottom))
    motif_x_mm, motif_y_mm = piece.motif or (None, None)
    values = _OF_PIECES.row(piece) | {
        "rings": rings_text(piece.outline),
        "motif_x_mm": motif_x_mm,
        "motif_y_mm": motif_y_mm,
        "lab": json.dumps(lab) if lab else None,
        "across_mm": right - left,
        "along_mm": top - bottom,
        "area_mm2": area_mm2,
        "staircase": staircase,
        "largest_short_mm": short_mm,
        "largest_long_mm": long_mm,
    }
    return tuple(values[column] for column in PIECE_COLUMNS)


def staircase_in(outline: Outline, pile_deg: float) -> bytes:
    """The packed staircase of rectangles that a piece holds, its pile bearing `pile_deg`."""
    return staircase_of(outline, pile_deg).pack()


def piece_of(row: Row) -> Piece:
    """The piece in a row."""
    motif_x_mm = row["motif_x_mm"]
    return Piece(
        outline=rings_of(row["rings"]),
        motif=None if motif_x_mm is None else (motif_x_mm, row["motif_y_mm"]),
        lab=lab_of(row["lab"]) if row["lab"] else None,
        **_OF_PIECES.fields(row),
    )


def lab_of(text: str) -> Lab:
    """The shade in a column."""
    return Lab(*json.loads(text))


def standing_row(standing: Standing) -> tuple[Any, ...]:
    """The values of STANDING_COLUMNS, with a new mark."""
    return (*piece_row(standing.piece), *_stands(standing))


def changes_shape(before: Piece, after: Piece) -> bool:
    """Whether more than plain attributes of a piece changes: its outline, or what is told of its pattern and shade."""
    if before is after:
        return False
    told = ((piece.outline, piece.pile_deg, piece.motif, piece.lab) for piece in (before, after))
    one, other = told
    return one != other


def changed_columns(before: Standing, after: Standing) -> dict[str, Any]:
    """What the columns hold then, of those that change, with a new mark; of a piece whose shape stays."""
    old, new = (dict(zip(STANDING_COLUMNS[len(PIECE_COLUMNS) :], _stands(standing), strict=True)) for standing in (before, after))
    if before.piece is not after.piece:
        old, new = _OF_PIECES.row(before.piece) | old, _OF_PIECES.row(after.piece) | new
    return {column: value for column, value in new.items() if value != old[column]}


def _stands(standing: Standing) -> tuple[Any, ...]:
    """The values of STANDING_COLUMNS after those of PIECE_COLUMNS."""
    hold, signed = standing.hold, standing.signed
    return (
        standing.stage.value,
        standing.version,
        hold.job if hold else None,
        hold.until.isoformat() if hold else None,
        standing.parent,
        *_way_row(standing.way),
        standing.lent_until.isoformat() if standing.lent_until else None,
        time_text(standing.came) if standing.came else "",
        time_text(standing.seen_at),
        signed.who,
        time_text(signed.at),
        signed.why,
        signed.job,
        os.urandom(MARK_BYTES),
    )


def standing_of(row: Row) -> Standing:
    """The piece in a row and where it stands."""
    hold_job = row["hold_job"]
    return Standing(
        piece=piece_of(row),
        stage=Stage(row["stage"]),
        version=row["version"],
        signed=Signed(row["by_who"], time_of(row["by_at"]), row["by_why"], row["by_job"]),
        seen_at=time_of(row["seen_at"]),
        hold=None if hold_job is None else Hold(hold_job, date.fromisoformat(row["hold_until"])),
        parent=row["parent"],
        lent_until=date.fromisoformat(row["lent_until"]) if row["lent_until"] else None,
        way=_way_in(row) if row["way_start"] is not None else None,
        came=time_of(row["came"]) if row["came"] else None,
    )


def _way_row(way: OnTheWay | None) -> tuple[str | None, ...]:
    if way is None:
        return (None,) * len(_WAY)
    return way.start, way.goal, way.expected.isoformat(), way.place, way.who, time_text(way.at)


def _way_in(row: Row) -> OnTheWay:
    start, goal, expected, place, who, at = (row[column] for column in _WAY)
    return OnTheWay(start, goal, date.fromisoformat(expected), place, who, time_of(at))


@lru_cache(maxsize=256)
def time_text(at: datetime) -> str:
    """A time as stored: UTC to the second, which sorts as text."""
    return f"{at.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"


def moment_text(at: datetime) -> str:
    """A moment as stored where what ends is compared with now: UTC to the microsecond, always as long, which sorts as text."""
    return at.astimezone(UTC).isoformat(timespec="microseconds")


def time_of(text: str) -> datetime:
    """A stored time."""
    return datetime.fromisoformat(text)


def rings_text(outline: Outline) -> str:
    """The outline and its cutouts as JSON: a list of rings, the outline first. Floats are kept to the last bit."""
    return _written([outline.ring, *outline.cutouts])


def rings_of(text: str) -> Outline:
    """The outline that `rings_text` wrote. It was checked when it came in."""
    ring, *cutouts = (_ring(points) for points in json.loads(text))
    return Outline(ring, tuple(cutouts))


def _ring(points: list[list[float]]) -> Ring:
    return tuple((float(x), float(y)) for x, y in points)


def _area_mm2(outline: Outline) -> float:
    if outline.is_rectangle:
        left, bottom, right, top = outline.bounds
        return (right - left) * (top - bottom)
    return outline.usable_area_mm2


def _lab_list(lab: Lab | None) -> list[float | str] | None:
    return [lab.lightness, lab.a, lab.b, lab.illuminant] if lab else None
