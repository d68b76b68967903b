"""The adversary's planter: jobs whose answer is known because the pieces were made round it, or made too small for it.

A patch is parted by straight seams in its pile frame; each part takes its allowance; each donor is drawn round the cuts that it
is to give, by a hair or with play, lying at a bearing of its own. So a plan exists. In the kinds of `NO` none does.
"""

import math
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from remnants.geometry.outline import Outline
from remnants.model import Allowance, Candidate, Finish, Grade, Job, Kind, Match, Patch, Piece, Repeat, Style
from tests.bench.adversary_judge import two_rectangles_can
from tests.bench.plain_geometry import (
    Place,
    area,
    box_of,
    clipped,
    extent,
    kept_of,
    mirrored,
    moved,
    offset,
    turned_clockwise,
    with_strips,
)

__all__ = ["KINDS", "Planted", "planted"]

SAME = Match(Grade.SAME_LOT, 0, "Same style, colour and lot.")
BEARINGS = (0.0, 0.0, 90.0, 180.0, 17.3, 45.0, 271.9)
TAKES, NOTHING = Allowance(25.0, 75.0, 75.0), Allowance(0.0, 0.0, 0.0)
PLAIN = Style("Velder Twist")
Part = tuple[list[Place], list[str]]


@dataclass(frozen=True)
class Planted:
    """A job, the pieces for it, and whether a plan exists."""

    kind: str
    seed: int
    job: Job
    pieces: tuple[Candidate, ...]
    exists: bool


@dataclass
class _Plan:
    """What is planted: a patch (pile frame), how it is parted, and how its pieces come to be."""

    rng: random.Random
    ring: list[Place]
    words: list[str]
    parts: int = 2
    sharing: Sequence[Sequence[int]] = ()
    takes: Allowance = NOTHING
    turns: tuple[float, ...] = (0.0,)
    bearings: Sequence[float] = BEARINGS
    repeat: Repeat | None = None
    motif_told: bool = True
    fine: bool | None = None
    narrowest: bool = False
    decoys: int = 3

    def planted(self, kind: str, seed: int) -> Planted:
        rng, bearing = self.rng, self.rng.choice(self.bearings)
        self.fine = rng.random() < 0.5 if self.fine is None else self.fine
        parts = _parted(rng, (self.ring, self.words), self.parts)
        least = min((extent(ring, axis) for ring, _, axes in parts for axis in axes), default=100.0)
        motif = (rng.uniform(0, 300), rng.uniform(0, 300)) if self.repeat else None
        style = Style("Velder Twist", repeat=self.repeat)
        drawn = with_strips if "free" in self.words else offset
        cuts = [drawn(ring, [self.takes.of(Finish(word)) for word in words]) for ring, words, _ in parts]
        pieces = [
            self._donor(style, [cuts[index] for index in shared], f"R-{number}", motif)
            for number, shared in enumerate(self.sharing or [[index] for index in range(len(cuts))])
        ]
        narrowest = min(extent(cut, axis) for cut in cuts for axis in (0, 1))
        pieces += [_decoy(rng, style, number, narrowest) for number in range(self.decoys)]
        rng.shuffle(pieces)
        shown = None if motif is None or not self.motif_told else turned_clockwise([motif], bearing)[0]
        ring = tuple(turned_clockwise(self.ring, bearing))
        words = tuple(Finish(word) for word in self.words)
        patch = Patch("hall", ring, bearing, words, motif=shown, max_parts=self.parts, turns=self.turns)
        narrow = least if self.narrowest else min(least, rng.choice((50.0, 100.0)))
        return Planted(kind, seed, Job("Alder Court 7", (patch,), self.takes, narrow), tuple(pieces), exists=True)

    def _donor(self, style: Style, cuts: Sequence[list[Place]], tag: str, motif: Place | None) -> Candidate:
        """A piece with a place for each of the cuts, side by side, each at an allowed turn."""
        rng, laid, at = self.rng, [], 0.0
        lays = rng.sample(self.turns, len(cuts)) if len(self.turns) >= len(cuts) > 1 else [rng.choice(self.turns) for _ in cuts]
        sideways = self.repeat is None and rng.random() < 0.3
        first: Place = (0.0, 0.0)
        for number, (cut, lay) in enumerate(zip(cuts, lays, strict=True)):
            ring = turned_clockwise(cut, -lay + (90.0 if sideways else 0.0))
            left, bottom, right, _ = box_of([ring])
            move = (at - left, -bottom)
            if number and self.repeat:
                move = self._in_phase(first, move)
            first = move if not number else first
            laid.append(moved(ring, move))
            at = move[0] + right + (0.0 if self.fine else rng.choice((0.0, 0.5, 20.0)))
        outline, holes = self._drawn_round(laid)
        back = -90.0 if sideways else 0.0
        bearing = rng.choice(self.bearings)
        spot = None
        if motif is not None and self.repeat is not None:
            spot = turned_clockwise([(motif[0] + first[0], motif[1] + first[1])], bearing)[0]
        turned = [turned_clockwise(each, back + bearing) for each in (outline, *holes)]
        return _piece(tag, turned[0], bearing, holes=turned[1:], style=style, motif=spot)

    def _in_phase(self, first: Place, move: Place) -> Place:
        """The next move whole repeats away from the first."""
        assert self.repeat is not None
        across = math.ceil((move[0] - first[0]) / self.repeat.across_mm - 1e-9)
        rest = (move[1] - first[1] - across * self.repeat.drop * self.repeat.along_mm) / self.repeat.along_mm
        along = math.ceil(rest - 1e-9)
        x = first[0] + across * self.repeat.across_mm
        return x, first[1] + across * self.repeat.drop * self.repeat.along_mm + along * self.repeat.along_mm

    def _drawn_round(self, laid: Sequence[list[Place]]) -> tuple[list[Place], list[list[Place]]]:
        rng = self.rng
        left, bottom, right, top = box_of(laid)
        way = rng.choice(("ring", "box", "bump", "stair", "hole")) if not self.fine else rng.choice(("ring", "stair"))
        if way == "ring" and len(laid) == 1:
            return laid[0], []
        if way == "bump" and len(laid) == 1 and _convex(laid[0]):
            index = rng.randrange(len(laid[0]))
            (ax, ay), (bx, by) = laid[0][index], laid[0][(index + 1) % len(laid[0])]
            tip = ((ax + bx) / 2 + (by - ay) / 3, (ay + by) / 2 - (bx - ax) / 3)
            return [*laid[0][: index + 1], tip, *laid[0][index + 1 :]], []
        if way == "stair" and len(laid) > 1:
            return _stairs(laid), []
        if not self.fine:
            right, top = right + rng.choice((0.0, 1.0, 40.0)), top + rng.choice((0.0, 1.0, 40.0))
        if way != "hole":
            return _rectangle(right - left, top - bottom, (left, bottom)), []
        hole = _rectangle(40.0, top - bottom - 20, (right + 20, bottom + 10))
        return _rectangle(right + 90 - left, top - bottom, (left, bottom)), [hole]


def _piece(
    tag: str,
    ring: Sequence[Place],
    bearing: float = 0.0,
    *,
    holes: Sequence[Sequence[Place]] = (),
    style: Style = PLAIN,
    motif: Place | None = None,
) -> Candidate:
    outline = Outline(tuple(ring), tuple(tuple(hole) for hole in holes))
    return Candidate(Piece(tag, Kind.REMNANT, style.name, "Oatmeal", "4471-B", outline, bearing, motif, "Bay 3"), style, SAME)


def _rectangle(width: float, length: float, corner: Place = (0.0, 0.0)) -> list[Place]:
    return moved([(0.0, 0.0), (width, 0.0), (width, length), (0.0, length)], corner)


def _stairs(laid: Sequence[list[Place]]) -> list[Place]:
    """The outline round cuts in a row: over each as high as it is."""
    boxes = [box_of([ring]) for ring in laid]
    foot = min(box[1] for box in boxes)
    ends = [*(box[0] for box in boxes[1:]), boxes[-1][2]]
    over: list[tuple[Place, str]] = [((boxes[0][0], foot), ""), ((ends[-1], foot), "")]
    for box, end in zip(reversed(boxes), reversed(ends), strict=True):
        over += [((end, box[3]), ""), ((box[0], box[3]), "")]
    return kept_of(over)[0]


def _convex(ring: Sequence[Place]) -> bool:
    corners = zip(ring, [*ring[1:], ring[0]], [*ring[2:], *ring[:2]], strict=True)
    return all((b[0] - a[0]) * (c[1] - b[1]) >= (b[1] - a[1]) * (c[0] - b[0]) for a, b, c in corners)


def _parted(rng: random.Random, whole: Part, parts: int) -> list[tuple[list[Place], list[str], set[int]]]:
    """The outline parted by straight seams, the largest part each time, with the axes that seams lie square to."""
    made: list[tuple[list[Place], list[str], set[int]]] = [(*whole, set())]
    while len(made) < parts:
        made.sort(key=lambda each: area(each[0]))
        ring, words, axes = made.pop()
        for _ in range(200):
            axis = rng.choice((0, 1))
            low, high = box_of([ring])[axis], box_of([ring])[axis + 2]
            at = round(low + rng.uniform(0.25, 0.75) * (high - low), rng.choice((0, 0, 3)))
            crossed = sum((a[axis] < at) != (b[axis] < at) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))
            if crossed == 2 and min(abs(point[axis] - at) for point in ring) > 1.0:
                break
        made += [(*clipped(ring, words, axis, at, low=side), axes | {axis}) for side in (True, False)]
    return made


def _decoy(rng: random.Random, style: Style, number: int, least: float) -> Candidate:
    """A piece too narrow for any of the parts."""
    width, length = rng.uniform(0.2, 0.8) * least, rng.uniform(200, 2000)
    motif = (rng.uniform(0, 100), rng.uniform(0, 100)) if style.repeat else None
    return _piece(f"X-{number}", _rectangle(width, length), style=style, motif=motif)


def _box(rng: random.Random) -> list[Place]:
    return _rectangle(round(rng.uniform(400, 2400), 1), round(rng.uniform(400, 2400), 1))


def _ell(rng: random.Random) -> list[Place]:
    _, (w, _), (_, h), _ = _box(rng)
    x, y = round(rng.uniform(0.3, 0.7) * w), round(rng.uniform(0.3, 0.7) * h)
    ell: list[Place] = [(0.0, 0.0), (w, 0.0), (w, y), (x, y), (x, h), (0.0, h)]
    return mirrored(ell) if rng.random() < 0.5 else ell


def _taper(rng: random.Random) -> list[Place]:
    _, (w, _), (_, h), _ = _box(rng)
    left, right = rng.uniform(0, 0.3) * w, rng.uniform(0.05, 0.3) * w
    ring = [(0.0, 0.0), (w, 0.0), (round(w - right, 2), h), (round(left, 2), h)]
    return turned_clockwise(ring, rng.choice((0.0, 90.0, 180.0, 270.0)))


def _oval(rng: random.Random) -> list[Place]:
    across, along = rng.uniform(300, 1000), rng.uniform(300, 1000)
    steps = [math.tau * (step + 0.5) / 24 for step in range(24)]
    return [(round(across * math.cos(step), 3), round(along * math.sin(step), 3)) for step in steps]


OUTLINES: tuple[Callable[[random.Random], list[Place]], ...] = (_ell, _taper, _oval)


def _square(rng: random.Random, ring: list[Place], **how: object) -> _Plan:
    """A patch of square corners: each edge ends in its own way."""
    plain = rng.random() < 0.3
    words = [rng.choice(("seam", "wall", "transition")) for _ in ring]
    return _Plan(rng, ring, words, takes=NOTHING if plain else TAKES, **how)  # type: ignore[arg-type]


def _odd(rng: random.Random, ring: list[Place], **how: object) -> _Plan:
    """A patch of any corners: the same allowance all round."""
    take = rng.choice((0.0, 12.7, 25.0))
    return _Plan(rng, ring, ["seam"] * len(ring), takes=Allowance(take, take, take), **how)  # type: ignore[arg-type]


def _free(rng: random.Random) -> _Plan:
    """A patch of slanting edges that take nothing, where its joint takes an allowance."""
    ring = rng.choice((_taper, _oval))(rng)
    return _Plan(rng, ring, ["free"] * len(ring), takes=Allowance(rng.choice((25.0, 60.0)), 0.0, 0.0))


def _any(rng: random.Random, **how: object) -> _Plan:
    return _square(rng, _box(rng), **how) if rng.random() < 0.5 else _odd(rng, rng.choice(OUTLINES)(rng), **how)


REPEATS = (Repeat(120.0, 160.0), Repeat(200.0, 90.0, 0.5), Repeat(300.0, 457.2, 0.25))
EVEN = (0.0, 90.0, 180.0, 270.0)
SHARED_3 = ([[0, 1, 2]], [[0, 1], [2]], [[1, 2], [0]])
SHARED_4 = ([[0, 1], [2, 3]], [[0, 1, 2], [3]], [[0, 3], [1], [2]])

YES: dict[str, Callable[[random.Random], _Plan]] = {
    "whole": lambda rng: _any(rng, parts=1),
    "two": lambda rng: _any(rng, parts=2),
    "two of one": lambda rng: _any(rng, sharing=[[0, 1]]),
    "two of one, turned": lambda rng: _odd(
        rng, rng.choice(OUTLINES)(rng), sharing=[[0, 1]], turns=rng.choice(((0.0, 180.0), (0.0, 90.0)))
    ),
    "two, patterned": lambda rng: _any(rng, repeat=rng.choice(REPEATS), motif_told=rng.random() < 0.5),
    "two of one, patterned": lambda rng: _any(rng, sharing=[[0, 1]], repeat=rng.choice(REPEATS), motif_told=rng.random() < 0.5),
    "taper": lambda rng: _odd(rng, _taper(rng), narrowest=True),
    "oval": lambda rng: _odd(rng, _oval(rng)),
    "free edges": _free,
    "bearing": lambda rng: _square(rng, _box(rng), bearings=(17.3, 45.0, 200.01), sharing=rng.choice(([[0], [1]], [[0, 1]]))),
    "hair": lambda rng: _any(rng, fine=True, narrowest=True),
    "three, rectangles": lambda rng: _square(rng, _box(rng), parts=3),
    "three, others": lambda rng: _odd(rng, rng.choice(OUTLINES)(rng), parts=3),
    "three, shared": lambda rng: _square(rng, _box(rng), parts=3, sharing=rng.choice(SHARED_3)),
    "three, patterned": lambda rng: _any(rng, parts=3, repeat=rng.choice(REPEATS)),
    "four, rectangles": lambda rng: _square(rng, _box(rng), parts=4),
    "four, others": lambda rng: _odd(rng, rng.choice(OUTLINES)(rng), parts=4),
    "four, shared": lambda rng: _square(rng, _box(rng), parts=4, sharing=rng.choice(SHARED_4)),
}
"""Kinds of which a plan exists."""


def _narrow(rng: random.Random, seed: int) -> Planted:
    """Three parts, where the furthest that a piece goes leaves too little for two of the narrowest."""
    least = round(rng.uniform(100, 200))
    widest = round(least * rng.uniform(1.3, 1.9))
    width = round(rng.uniform(max(3 * least, 2 * widest) + 1, widest + 2 * least - 1))
    length = round(rng.uniform(300, 1500))
    pieces = tuple(_piece(f"R-{number}", _rectangle(widest, length)) for number in range(3))
    patch = Patch("hall", tuple(_rectangle(width, length)), 0.0, (Finish.SEAM,) * 4, max_parts=3)
    return Planted("narrow", seed, Job("Alder Court 7", (patch,), NOTHING, float(least)), pieces, exists=True)


def _short(rng: random.Random, seed: int) -> Planted:
    """A rectangle whose two pieces are a millimetre short; the closed form says that nothing else makes it."""
    while True:
        plan = _square(rng, _box(rng), fine=True, decoys=2, bearings=EVEN)
        made = plan.planted("short", seed)
        pieces, sizes = [], []
        for each in made.pieces:
            bearing = each.piece.pile_deg
            left, bottom, right, top = box_of([turned_clockwise(each.piece.outline.ring, -bearing)])
            width, length, less = right - left, top - bottom, 1.0 if each.piece.tag == "R-0" else 0.0
            width, length = (width - less, length) if width < length else (width, length - less)
            sizes.append((width, length))
            pieces.append(_piece(each.piece.tag, turned_clockwise(_rectangle(width, length), bearing), bearing))
        _, (width, _), (_, length), _ = plan.ring
        bottom, right, top, left = (plan.takes.of(Finish(word)) for word in plan.words)
        if not two_rectangles_can((width, length), (left, bottom, right, top), plan.takes.seam_mm, sizes, made.job.min_part_mm):
            return Planted("short", seed, made.job, tuple(pieces), exists=False)


def _sliver(rng: random.Random, seed: int) -> Planted:
    """Pieces that were cut from the patch, one of them less a sliver: together they have too little carpet."""
    while True:
        ring = rng.choice((_box, *OUTLINES))(rng)
        plan = _Plan(rng, ring, ["seam"] * len(ring), parts=rng.choice((2, 2, 3)), fine=True, decoys=0)
        made = plan.planted("sliver", seed)
        first, *rest = made.pieces
        own, axis = first.piece.outline.ring, rng.choice((0, 1))
        cut, _ = clipped(own, [""] * len(own), axis, box_of([own])[axis + 2] - 2.0, low=True)
        pieces = (_piece(first.piece.tag, cut, first.piece.pile_deg), *rest)
        rings = [each.piece.outline.ring for each in pieces]
        around = sum(math.dist(a, b) for each in rings for a, b in zip(each, [*each[1:], each[0]], strict=True))
        if sum(area(each) for each in rings) < area(ring) - 0.03 * around:
            return Planted("sliver", seed, made.job, pieces, exists=False)


def _mirror(rng: random.Random, seed: int) -> Planted:
    """A whole patch without an axis, and its mirror image to cut it from: carpet has a back."""
    width, length = rng.uniform(400, 1000), rng.uniform(1200, 2400)
    ell = [(0.0, 0.0), (width, 0.0), (width, 0.4 * length), (0.3 * width, 0.4 * length), (0.3 * width, length), (0.0, length)]
    ring = rng.choice((ell, [(0.0, 0.0), (width, 0.0), (0.8 * width, length), (0.1 * width, length)]))
    bearing, own = rng.choice(BEARINGS), rng.choice(BEARINGS)
    turns = rng.choice(((0.0,), (0.0, 180.0), EVEN))
    patch = Patch("hall", tuple(turned_clockwise(ring, bearing)), bearing, (Finish.SEAM,) * len(ring), max_parts=1, turns=turns)
    piece = _piece("R-0", turned_clockwise(mirrored(ring), own), own)
    return Planted("mirror", seed, Job("Alder Court 7", (patch,), NOTHING, 50.0), (piece,), exists=False)


NO: dict[str, Callable[[random.Random, int], Planted]] = {"short": _short, "sliver": _sliver, "mirror": _mirror}
"""Kinds of which none does."""

KINDS = (*YES, "narrow", *NO)


def planted(kind: str, seed: int) -> Planted:
    """The case of a kind that belongs to a seed; the same each time."""
    rng = random.Random(f"{kind} {seed}")
    if kind == "narrow":
        return _narrow(rng, seed)
    return NO[kind](rng, seed) if kind in NO else YES[kind](rng).planted(kind, seed)
