"""The hole that a cut leaves in carpet still on a floor, as a job of its own: what may fill it? Lengths mm."""

from collections.abc import Mapping
from dataclasses import replace

from remnants.materials.cuts import cuts_of, donor_cuts, donors_of
from remnants.model import Finish, Grade, Job, Kind, Patch, Piece, Plan, Wanted

__all__ = ["backfill_job"]


def backfill_job(plan: Plan, job: Job, pieces: Mapping[str, Piece]) -> Job | None:
    """A job that fills each hole cut into a laid donor, or None when no donor is laid.

    The holes lie in their donor's axes, its pile is theirs, and every edge is a seam. The place is hidden, so any acceptable
    match will do: another lot, a near shade, or another style of the same construction.
    """
    patches = []
    cuts = cuts_of(plan)
    for tag in donors_of(plan):
        piece = pieces[tag]
        if piece.kind is not Kind.LAID:
            continue
        wanted = Wanted(piece.style, piece.colour, piece.lot, substitute=True, lowest_grade=Grade.SUBSTITUTE, room=piece.room)
        for cut in donor_cuts(cuts, tag):
            ring = cut.part.cut
            name = f"hole of cut {cut.number} in {tag}"
            patches.append(Patch(name, ring, piece.pile_deg, (Finish.SEAM,) * len(ring), wanted, max_parts=2))
    return replace(job, name=f"{job.name}, backfill", patches=tuple(patches)) if patches else None
