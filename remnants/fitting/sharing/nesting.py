"""Many parts of any outline on one donor, none turned: places found by search, then settled exactly.

Parts may overlap while the search goes on. One part after the other moves to where it overlaps least; overlaps that stay grow
dearer, so that others give way (guided local search). Then a linear programme parts what is still in touch, each pair along
the edge that parts it best; when nothing overlaps any more the places are exact. What is found is proved; a "no" is none.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from remnants.geometry.nofit import hull_planes, shares_of, stacked, standing
from remnants.geometry.outline import Outline, Point, Ring, area_mm2, bounds
from remnants.geometry.tolerances import GIVE_MM
from remnants.late import Late

if TYPE_CHECKING:
    import highspy
else:
    highspy = Late("highspy")

__all__ = ["Nest"]

Floats = NDArray[np.float64]

AT_RANDOM, REFINED, HALVINGS = 60, 4, 7
"""Places tried at random for one move, how many of the best are refined, and how often their step is halved."""

FIRST, CORNER = 1e-9, 1e-7
"""Of overlaps that cost the same the first, or the one nearest to a corner, is taken: so much dearer is each further one."""

FAR_MM = 40.0
"""Overlaps that add up to more than this after one programme are not worth another."""

DEARER_LEAST, DEARER, CHEAPER = 0.1, 0.3, 0.95
"""By how much of its cost an overlap grows dearer each round, at least and the deepest beyond that; what is apart falls."""

AROUND = np.array([(1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (1, -1), (-1, 1), (-1, -1)], dtype=np.float64)


@dataclass(frozen=True, eq=False)
class _Seen:
    """What a part sees: every body's offsets where it stands, what overlapping each costs a millimetre, and being out."""

    offsets: Floats
    costs: Floats
    out: float


class Nest:
    """The working state of one search: parts by number, their moves (mm, the axes of `outline`), and what overlaps cost."""

    def __init__(
        self,
        parts: Sequence[Ring],
        outline: Outline,
        *,
        sites: Sequence[Sequence[Point] | None] | None = None,
        seed: int = 0,
    ) -> None:
        """`sites` limits a part to some moves, such as those of a pattern; None lets it lie anywhere."""
        self.parts, self.count = parts, len(parts)
        self.random = np.random.default_rng(seed)
        self.sites = [None if own is None else np.array(own, dtype=np.float64) for own in sites or [None] * len(parts)]
        hull, pockets = standing(outline)
        self.hull = [hull_planes(hull, ring) for ring in parts]
        left, bottom, right, top = outline.bounds
        boxes = np.array([bounds(ring) for ring in parts])
        self.low = np.array([left, bottom]) - boxes[:, :2]
        self.high = np.maximum(np.array([right, top]) - boxes[:, 2:], self.low)
        shares = [shares_of(ring) for ring in parts]
        # bodies of part i: every share of every other part, and every pocket (owner `count`, which stands still)
        self.owners: list[NDArray[np.int64]] = []
        self.bodies = []
        for index in range(self.count):
            pairs = [(other, own, j) for j in range(self.count) if j != index for other in shares[j] for own in shares[index]]
            pairs += [(pocket, own, self.count) for pocket in pockets for own in shares[index]]
            self.owners.append(np.array([owner for _, _, owner in pairs], dtype=np.int64))
            self.bodies.append(stacked([(stands, moves) for stands, moves, _ in pairs]))
        self.cost = np.ones((self.count, self.count + 2))
        self.at = np.zeros((self.count + 1, 2))
        self.order = sorted(range(self.count), key=lambda index: (-abs(area_mm2(parts[index])), index))
        self.started = False

    def work(self, moves: int) -> tuple[Point, ...] | None:
        """The parts' moves if all lie apart after at most so many moves and a settling; None if not yet."""
        if not self.started:
            self._start()
        depths = self._all_depths()
        for _ in range(moves):
            touched = np.flatnonzero(depths.sum(axis=1) > GIVE_MM)
            if not touched.size:
                break
            index = int(self.random.choice(touched))
            self.at[index] = self._least(index)
            self._update(depths, index)
        self._grow_dearer(depths)
        return self._settled()

    def _start(self) -> None:
        """Each part, the largest first, to where it overlaps least those already there."""
        self.started = True
        absent = set(range(self.count))
        for index in self.order:
            absent.discard(index)
            self.at[index] = self._least(index, absent)

    def _least(self, index: int, absent: set[int] | frozenset[int] = frozenset()) -> Floats:
        """The move at which a part overlaps others at the least cost, those `absent` left out."""
        scale = self.cost[index].copy()
        scale[list(absent)] = 0.0
        sites = self.sites[index]
        seen = self._seen(index, scale)
        if sites is not None:
            worth = self._costs(index, sites, seen)
            return np.asarray(sites[int(np.argmin(worth + FIRST * np.arange(len(sites))))])
        low, high = self.low[index], self.high[index]
        tried = low + self.random.random((AT_RANDOM, 2)) * (high - low)
        tried = np.concatenate([tried, self.at[index : index + 1], [low, high, (low[0], high[1]), (high[0], low[1])]])
        worth = self._costs(index, tried, seen)
        best = np.argsort(worth, kind="stable")[:REFINED]
        places, worths = tried[best], worth[best]
        step = float((high - low).max()) / 8
        for _ in range(HALVINGS):
            around = np.clip(places[:, None] + step * AROUND[None], low, high)
            costs = self._costs(index, around.reshape(-1, 2), seen).reshape(len(places), -1)
            better = costs.argmin(axis=1)
            least = costs[np.arange(len(places)), better]
            gained = least < worths
            places = np.where(gained[:, None], around[np.arange(len(places)), better], places)
            worths = np.where(gained, least, worths)
            step = step / 2
        return np.asarray(places[int(np.argmin(worths))])

    def _seen(self, index: int, cost: Floats) -> _Seen:
        """What one part sees of the others where they are now."""
        owners = self.owners[index]
        return _Seen(self.bodies[index].standing_at(self.at[owners]), cost[owners], float(cost[self.count + 1]))

    def _out(self, index: int, moves: Floats) -> Floats:
        """How far out of the hull a part is at each move."""
        normals, limits = self.hull[index]
        out: Floats = np.maximum((moves @ normals.T - limits).max(axis=1), 0.0)
        return out

    def _costs(self, index: int, moves: Floats, seen: _Seen) -> Floats:
        """What a part's overlaps cost at each move; of equal places the one nearest to a corner costs least."""
        cost: Floats = self.bodies[index].depths(moves, seen.offsets) @ seen.costs + self._out(index, moves) * seen.out
        cost += CORNER * (moves - self.low[index]).sum(axis=1)
        return cost

    def _row(self, index: int) -> Floats:
        """How deep a part is in each other one, in what stands, and out of the hull."""
        here, owners = self.at[index : index + 1], self.owners[index]
        deep = self.bodies[index].depths(here, self.bodies[index].standing_at(self.at[owners]))
        row = np.bincount(owners, weights=deep[0], minlength=self.count + 2).astype(np.float64)
        row[self.count + 1] = self._out(index, here)[0]
        return row

    def _all_depths(self) -> Floats:
        return np.array([self._row(index) for index in range(self.count)])

    def _update(self, depths: Floats, index: int) -> None:
        row = self._row(index)
        depths[index] = row
        depths[:, index] = row[: self.count]

    def _grow_dearer(self, depths: Floats) -> None:
        """What overlaps costs more from now on, the deeper the more; what is apart becomes cheaper again."""
        most = float(depths.max())
        if most > 0:
            self.cost *= np.where(depths > GIVE_MM, 1 + DEARER_LEAST + DEARER * depths / most, CHEAPER)
            self.cost = np.maximum(self.cost, 1.0)

    def _settled(self) -> tuple[Point, ...] | None:
        """The moves once a few linear programmes part everything; what they bring nearer is kept."""
        for _ in range(4):
            found, left = self._parting_programme()
            if found is None:
                return None
            self.at[: self.count] = found
            if left <= GIVE_MM / 10 and float(self._all_depths().max()) <= 2 * GIVE_MM:
                return tuple((float(x), float(y)) for x, y in self.at[: self.count])
            if left > FAR_MM:
                break
        return None

    def _parting_programme(self) -> tuple[Floats | None, float]:
        """Moves near the present ones with the least overlap, each pair kept to its best parting edge; and that overlap."""
        reach = float((self.high - self.low).max()) / 20 + 1.0
        model = _Programme(self.at[: self.count], reach, [sites is not None for sites in self.sites])
        for index in range(self.count):
            owners = self.owners[index]
            relative = self.at[index] - self.at[owners]
            planes = self.bodies[index]
            gaps = np.einsum("nc,nec->ne", relative, planes.normals) - planes.offsets
            best = gaps.argmax(axis=1)
            near = gaps[np.arange(len(owners)), best] < 3 * reach
            for body in np.flatnonzero(near & ((owners > index) | (owners == self.count))):
                edge = int(best[body])
                other = int(owners[body])
                model.part(index, other if other < self.count else None, planes.normals[body, edge], planes.offsets[body, edge])
            normals, limits = self.hull[index]
            for normal, limit in zip(normals, limits, strict=True):
                model.part(index, None, -normal, -limit)
        return model.solve()


class _Programme:
    """A linear programme over moves: conditions `normal @ (move - other) >= offset`, each with a slack that costs."""

    def __init__(self, at: Floats, reach: float, fixed: Sequence[bool]) -> None:
        self.count = len(at)
        self.lower, self.upper = [], []
        for (x, y), still in zip(at, fixed, strict=True):
            give = 0.0 if still else reach
            self.lower += [x - give, y - give]
            self.upper += [x + give, y + give]
        self.rows: list[tuple[int, int | None, Floats, float]] = []

    def part(self, index: int, other: int | None, normal: Floats, offset: float) -> None:
        """One condition; without `other` the part is kept from what stands still."""
        self.rows.append((index, other, normal, float(offset) - GIVE_MM))

    def solve(self) -> tuple[Floats | None, float]:
        """The moves (n, 2) with the least slack in all, and that slack; None if the solver has no answer."""
        columns, rows = 2 * self.count, len(self.rows)
        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = columns + rows, rows
        model.col_cost_ = np.concatenate([np.zeros(columns), np.ones(rows)])
        model.col_lower_ = np.concatenate([self.lower, np.zeros(rows)])
        model.col_upper_ = np.concatenate([self.upper, np.full(rows, highspy.kHighsInf)])
        model.row_lower_ = np.array([offset for *_, offset in self.rows])
        model.row_upper_ = np.full(rows, highspy.kHighsInf)
        starts, indexes, values = [0], [], []
        for row, (index, other, normal, _) in enumerate(self.rows):
            for part, sign in ((index, 1.0), (other, -1.0)):
                if part is not None:
                    indexes += [2 * part, 2 * part + 1]
                    values += [sign * float(normal[0]), sign * float(normal[1])]
            indexes.append(columns + row)
            values.append(1.0)
            starts.append(len(indexes))
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_, model.a_matrix_.index_ = np.array(starts), np.array(indexes)
        model.a_matrix_.value_ = np.array(values)
        solver = highspy.Highs()
        solver.setOptionValue("output_flag", False)
        solver.passModel(model)
        solver.run()
        if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None, float("inf")
        answer = np.array(solver.getSolution().col_value)
        return answer[:columns].reshape(-1, 2), float(answer[columns:].sum())
