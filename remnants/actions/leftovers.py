"""What becomes of a plan's leftovers: as its rule says, unless a person keeps one or throws one away all the same."""

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from typing import Any

from remnants.errors import BadInput, Fault
from remnants.geometry import Outline, largest_rectangle
from remnants.model import Leftover, Piece, Plan
from remnants.rules import LeastSizes

__all__ = ["AS_TOLD", "Choice", "keeps"]

ALL = "all"
"""What a person says who means every leftover."""


@dataclass(frozen=True, slots=True)
class Choice:
    """Names of leftovers to keep, and to throw away, whatever the rule says. `all` means every one that isn't named itself."""

    keep: tuple[str, ...] = ()
    discard: tuple[str, ...] = ()

    def made(self, plan: Plan) -> Plan:
        """The plan with its leftovers kept or not as chosen.

        Raises BadInput with every name that is none of the plan's leftovers, and where one is to be both kept and thrown away.
        """
        names = plan.leftover_names
        known = {name.casefold() for name in names} | {ALL}
        there = f"the leftovers are {', '.join(names)}" if names else "the plan leaves nothing over"
        wanted = dict.fromkeys((*self.keep, *self.discard))
        faults = [Fault("", f"no leftover is called {name!r}: {there}") for name in wanted if _plain(name) not in known]
        kept, thrown = (frozenset(map(_plain, said)) for said in (self.keep, self.discard))
        faults += [Fault("", f"{name!r} can't be both kept and thrown away") for name in wanted if _plain(name) in kept & thrown]
        if faults:
            raise BadInput(faults)
        told = (_told(_plain(name), left, kept, thrown) for name, left in zip(names, plan.leftovers, strict=True))
        return replace(plan, leftovers=tuple(told))

    def beside(self, asked: list[Any]) -> list[Any]:
        """A request for `once`, with the choice where there is one."""
        return [*asked, self.keep, self.discard] if self.keep or self.discard else asked


AS_TOLD = Choice()
"""Every leftover as the plan tells of it."""


def keeps(plan: Plan, least: LeastSizes) -> Callable[[Piece, Outline], bool]:
    """Whether what remains of a donor is kept: as the plan tells of it, or by its style's least size where it tells nothing."""

    def kept(donor: Piece, remain: Outline) -> bool:
        told = [left for left in plan.leftovers if left.piece == donor.tag]
        if told:
            return min(told, key=lambda left: _apart_mm(left.outline, remain)).usable
        largest = largest_rectangle(remain, donor.pile_deg)
        return least.of(donor.style).worth_keeping(largest.width_mm, largest.length_mm)

    return kept


def _told(name: str, left: Leftover, kept: Collection[str], thrown: Collection[str]) -> Leftover:
    if name in kept or name in thrown:
        return replace(left, usable=name in kept, chosen=True)
    if ALL in kept or ALL in thrown:
        return replace(left, usable=ALL in kept, chosen=True)
    return left


def _plain(name: str) -> str:
    return name.strip().casefold()


def _apart_mm(one: Outline, other: Outline) -> float:
    """How far apart the bounds of two remains of one donor are, in all: nothing for the same."""
    return sum(abs(here - there) for here, there in zip(one.bounds, other.bounds, strict=True))
