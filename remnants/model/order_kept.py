"""What is kept of an order that was saved: enough to tell it from its next revision, and what its rolls leave. Lengths mm."""

from dataclasses import dataclass

from remnants.geometry import TOLERANCE_MM, Outline
from remnants.model.money import Money

__all__ = ["CarpetKept", "LeftoverKept", "OrderKept", "RoomKept"]


@dataclass(frozen=True)
class RoomKept:
    """A room or flight: its name, the carpet that it is laid in, and its size across and up (steps of stairs in `steps`)."""

    name: str
    carpet: str
    width_mm: float
    length_mm: float
    steps: int = 0


@dataclass(frozen=True)
class CarpetKept:
    """What is ordered of one carpet: the roll's width, the length ordered, seams, and what it remains at by currency."""

    carpet: str
    width_mm: float
    ordered_mm: float
    seams: int
    sums: tuple[Money, ...] = ()


@dataclass(frozen=True)
class LeftoverKept:
    """What a roll leaves that is worth keeping: which carpet it is, its outline in its pile frame, from its own corner.

    `largest_mm` is its largest rectangle, across and along the pile.
    """

    style: str
    colour: str
    lot: str
    outline: Outline
    largest_mm: tuple[float, float]


@dataclass(frozen=True)
class OrderKept:
    """An order as it was saved. `quoted` is what the customer was asked for, if a quote was made."""

    name: str
    rooms: tuple[RoomKept, ...]
    carpets: tuple[CarpetKept, ...]
    leftovers: tuple[LeftoverKept, ...] = ()
    quoted: Money | None = None

    def is_as(self, other: "OrderKept") -> bool:
        """Whether both order the same for the same rooms, to the tolerance of lengths; a quote that one lacks says nothing."""
        quotes = {self.quoted, other.quoted} - {None}
        return (
            self.name == other.name
            and len(quotes) < 2
            and [(each.carpet, each.seams, each.sums) for each in self.carpets]
            == [(each.carpet, each.seams, each.sums) for each in other.carpets]
            and [(each.name, each.carpet, each.steps) for each in self.rooms]
            == [(each.name, each.carpet, each.steps) for each in other.rooms]
            and all(abs(one - two) <= TOLERANCE_MM for one, two in zip(self.lengths, other.lengths, strict=True))
        )

    @property
    def lengths(self) -> tuple[float, ...]:
        """Every length in it, in order (mm)."""
        rooms = [length for room in self.rooms for length in (room.width_mm, room.length_mm)]
        return (*rooms, *(length for each in self.carpets for length in (each.width_mm, each.ordered_mm)))
