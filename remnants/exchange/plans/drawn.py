"""What a plan shows before anything is made of it: strokes, texts, doors, layers, each with its place. Lengths are millimetres.

Places are told as the drawing has them: in its own figures, from its own origin.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from remnants.geometry import Point

__all__ = ["Drawn", "LayerSeen", "Shown", "Spot", "Stroke", "TextDrawn", "hidden_told"]


class Shown(Enum):
    """Whether the drawing shows a layer."""

    SHOWN = ""
    OFF = "off"
    FROZEN = "frozen"


@dataclass(frozen=True)
class Spot:
    """An entity of the drawing: its kind, handle and layer, and a place on it in the drawing's own figures."""

    kind: str
    handle: str
    layer: str
    at: Point | None = None
    block: str = ""

    def __str__(self) -> str:
        """As a refusal names it."""
        inside = f" in block {self.block!r}" if self.block else ""
        at = f" at {self.at[0]:.6g}, {self.at[1]:.6g}" if self.at else ""
        return " ".join(filter(None, (self.kind, self.handle))) + f"{inside} on layer {self.layer!r}{at}"


@dataclass(frozen=True)
class Stroke:
    """A line, straight or flattened: its points, and whether it runs back to the first. `curved` are the points on a curve.

    An arc tells its `centre`. `filled` is the edge of a hatch.
    """

    points: tuple[Point, ...]
    closed: bool
    spot: Spot
    curved: frozenset[Point] = frozenset()
    centre: Point | None = None
    filled: bool = False


@dataclass(frozen=True)
class TextDrawn:
    """A text of the drawing, where it starts, and how high its letters are."""

    text: str
    at: Point
    height_mm: float


@dataclass(frozen=True)
class LayerSeen:
    """A layer, how many entities stand on it, how many of them are closed, and whether it is shown."""

    name: str
    count: int
    closed: int
    shown: Shown = Shown.SHOWN

    @property
    def told(self) -> str:
        """What stands on it, in words."""
        things = "1 entity" if self.count == 1 else f"{self.count:,} entities"
        parts = (things, f"{self.closed:,} closed" if self.closed else "", self.shown.value)
        return ", ".join(filter(None, parts))


def hidden_told(layers: Iterable[LayerSeen]) -> str:
    """Which of the layers are left out, as the drawing doesn't show them."""
    named = (f"{layer.name!r} ({layer.shown.value})" for layer in layers if layer.shown is not Shown.SHOWN)
    return f"layers that the drawing doesn't show are left out: {', '.join(named)}"


@dataclass(frozen=True)
class Drawn:
    """A whole plan. `doors` are the strokes of one door each; `notes` tell what was left out. One in its figures is `unit_mm`.

    `remedy` is what to do where its sizes can't be true. `by_length`: it is scaled by a length that somebody told.
    """

    strokes: tuple[Stroke, ...]
    texts: tuple[TextDrawn, ...] = ()
    doors: tuple[tuple[Stroke, ...], ...] = ()
    layers: tuple[LayerSeen, ...] = ()
    notes: tuple[str, ...] = ()
    unit_mm: float = 1.0
    remedy: str = "say which unit the drawing is in"
    by_length: bool = False

    def place(self, point: Point) -> str:
        """A point (mm) in the drawing's own figures."""
        return f"{point[0] / self.unit_mm:.6g}, {point[1] / self.unit_mm:.6g}"
