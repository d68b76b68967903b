"""The hole that a cut leaves in carpet still on a floor, as a job of its own: what may fill it? Lengths mm."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from remnants.materials.cuts import cuts_of, donor_cuts, donors_of
from remnants.model import Finish, Grade, Job, Kind, Patch, Piece, Plan, Wanted

__all__ = ["backfill_jobs"]


def backfill_jobs(plan: Plan, job: Job, pieces: Mapping[str, Piece]) -> tuple[Job, ...]:
    """Jobs that fill each hole cut into a laid donor, to be tried in order; none when no donor is laid.

    The holes lie in their donor's axes, its pile is theirs, and every edge is a seam. The place is hidden, so after the donor's
    own carpet a substitute will do, then its style in any colour, then whatever there is.
    """
    holes = tuple(_holes(plan, pieces))
    if not holes:
        return ()
    tries = (
        [_with(patch, piece.style, piece.colour, piece.lot) for patch, piece in holes],
        [_with(patch, piece.style, "", "") for patch, piece in holes],
        [_with(patch, "", "", "") for patch, _ in holes],
    )
    return tuple(replace(job, name=f"{job.name}, backfill", patches=tuple(patches)) for patches in tries)


def _holes(plan: Plan, pieces: Mapping[str, Piece]) -> Iterator[tuple[Patch, Piece]]:
    cuts = cuts_of(plan)
    for tag in donors_of(plan):
        piece = pieces[tag]
        for cut in donor_cuts(cuts, tag) if piece.kind is Kind.LAID else ():
            ring = cut.part.cut
            yield Patch(f"hole of cut {cut.number} in {tag}", ring, piece.pile_deg, (Finish.SEAM,) * len(ring)), piece


def _with(patch: Patch, style: str, colour: str, lot: str) -> Patch:
    wanted = Wanted(style, colour, lot, substitute=bool(colour), lowest_grade=Grade.SUBSTITUTE)
    return replace(patch, wanted=wanted)
