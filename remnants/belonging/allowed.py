"""Which pieces a job leaves alone, and why, in words that name nobody."""

from collections.abc import Sequence

from remnants.belonging.tiers import Tier, Whose, tier_of, whose
from remnants.model import Job, Kind, MayUse, PassedOver, Piece

__all__ = ["divided", "needed_for", "why_left_alone"]

_WHY = {
    MayUse.OTHER_CUSTOMERS: "kept with another customer, who must be asked first",
    MayUse.OTHER_HOUSES: "laid in another house",
    MayUse.IN_VIEW: "laid in this house where it is seen",
}


def divided(pieces: Sequence[Piece], job: Job) -> tuple[tuple[Piece, ...], tuple[PassedOver, ...]]:
    """The pieces that the job may use, and those that it leaves alone with the reason, both in the order given."""
    allowed, left_alone = [], []
    for piece in pieces:
        why = why_left_alone(piece, job)
        if why:
            left_alone.append(PassedOver(piece.tag, why))
        else:
            allowed.append(piece)
    return tuple(allowed), tuple(left_alone)


def why_left_alone(piece: Piece, job: Job) -> str:
    """Why the job doesn't use the piece, "" where it may. The words name no customer and no house."""
    if job.avoid and piece.tag.casefold() in {tag.casefold() for tag in job.avoid}:
        return "the job says to avoid it"
    needed = needed_for(piece, job)
    if needed is None or needed in job.may_use:
        return ""
    return f'{_WHY[needed]}: left alone unless the job says "may_use": ["{needed}"]'


def needed_for(piece: Piece, job: Job) -> MayUse | None:
    """What the job must say before the piece may be used; None where it may be used anyhow."""
    if tier_of(piece, job) < Tier.ANOTHERS:
        return None
    if piece.kind is not Kind.LAID:
        return MayUse.OTHER_CUSTOMERS
    return MayUse.OTHER_HOUSES if whose(piece, job) is Whose.ANOTHERS else MayUse.IN_VIEW
