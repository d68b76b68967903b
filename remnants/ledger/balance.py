"""Areas must add up, and costs: what a donor was is what was taken, what is left, and what is waste."""

from collections.abc import Mapping

from remnants.errors import Fault
from remnants.geometry import TOLERANCE_MM, Outline, Ring
from remnants.ledger.entries import Cut, Received
from remnants.ledger.replay import History
from remnants.model import Piece
from remnants.model.money import Money

__all__ = ["balance_faults"]


def balance_faults(history: History, received: Mapping[str, Received]) -> tuple[Fault, ...]:
    """Every cut of the history whose areas don't add up to the tolerance, or whose costs don't to the minor unit, with the
    figures; or whose offcuts never came in.

    `received` by the offcuts' tags.
    """
    faults = []
    for index, (entry, after) in enumerate(history.counting):
        if isinstance(entry.change, Cut):
            lacking = [tag for tag in entry.change.offcuts if tag not in received]
            faults += [
                Fault(f"entry {entry.number}", f"says that {tag} was left, which never came in with it") for tag in lacking
            ]
            if lacking:
                continue
            donor = history.counting[index - 1][1].piece
            before = donor.outline
            gap_mm2 = _gap_mm2(before, entry.change, received)
            lost = _cost_lost(donor, entry.change, received)
            if lost:
                faults.append(
                    Fault(f"entry {entry.number}", f"{lost} of what {donor.tag} had cost is with nothing that came of it")
                )
            if abs(gap_mm2) > _slack_mm2(before):
                what = f"{gap_mm2 / 100:.1f} cm² of {after.piece.tag} are neither taken, left nor waste"
                faults.append(Fault(f"entry {entry.number}", what))
    return tuple(faults)


def _gap_mm2(before: Outline, cut: Cut, received: Mapping[str, Received]) -> float:
    left_mm2 = cut.remaining.usable_area_mm2 if cut.remaining else 0.0
    offcuts_mm2 = sum(received[tag].piece.outline.usable_area_mm2 for tag in cut.offcuts)
    return before.usable_area_mm2 - cut.taken_mm2 - cut.waste_mm2 - left_mm2 - offcuts_mm2


def _cost_lost(donor: Piece, cut: Cut, received: Mapping[str, Received]) -> Money | None:
    """What of the donor's cost is with nothing that the cut made; None where all of it is, or where the cut tells of none."""
    if cut.cost is None:
        return None
    own = [received[tag].piece.cost for tag in cut.offcuts]
    shares = [share for share in (cut.cost.left, cut.cost.taken, cut.cost.waste, *own) if share is not None]
    before = donor.cost or Money(0, cut.cost.left.currency)
    lost = Money(before.minor - sum(share.minor for share in shares), before.currency)
    return lost if lost.minor or {share.currency for share in shares} != {before.currency} else None


def _slack_mm2(outline: Outline) -> float:
    """What setting corners within the tolerance can change: a strip along every edge, on both sides of each cut."""
    return 10 * TOLERANCE_MM * sum(_round_mm(ring) for ring in (outline.ring, *outline.cutouts))


def _round_mm(ring: Ring) -> float:
    return sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))
