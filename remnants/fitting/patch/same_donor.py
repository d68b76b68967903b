"""Several parts of one patch on the same donor, the seam positions still free: exact, by separating lines.

Two convex shapes with disjoint insides are parted by a line along an edge of one of them. So: let a linear programme place
every part inside the hull of its donor; while two shapes overlap, or a part stands on a pocket of the donor, branch on which
edge parts them. Each branch adds one straight condition, linear in moves and seam positions.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from remnants.errors import GaveUp
from remnants.fitting.patch.free_parts import Free
from remnants.geometry.lattice import Lattice
from remnants.geometry.outline import TOLERANCE_MM, Point
from remnants.geometry.pockets import Corners, hull_and_pockets
from remnants.geometry.tolerances import GIVE_MM
from remnants.late import Late

if TYPE_CHECKING:
    import highspy
else:
    highspy = Late("highspy")

__all__ = ["MOST_TRIES", "Effort", "Row", "WholeSteps", "furthest_place", "place_together"]

FEASIBLE = 1e-7
"""What the solver of linear programmes itself may stray from a condition: the least that it takes at ease."""

WHOLE_COST = 2
"""Linear programmes that one with whole numbers counts as: it takes about that much longer."""

WHOLE_FEASIBLE = 1e-8
"""What a whole number may stray from one: even of a repeat of ten metres a ten-thousandth of a millimetre."""

SAME_WAY = 1e-9
"""Two unit normals this near lie along one line."""

MOST_TRIES = 1000
"""Linear programmes after which one donor is given up as undecided."""


@dataclass(eq=False)
class Effort:
    """How many linear programmes may still be solved for one question; shared by all that answering it takes.

    `look` is called before each of them, and may end the search by raising.
    """

    left: int = MOST_TRIES
    look: Callable[[], None] = lambda: None


Row = tuple[dict[int, float], float]
"""Coefficients by column and the right-hand side of `sum <= side`."""


@dataclass(frozen=True)
class WholeSteps:
    """That a sum of columns (x, then y) is `start` and a whole number of repeats, as many as the ranges say at most."""

    sums: tuple[dict[int, float], dict[int, float]]
    start: Point
    lattice: Lattice
    across: tuple[int, int]
    along: tuple[int, int]


def place_together(
    parts: Sequence[Free],
    limits: Sequence[tuple[float, float]],
    beyond: Sequence[Row] = (),
    effort: Effort | None = None,
    repeats: Sequence[WholeSteps] = (),
) -> tuple[tuple[float, ...], tuple[Point, ...]] | None:
    """Seam positions within `limits` and moves (mm) at which all parts lie on their donors, apart; None if there are none.

    Columns are the seam positions, then x and y of each part's move; `beyond` holds further conditions on them, and
    `repeats` those of patterns that must meet. Raises GaveUp when it takes more than the `effort` to tell.
    """
    search = _Search(parts, limits, effort or Effort())
    for coefficients, side in beyond:
        search.add((coefficients, side))
    for steps in repeats:
        search.meet(steps)
    for index, part in enumerate(parts):
        for row in search.hull_rows(index, part):
            search.add(row)
    answer = search.solve()
    if answer is None:
        return None
    seams = len(limits)
    moves = tuple((float(answer[seams + 2 * i]), float(answer[seams + 2 * i + 1])) for i in range(len(parts)))
    return tuple(float(value) for value in answer[:seams]), moves


def furthest_place(part: Free, limits: tuple[float, float], way: float, effort: Effort) -> float | None:
    """The greatest (`way` 1) or least (-1) seam position within limits at which a part lies on its donor; None if at none.

    Raises GaveUp when it takes more than the `effort` to tell.
    """
    search = _Search((part,), (limits,), effort)
    for row in search.hull_rows(0, part):
        search.add(row)
    return search.furthest(way)


@dataclass(frozen=True, eq=False)
class _Body:
    """A convex shape of the search: a share of part `part`, or a pocket (part -1) that stands still."""

    part: int
    base: Corners
    step: tuple[Corners, ...]

    def at(self, answer: Corners, seams: int) -> Corners:
        corners = self.base
        for k, step in enumerate(self.step):
            corners = corners + answer[k] * step
        if self.part >= 0:
            place = seams + 2 * self.part
            corners = corners + answer[place : place + 2]
        return corners


@dataclass(frozen=True, eq=False)
class _Placed:
    """A convex shape in one place: its corners, and of each edge its number, outward unit normal and how far along that it is.

    An edge without length parts nothing, and is left out.
    """

    corners: Corners
    edges: NDArray[np.intp]
    normals: Corners
    sides: NDArray[np.float64]

    @classmethod
    def of(cls, corners: Corners) -> "_Placed":
        """A shape with these corners, counter-clockwise."""
        along = np.concatenate((corners[1:], corners[:1])) - corners
        lengths = np.hypot(along[:, 0], along[:, 1])
        edges = np.flatnonzero(lengths > TOLERANCE_MM / 10)
        x, y = (along[edges] / lengths[edges, None]).T
        normals = np.stack((y, -x), axis=1)
        return cls(corners, edges, normals, (corners[edges] * normals).sum(axis=1))

    def gaps(self, other: "_Placed") -> NDArray[np.float64]:
        """For each edge, the gap that it leaves to another shape; below 0 where that reaches over it."""
        gaps: NDArray[np.float64] = (self.normals @ other.corners.T).min(axis=1) - self.sides
        return gaps


class _Search:
    """The working state of one search; never leaves this module."""

    def __init__(self, parts: Sequence[Free], limits: Sequence[tuple[float, float]], effort: Effort) -> None:
        self.seams = len(limits)
        self.solver = highspy.Highs()
        self.solver.setOptionValue("output_flag", False)
        self.solver.setOptionValue("presolve", "off")
        self.solver.setOptionValue("primal_feasibility_tolerance", FEASIBLE)
        self.solver.setOptionValue("mip_feasibility_tolerance", WHOLE_FEASIBLE)
        self.solver.setOptionValue("threads", 1)
        for low, high in limits:
            self.solver.addVar(low, high)
        for _ in parts:
            self.solver.addVar(-highspy.kHighsInf, highspy.kHighsInf)
            self.solver.addVar(-highspy.kHighsInf, highspy.kHighsInf)
        self.pairs: list[tuple[_Body, _Body]] = []
        bodies = [
            [_Body(index, base, step) for base, step in zip(part.bases, part.steps, strict=True)]
            for index, part in enumerate(parts)
        ]
        for index, part in enumerate(parts):
            for pocket in hull_and_pockets(part.donor.ground)[1]:
                self.pairs += [(body, _Body(-1, pocket, ())) for body in bodies[index]]
            for other in range(index):
                if parts[other].donor is part.donor:
                    self.pairs += [(one, two) for one in bodies[other] for two in bodies[index]]
        self.standing: dict[_Body, _Placed] = {}
        self.rows, self.cost = 0, 1
        self.effort = effort

    def meet(self, steps: WholeSteps) -> None:
        """Adds the condition that a pattern meets: two columns of whole numbers, and a row for x and for y."""
        self.cost = WHOLE_COST
        self.solver.setOptionValue("presolve", "on")  # without it whole numbers take four times as long
        across, along, lattice = self.solver.getNumCol(), self.solver.getNumCol() + 1, steps.lattice
        for column, (low, high) in ((across, steps.across), (along, steps.along)):
            self.solver.addVar(low, high)
            self.solver.changeColIntegrality(column, highspy.HighsVarType.kInteger)
        moved = ({across: lattice.across_mm}, {across: lattice.drop * lattice.along_mm, along: lattice.along_mm})
        for own, repeats, start in zip(steps.sums, moved, steps.start, strict=True):
            row = own | {column: -step for column, step in repeats.items()}
            columns = np.array(sorted(row), dtype=np.int32)
            values = np.array([row[column] for column in sorted(row)], dtype=np.float64)
            self.solver.addRow(start, start, len(columns), columns, values)
            self.rows += 1

    def add(self, row: Row) -> None:
        """Adds the condition `sum <= side`."""
        coefficients, side = row
        columns = sorted(coefficients)
        values = np.array([coefficients[column] for column in columns], dtype=np.float64)
        self.solver.addRow(-highspy.kHighsInf, side, len(columns), np.array(columns, dtype=np.int32), values)
        self.rows += 1

    def drop(self, count: int) -> None:
        """Takes back the last `count` conditions."""
        self.solver.deleteRows(count, np.arange(self.rows - count, self.rows, dtype=np.int32))
        self.rows -= count

    def hull_rows(self, index: int, part: Free) -> list[Row]:
        """Every corner of every share inside the donor's hull."""
        hull = _Placed.of(hull_and_pockets(part.donor.ground)[0])
        rows: list[Row] = []
        for normal, side in zip(hull.normals, hull.sides, strict=True):
            for base, step in zip(part.bases, part.steps, strict=True):
                body = _Body(index, base, step)
                rows += [self._corner_row(body, corner, normal, float(side) + GIVE_MM) for corner in range(len(base))]
        return rows

    def solve(self) -> Corners | None:
        """Depth-first over the parting edges; None if no branch holds."""
        answer = self._programme()
        if answer is None:
            return None
        worst = self._worst(answer)
        if worst is None:
            return answer
        one, two = worst
        for rows in self._branches(one, two, answer):
            for row in rows:
                self.add(row)
            found = self.solve()
            if found is not None:
                return found
            self.drop(len(rows))
        return None

    def furthest(self, way: float) -> float | None:
        """The greatest or least first seam position over all branches."""
        self.solver.changeColCost(0, -way)
        best: list[float] = []

        def dive() -> None:
            answer = self._programme()
            if answer is None or (best and way * float(answer[0]) <= way * best[-1]):
                return
            worst = self._worst(answer)
            if worst is None:
                best.append(float(answer[0]))
                return
            for rows in self._branches(*worst, answer):
                for row in rows:
                    self.add(row)
                dive()
                self.drop(len(rows))

        dive()
        return best[-1] if best else None

    def _programme(self) -> Corners | None:
        self.effort.look()
        self.effort.left -= self.cost
        if self.effort.left < 0:
            raise GaveUp("too many ways to part the cuts were tried")
        self.solver.run()
        if self.solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        return np.array(self.solver.getSolution().col_value, dtype=np.float64)

    def _worst(self, answer: Corners) -> tuple[_Body, _Body] | None:
        """The pair that overlaps most, or None if none does by more than the give."""
        worst, depth = None, -2 * GIVE_MM
        placed = {body: self._placed(body, answer) for pair in self.pairs for body in pair}
        for one, two in self.pairs:
            gap = max(placed[one].gaps(placed[two]).max(), placed[two].gaps(placed[one]).max())
            if gap < depth:
                worst, depth = (one, two), gap
        return worst

    def _placed(self, body: _Body, answer: Corners) -> _Placed:
        """A body where an answer has it; what stands still is looked at once."""
        if body.part >= 0:
            return _Placed.of(body.at(answer, self.seams))
        if body not in self.standing:
            self.standing[body] = _Placed.of(body.base)
        return self.standing[body]

    def _branches(self, one: _Body, two: _Body, answer: Corners) -> list[list[Row]]:
        """The ways to part two bodies, least violated first; edges of both that lie along one line part them in one way."""
        bodies, placed = (one, two), (self._placed(one, answer), self._placed(two, answer))
        ways = [
            (float(gap), which, int(edge), normal)
            for which in (0, 1)
            for gap, edge, normal in zip(
                placed[which].gaps(placed[1 - which]), placed[which].edges, placed[which].normals, strict=True
            )
        ]
        branches, told = [], list[tuple[int, Corners]]()
        for _, which, edge, normal in sorted(ways, key=lambda way: -way[0]):
            if any(other != which and float(np.abs(across + normal).max()) < SAME_WAY for other, across in told):
                continue
            told.append((which, normal))
            body, other = bodies[which], bodies[1 - which]
            branches.append([self._parting_row(body, edge, other, corner, normal) for corner in range(len(other.base))])
        return branches

    def _corner_row(self, body: _Body, corner: int, normal: Corners, side: float) -> Row:
        """normal · corner <= side."""
        coefficients, constant = self._reading(body, corner, normal)
        return coefficients, side - constant

    def _parting_row(self, body: _Body, edge: int, other: _Body, corner: int, normal: Corners) -> Row:
        """normal · (edge of body) <= normal · (corner of other) + give."""
        near, near_constant = self._reading(body, edge, normal)
        far, far_constant = self._reading(other, corner, normal)
        coefficients = {column: near.get(column, 0.0) - far.get(column, 0.0) for column in {*near, *far}}
        return coefficients, far_constant - near_constant + GIVE_MM

    def _reading(self, body: _Body, corner: int, normal: Corners) -> tuple[dict[int, float], float]:
        """normal · corner as coefficients by column and a constant."""
        coefficients = {k: float(step[corner] @ normal) for k, step in enumerate(body.step)}
        if body.part >= 0:
            place = self.seams + 2 * body.part
            coefficients |= {place: float(normal[0]), place + 1: float(normal[1])}
        return coefficients, float(body.base[corner] @ normal)
