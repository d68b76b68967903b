"""How a plan of several patches compares: what is seen of all of them, together where they lie in one room."""

from collections.abc import Sequence
from itertools import combinations

from remnants.fitting.patch.look import trouble_of
from remnants.fitting.patch.made import Made
from remnants.fitting.patch.question import Ask
from remnants.matching.seen import between_pieces
from remnants.model.merit import STEP_MM2, Merit, Rank
from remnants.model.piece import Piece

__all__ = ["carpet_name", "merit_of", "rooms_of", "seen_together", "together"]


def merit_of(made: Sequence[Made | None], rooms: Sequence[str] = ()) -> Merit:
    """The merit of a plan: sights and seams of all patches put together, patches of one room (`rooms`) seen together."""
    filled = [each for each in made if each is not None]
    looks = [each.look for each in filled]
    places = {place for each in filled for place in each.places}
    sights = [rank for look in looks for rank in look.sights]
    sights += together(made, rooms) if rooms else []
    return Merit(
        len(made) - len(filled),
        tuple(sorted(sights, reverse=True)),
        tuple(sorted((points for look in looks for points in look.points), reverse=True)),
        sum(look.seen_mm for look in looks),
        trouble_of({trouble for each in filled for trouble in each.troubled}),
        sum(each.spoiled for each in filled) + STEP_MM2 * max(0, len(places) - 1),
    )


def together(made: Sequence[Made | None], rooms: Sequence[str]) -> list[Rank]:
    """The ranks of what is seen between patches of one room."""
    return [(worst, best) for _, _, (best, worst), _ in seen_together(made, rooms)]


def seen_together(made: Sequence[Made | None], rooms: Sequence[str]) -> list[tuple[str, str, tuple[int, int], str]]:
    """For each two different carpets in one room: a piece of either, how plainly they differ, the room.

    Those that meet within a patch are told at their seam.
    """
    found = []
    for room in sorted(set(rooms)):
        here = [each for each, its in zip(made, rooms, strict=True) if its == room and each is not None]
        carpets = [{carpet_name(leaf.donor.candidate.piece): leaf.donor.candidate.piece for leaf in each.parts} for each in here]
        every = {key: piece for own in carpets for key, piece in own.items()}
        for one, two in combinations(sorted(every), 2):
            seen = between_pieces(every[one], every[two])
            if seen is not None and not any(one in own and two in own for own in carpets):
                found.append((every[one].tag, every[two].tag, seen, room))
    return found


def rooms_of(asks: Sequence[Ask]) -> tuple[str, ...]:
    """The room that each patch lies in; patches that name none lie in one."""
    return tuple(" ".join(ask.patch.wanted.room.casefold().split()) for ask in asks)


def carpet_name(piece: Piece) -> tuple[str, str, str, int, str]:
    """What tells one carpet from another: style, colour, lot, wear and measured shade."""
    return piece.style, piece.colour, piece.lot, piece.worn, repr(piece.lab)
