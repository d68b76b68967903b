"""All parts at once on few like donors, laid end to end like one strip: many ways are looked on from, over every end.

What one donor holds best alone leaves the next what goes together badly. Where there are few donors and many parts, looking on
over their ends finds plans that are put together of good fillings by luck alone.
"""

import random
from collections.abc import Iterable

from remnants.packing.donors.kinds import Filling, Kinds
from remnants.packing.strip.beam import fill_by_beam
from remnants.packing.strip.beams import guide_by_chance
from remnants.packing.strip.problem import Item, StripProblem
from remnants.packing.watch import Watch

__all__ = ["EndToEnd"]

PARTS_EACH = 12
"""Donors are few when so many parts at least come to each; of fewer, plans are found sooner donor by donor."""

MOST_PARTS = 250
"""Beyond so many parts a step takes longer than it gains."""

NARROW, NARROW_BEAMS, WIDE = 100, 4, 400
"""Outlines kept at a time by the first beams, how many these are, and outlines kept by all others."""

UNLIKE_SHARE = 0.8
"""So often only the best outline above the same parts is kept."""

DEAR = 4
"""What beams count as tries counts so much more here, about their share of time."""

Corners = Iterable[tuple[int, int]]


class EndToEnd:
    """Looks for plans by beams, each led another way by a chance of its own: the search beside it goes its own way."""

    def __init__(self, kinds: Kinds, *, seed: int) -> None:
        """`able` is false where donors are unlike or some part may not lie on them, and where parts are very many."""
        self._kinds = kinds
        self._random = random.Random(seed)
        self._beams = 0
        self._sorts = [place for place, sort in enumerate(kinds.sorts) for _ in sort.parts]
        one = len(kinds.kinds) == 1 and len(kinds.kinds[0].sorts) == len(kinds.sorts)
        self.able = one and 0 < len(self._sorts) <= MOST_PARTS

    def few(self, donors: int) -> bool:
        """True when so many donors, one at least, are few for the parts."""
        return self.able and donors > 0 and PARTS_EACH * donors <= len(self._sorts)

    def lay(self, donors: int, *, watch: Watch) -> list[Filling]:
        """Fillings of so many donors that hold every part, by one beam; none when it finds no such plan."""
        kind, turned = self._kinds.kinds[0], self._random.random() < 0.5
        width, length = (kind.length, kind.width) if turned else (kind.width, kind.length)
        sizes = [(self._kinds.sorts[sort].width, self._kinds.sorts[sort].length) for sort in self._sorts]
        self._beams += 1
        own = watch.part(1)
        filled = fill_by_beam(
            StripProblem(width, tuple(Item(*(size[::-1] if turned else size)) for size in sizes)),
            donors * length,
            most=NARROW if self._beams <= NARROW_BEAMS else WIDE,
            guide=guide_by_chance(self._random),
            late=guide_by_chance(self._random),
            watch=own,
            unlike=self._random.random() < UNLIKE_SHARE,
            ends=length,
        )
        watch.count(own.tries * (DEAR - 1))
        return [] if filled.corners is None else self._fillings(filled.corners, length, turned=turned)

    def _fillings(self, corners: Corners, length: int, *, turned: bool) -> list[Filling]:
        """The donors, by where they begin on the strip."""
        laid: dict[int, list[tuple[int, int, int]]] = {}
        for sort, (x, along) in zip(self._sorts, corners, strict=True):
            donor, y = divmod(along, length)
            laid.setdefault(donor, []).append((sort, y, x) if turned else (sort, x, y))
        return [Filling.of(0, laid[donor]) for donor in sorted(laid)]
