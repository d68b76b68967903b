"""What matches a job and is on the way between branches: it is not planned with, and that is said."""

from collections.abc import Iterable

from remnants.exchange import Stock
from remnants.matching.grade import grade_pieces
from remnants.matching.stock_names import Label, StockNames
from remnants.model import Job, PassedOver, Style
from remnants.store import Catalogue
from remnants.store.ways import on_the_way

__all__ = ["sent_and_matching", "sent_notes"]

MOST_NOTED = 3
"""Pieces on the way that an answer's notes tell one by one; all of them stand with those passed over."""


def sent_and_matching(catalogue: Catalogue, job: Job, styles: Iterable[Style]) -> tuple[PassedOver, ...]:
    """The pieces on the way whose carpet would do for a patch of the job, whatever their size, each with its way in words."""
    sent = {each.piece.tag: each for each in on_the_way(catalogue) if each.piece.tag not in job.avoid}
    if not sent:
        return ()
    stock = Stock(tuple(styles), tuple(each.piece for each in sent.values()))
    names = StockNames((Label(piece.style, piece.colour, piece.lot) for piece in stock.pieces), stock.style_of)
    graded = grade_pieces(job, stock.pieces, stock.style_of, names=names)
    tags = {candidate.piece.tag for each in graded for candidate in each.candidates}
    told = ((tag, each.way) for tag, each in sent.items() if tag in tags and each.way)
    return tuple(PassedOver(tag, f"on the way {way.words}; it may be cut once it is taken in") for tag, way in told)


def sent_notes(sent: tuple[PassedOver, ...]) -> tuple[str, ...]:
    """What an answer says of them: each of the first few, and how many more there are."""
    told = tuple(f"{each.piece} matches, and is {each.reason}" for each in sent[:MOST_NOTED])
    more = len(sent) - len(told)
    return (*told, f"{more} more pieces that match are on the way") if more > 0 else told
