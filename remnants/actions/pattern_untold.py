"""Says where a pattern isn't met because nobody told where it lies in the room: it is never ignored without a word."""

from collections.abc import Mapping

from remnants.model import Finish, Job, Piece, Plan, Style

__all__ = ["pattern_notes"]


def pattern_notes(job: Job, plan: Plan, pieces: Mapping[str, Piece], styles: Mapping[str, Style]) -> list[str]:
    """A note for each patch with a seam to the floor that is cut from patterned goods, and whose `motif` is not told.

    `pieces` by tag and `styles` by name hold those that the plan cuts.
    """
    notes = []
    for patch, answer in zip(job.patches, plan.patches, strict=True):
        if patch.motif is not None or Finish.SEAM not in patch.edges:
            continue
        cut = sorted({pieces[part.piece].style for part in answer.parts})
        for name in (name for name in cut if name in styles and styles[name].repeat is not None):
            notes.append(
                f"{patch.name}: where the pattern of {name} lies in the room isn't told, so its seams don't meet it; "
                "tell a point of the pattern, from the patch's lower left corner"
            )
    return notes
