"""What a plan does to its donors: what remains, which offcuts come into being, what is waste. Lengths mm, areas mm²."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from remnants.geometry import Outline, Ring
from remnants.geometry.outline import area_mm2
from remnants.geometry.remainders import remainders
from remnants.geometry.turn import moved
from remnants.ledger.entries import Cut, CutCost
from remnants.model import Kind, Piece, Plan
from remnants.model.attributes import PLAIN
from remnants.model.money import shared_out

__all__ = ["DonorCut", "cut_donors"]

Keeps = Callable[[Piece, Outline], bool]
"""Whether what remains of a donor, in its own axes, is stock and not waste."""


@dataclass(frozen=True)
class DonorCut:
    """One donor's cut, and the offcuts that come of it."""

    tag: str
    cut: Cut
    offcuts: tuple[Piece, ...]


def cut_donors(plan: Plan, donors: Mapping[str, Piece], *, keep: Keeps, new_tag: Callable[[], str]) -> tuple[DonorCut, ...]:
    """What becomes of each donor of the plan, in the order of tags.

    The largest usable leftover keeps the donor's tag, which is on it; every other usable one becomes an offcut with a tag of its
    own and all that is told of the donor, but for what stays with that (`Attribute.stays`). What is not worth keeping is waste.
    What the donor had cost is shared by area among all of them, to the minor unit.
    """
    cuts: dict[str, list[Ring]] = {}
    for patch in plan.patches:
        for part in patch.parts:
            cuts.setdefault(part.piece, []).append(part.cut)
    return tuple(_cut(donors[tag], cuts[tag], keep, new_tag) for tag in sorted(cuts))


def _cut(donor: Piece, cuts: list[Ring], keep: Keeps, new_tag: Callable[[], str]) -> DonorCut:
    left = remainders(donor.outline, cuts)
    kept = [outline for outline in left if keep(donor, outline)]
    if donor.kind is Kind.LAID:
        kept = kept or list(left[:1])  # what isn't lifted lies on its floor as before, worth keeping or not
    waste_mm2 = sum(outline.usable_area_mm2 for outline in left if outline not in kept)
    offcuts = tuple(_offcut(donor, outline, new_tag()) for outline in kept[1:])
    taken_mm2 = sum(area_mm2(cut) for cut in cuts)
    cut = Cut(kept[0] if kept else None, taken_mm2, waste_mm2, tuple(offcut.tag for offcut in offcuts))
    return _with_cost(donor, DonorCut(donor.tag, cut, offcuts))


def _with_cost(donor: Piece, made: DonorCut) -> DonorCut:
    """The same with what the donor had cost shared by area; as it is where that isn't known."""
    if donor.cost is None:
        return made
    cut = made.cut
    left_mm2 = cut.remaining.usable_area_mm2 if cut.remaining else 0.0
    own_mm2 = [offcut.outline.usable_area_mm2 for offcut in made.offcuts]
    taken, left, waste, *own = shared_out(donor.cost, [cut.taken_mm2, left_mm2, cut.waste_mm2, *own_mm2])
    offcuts = tuple(replace(offcut, cost=cost) for offcut, cost in zip(made.offcuts, own, strict=True))
    return replace(made, cut=replace(cut, cost=CutCost(left, taken, waste)), offcuts=offcuts)


def _offcut(donor: Piece, outline: Outline, tag: str) -> Piece:
    """The offcut in axes of its own, from its lower left corner, the pattern's point moved with it."""
    left, bottom, _, _ = outline.bounds
    motif = (donor.motif[0] - left, donor.motif[1] - bottom) if donor.motif else None
    lies_on = donor.kind is Kind.LAID  # and so does the rest: on the same floor, as hidden as before
    stays = {attribute.field: attribute.usual for attribute in PLAIN if attribute.stays and not lies_on}
    return replace(donor, tag=tag, kind=_kind_of(donor), outline=moved(outline, (-left, -bottom)), motif=motif, **stays)


def _kind_of(donor: Piece) -> Kind:
    """A leftover is an offcut; what stays on the customer's floor or in their attic stays theirs."""
    return donor.kind if donor.kind in (Kind.KEPT, Kind.LAID) else Kind.OFFCUT
