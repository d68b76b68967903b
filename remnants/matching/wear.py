"""Wear: a new remnant in a worn hall shows. Rules of the trade's habit (common practice, no source)."""

from remnants.matching.words import words_of
from remnants.model import Kind, Piece, Wanted
from remnants.model.piece import WORN_WORDS

__all__ = ["wear_of"]


def wear_of(wanted: Wanted, piece: Piece) -> tuple[int, str]:
    """Steps by which the piece's wear misses the room's (0 best), and the sentence ("" when there is nothing to say).

    Where the room's wear isn't stated a newer piece is better. A piece laid in the same room has aged in the same light and
    under the same cleaning: it counts half the steps, rounded down.
    """
    if wanted.worn is None:
        return piece.worn, f"piece {WORN_WORDS[piece.worn]}, the room's wear not stated" if piece.worn else ""
    steps = abs(piece.worn - wanted.worn)
    if piece.kind is Kind.LAID and words_of(wanted.room) and words_of(wanted.room) == words_of(piece.room):
        return steps // 2, "laid in the same room: it has aged with it"
    if steps == 0:
        return 0, "wear the same" if wanted.worn else ""
    side = "newer" if piece.worn < wanted.worn else "more worn"
    shows = "will show at first" if steps == 1 else "will show"
    by = "1 step" if steps == 1 else f"{steps} steps"
    return steps, f"piece {WORN_WORDS[piece.worn]}, room {WORN_WORDS[wanted.worn]}: {by} {side}, {shows}"
