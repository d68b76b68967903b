"""Invented stocks in a few words, asked through the same door as `remnants fit`: what is chosen, and what is said of the rest."""

from dataclasses import dataclass

from remnants.actions.fit_job import Fitted, fit_stock
from remnants.exchange import Stock
from remnants.geometry import rectangle
from remnants.geometry.outline import outline_of
from remnants.model import (
    Allowance,
    Construction,
    Finish,
    Job,
    Kind,
    Lab,
    MayUse,
    Opening,
    Patch,
    Piece,
    RepairRoom,
    Style,
    Wanted,
)

__all__ = ["Answered", "ask", "patch", "piece", "room"]

TWIST = "Aldern Twist"
LOOP = "Velder Loop"
STYLES = (
    Style(TWIST, Construction.CUT),
    Style(LOOP, Construction.LOOP),
    Style("Aldern Weave", Construction.WOVEN),
    Style("Corran Twist", Construction.CUT),
)
FLOOR = Lab(50.0, 2.0, 10.0)
"""The measured shade of the floor, where a case has one."""


@dataclass(frozen=True)
class Answered:
    """An answer, in the words of a test."""

    fitted: Fitted

    @property
    def chosen(self) -> set[str]:
        """Tags of the pieces that are cut."""
        return {part.piece for patch in self.fitted.plan.patches for part in patch.parts}

    @property
    def verdict(self) -> str:
        """Whole, joined, partly or none."""
        return self.fitted.plan.verdict.value

    def why_not(self, tag: str) -> str:
        """What is said of a piece that is not cut."""
        return next(passed.reason for passed in self.fitted.plan.passed_over if passed.piece == tag)

    def seen(self, kind: str) -> list[tuple[int, int]]:
        """(best, worst) of each sight of a kind."""
        return [(sight.best, sight.worst) for sight in self.fitted.plan.sights if sight.kind.value == kind]


def piece(
    tag: str,
    width: float = 40,
    length: float = 60,
    *,
    kind: Kind = Kind.REMNANT,
    lot: str = "L1",
    place: str = "Bay 1",
    worn: int = 0,
    style: str = TWIST,
    colour: str = "Wheat",
    lab: Lab | None = None,
    pile: float = 0.0,
    customer: str = "",
    hidden: bool | None = None,
    room: str = "",
) -> Piece:
    """A piece in inches."""
    outline = outline_of(rectangle(width * 25.4, length * 25.4).ring)
    return Piece(
        tag, kind, style, colour, lot, outline, pile, place=place, worn=worn, lab=lab, customer=customer, hidden=hidden, room=room
    )


def patch(
    width: float = 30,
    length: float = 40,
    *,
    name: str = "hall",
    edges: str | tuple[str, ...] = "wall",
    lot: str = "L1",
    worn: int | None = 0,
    style: str = TWIST,
    colour: str = "Wheat",
    lab: Lab | None = None,
    parts: int = 2,
    room: str = "",
    turns: tuple[float, ...] = (0.0,),
    pile: float = 0.0,
    substitute: bool = False,
    traffic: float | None = None,
    light: float | None = None,
    at: tuple[float, float] = (0.0, 0.0),
) -> Patch:
    """A patch in inches; edges without a word are walls, so that what is seen is the carpet and the seams inside."""
    ring = rectangle(width * 25.4, length * 25.4, (at[0] * 25.4, at[1] * 25.4)).ring
    finishes = tuple(Finish(edges) for _ in ring) if isinstance(edges, str) else tuple(Finish(edge) for edge in edges)
    wanted = Wanted(style, colour, lot, lab=lab, worn=worn, room=room, substitute=substitute)
    return Patch(name, ring, pile, finishes, wanted, max_parts=parts, turns=turns, traffic_deg=traffic, light_deg=light)


def room(
    width: float,
    length: float,
    *,
    doors: tuple[tuple[int, float, float], ...] = (),
    lanes: tuple[tuple[tuple[float, float], ...], ...] = (),
    hidden: tuple[tuple[float, float, float, float], ...] = (),
    light: float | None = None,
    name: str = "hall",
) -> RepairRoom:
    """A room in inches: doors as (edge, from, width), edges counted from the lower one counter-clockwise; furniture as boxes."""
    return RepairRoom(
        name,
        rectangle(width * 25.4, length * 25.4).ring,
        (Finish.WALL,) * 4,
        tuple(Opening(edge, start * 25.4, wide * 25.4) for edge, start, wide in doors),
        tuple(tuple((x * 25.4, y * 25.4) for x, y in lane) for lane in lanes),
        tuple(
            rectangle((right - left) * 25.4, (top - low) * 25.4, (left * 25.4, low * 25.4)).ring
            for left, low, right, top in hidden
        ),
        light_deg=light,
    )


def ask(
    *pieces: Piece,
    patches: tuple[Patch, ...] = (),
    house: str = "Alder Court 7",
    customer: str = "",
    may_use: str | tuple[str, ...] = (),
    rooms: tuple[RepairRoom, ...] = (),
) -> Answered:
    """What a stock of these pieces answers to a job of these patches, by default one in a hall."""
    allowed = frozenset(MayUse(each) for each in ((may_use,) if isinstance(may_use, str) else may_use))
    allowance = Allowance(25.4, 25.4, 25.4)
    job = Job("a job", patches or (patch(),), allowance, house=house, customer=customer, may_use=allowed, rooms=rooms)
    return Answered(fit_stock(Stock(STYLES, pieces), job, ways=True))
