"""One patch as it is asked: in its pile frame, with the donors that may give it, as they are left."""

from collections.abc import Mapping, Sequence

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.shape import Shape
from remnants.fitting.rules import FitRules
from remnants.geometry.outline import Outline
from remnants.geometry.turn import levelled_ring, turned_point, turned_ring, whole_turn
from remnants.model.match import Candidate
from remnants.model.patch import LEAST_PART_MM, Job, Patch
from remnants.sights import Surroundings

__all__ = ["ask_of", "donors_of"]


def ask_of(job: Job, patch: Patch, rules: FitRules, *, thrifty: bool = False) -> Ask:
    """The patch in its pile frame."""
    ring = levelled_ring(turned_ring(patch.ring, whole_turn(-patch.pile_deg)))
    shape = Shape(ring, patch.edges, job.allowance)
    motif = None if patch.motif is None else turned_point(patch.motif, whole_turn(-patch.pile_deg))
    room, turn = job.room_of(patch), whole_turn(-patch.pile_deg)
    around = Surroundings.of(room, patch.ring).turned(turn) if room is not None else Surroundings()
    least_mm = max(job.min_part_mm, LEAST_PART_MM)
    return Ask(patch, shape, motif, least_mm, rules, thrifty=thrifty, surroundings=around)


def donors_of(patch: Patch, candidates: Sequence[Candidate], left: Mapping[str, Outline]) -> list[Donor]:
    """What is left of each candidate, once for every allowed turn, by tag."""
    turns = list(dict.fromkeys(whole_turn(turn) for turn in patch.turns))
    turn_of = {
        (turn, pile_deg): whole_turn(turn - pile_deg)
        for pile_deg in {candidate.piece.pile_deg for candidate in candidates}
        for turn in turns
    }
    return [
        Donor(candidate, left[piece.tag], turn_of[turn, piece.pile_deg])
        for candidate in sorted(candidates, key=lambda candidate: candidate.piece.tag)
        for piece in (candidate.piece,)
        for turn in turns
    ]
