"""Colour words that are on no label, and the labels of about that shade."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from remnants.matching.colours import NamedShade, named_shade
from remnants.matching.shade import comparable, delta_e_2000
from remnants.model import Lab

__all__ = ["NEAR_WORDS", "NearShade", "ShadeRows", "shade_in"]

NEAR_WORDS = 10.0
"""ΔE00 up to which a shade is near to a colour's name: a name is no measurement (our own figure)."""


@dataclass(frozen=True, slots=True)
class NearShade:
    """A row of near shade, its difference, and whether its own shade was measured (else it is its colour's name that is near)."""

    row: int
    delta_e: float
    measured: bool


def shade_in(words: Sequence[str], known: Collection[str]) -> tuple[NamedShade, tuple[str, ...]] | None:
    """The longest run of words that names a shade and isn't all on labels (`known`), and the words of that run."""
    for length in range(len(words), 0, -1):
        for start in range(len(words) - length + 1):
            run = tuple(words[start : start + length])
            if all(word in known for word in run):
                continue
            shade = named_shade(" ".join(run))
            if shade:
                return shade, run
    return None


class ShadeRows:
    """Shades of rows of (style, colour): measured where given, else by the colour's name."""

    def __init__(self, names: Iterable[tuple[str, str]], measured: Mapping[tuple[str, str], Lab]) -> None:
        self._names = tuple(names)
        self._measured = measured

    @cached_property
    def _rows(self) -> dict[tuple[Lab, bool], list[int]]:
        rows: dict[tuple[Lab, bool], list[int]] = defaultdict(list)
        for row, name in enumerate(self._names):
            lab, named = self._measured.get(name), named_shade(name[1])
            if lab:
                rows[lab, True].append(row)
            elif named:
                rows[named.lab, False].append(row)
        return rows

    def near(self, shade: Lab) -> tuple[NearShade, ...]:
        """Rows of near shade, nearest first."""
        found = [
            NearShade(row, delta_e, measured)
            for (lab, measured), rows in self._rows.items()
            if comparable(lab, shade) and (delta_e := delta_e_2000(lab, shade)) <= NEAR_WORDS
            for row in rows
        ]
        return tuple(sorted(found, key=lambda each: (each.delta_e, each.row)))
