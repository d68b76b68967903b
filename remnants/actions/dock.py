"""The dock: one tag or place scanned after another, each looked up by itself, answered at once and taken back on the spot."""

from dataclasses import dataclass, replace
from enum import StrEnum

from remnants.actions.booking import answered, once, standing_of
from remnants.actions.change_piece import correct_piece, move_piece
from remnants.actions.count_place import near_places, place_named
from remnants.actions.near_tags import NEAREST_SHOWN, nearest_tags, tags_to_compare
from remnants.actions.places import place_meant
from remnants.errors import NotAllowed
from remnants.geometry import rectangle
from remnants.ledger import Corrected, Counted, Discarded, Entry, Moved, Received, Sent, Signed, Standing, Undone
from remnants.ledger.states import ON_HAND
from remnants.report.code import RACK
from remnants.store import Catalogue, ledger, pieces

__all__ = ["Done", "Found", "Scan", "TakenBack", "done_by", "look_up", "put_here", "resize_piece"]

"""Tags or places told that are written much like one that nobody has."""


class Found(StrEnum):
    """What a scan turned out to be."""

    PIECE = "piece"
    PLACE = "place"
    PLACES = "places"
    NOTHING = "nothing"


@dataclass(frozen=True)
class Scan:
    """A scan looked up: the tag or the place as the books write it, where the piece stands, what else may be meant.

    Of PLACES of one name at several branches, `places` tells each with whose it is, and `text` what was scanned.
    """

    found: Found
    text: str
    standing: Standing | None = None
    near: tuple[str, ...] = ()
    places: tuple[tuple[str, str], ...] = ()


class TakenBack(StrEnum):
    """How something is taken back: as the last of one piece, a whole count, all that came in or was done together, or not."""

    PIECE = "piece"
    COUNT = "count"
    RECEIPT = "receipt"
    TOGETHER = "together"
    NOT = "not"


@dataclass(frozen=True)
class Done:
    """What somebody did in one go: its first and its last entry, about so many pieces, and whether nothing happened since."""

    first: Entry
    last: Entry
    pieces: int
    stands: bool

    @property
    def is_undoing(self) -> bool:
        """Whether that took something back itself."""
        return isinstance(self.first.change, Undone)

    @property
    def is_back(self) -> bool:
        """Whether that took a piece back from who had it lent."""
        return isinstance(self.first.change, Moved) and self.first.change.back

    @property
    def place(self) -> str:
        """The place that was counted."""
        return self.first.change.place if isinstance(self.first.change, Counted) else ""

    @property
    def taken_back(self) -> TakenBack:
        """How it is taken back; what was changed since, or took something back itself, is not."""
        if not self.stands or self.is_undoing:
            return TakenBack.NOT
        if self.pieces > 1 and isinstance(self.first.change, Counted):
            return TakenBack.COUNT
        if self.pieces > 1 and isinstance(self.first.change, Received):
            return TakenBack.RECEIPT
        if self.pieces > 1 and isinstance(self.first.change, Discarded | Corrected | Moved | Sent):
            return TakenBack.TOGETHER
        return TakenBack.PIECE


def look_up(catalogue: Catalogue, text: str, *, own: str = "") -> Scan:
    """A rack by its label's code, a piece by its tag, else a place that something lies at; else what is written much like it.

    A place is meant as it is called at the branch or van `own` from which somebody works: see `place_meant`. Reads the rows
    that it names, and no list of the stock unless nothing is found; of a shop with several branches the list of places.
    """
    bare = text.strip()
    if bare.casefold().startswith(RACK) and bare[len(RACK) :].strip():
        return Scan(Found.PLACE, place_named(catalogue, bare[len(RACK) :]))
    standing = pieces.find_standing(catalogue, bare)
    if standing is not None:
        return Scan(Found.PIECE, standing.piece.tag, standing.on(catalogue.today()))
    meant = place_meant(catalogue, bare, own=own) if bare else None
    if meant and (meant.asks or (meant.others and not meant.there)):
        return Scan(Found.PLACES, bare if meant.asks else meant.place, places=meant.others)
    if meant and meant.there:
        return Scan(Found.PLACE, meant.place)
    near = (*nearest_tags(bare, tags_to_compare(catalogue, bare)), *near_places(catalogue, bare))
    return Scan(Found.NOTHING, bare, near=near[:NEAREST_SHOWN])


def put_here(catalogue: Catalogue, tag: str, place: str, *, signed: Signed, key: str = "") -> bool:
    """Moves a piece to a place of the shop's own; False, and nothing is written, where it lies there by the books already.

    Raises as `move_piece`.
    """
    if not answered(catalogue, key):
        standing = standing_of(catalogue, tag)
        piece = standing.piece
        if standing.stage in ON_HAND and (piece.place, piece.room, piece.customer) == (place.strip(), "", ""):
            return False
    move_piece(catalogue, tag, place, signed=signed, key=key)
    return True


def resize_piece(
    catalogue: Catalogue, tag: str, *, width_mm: float, length_mm: float, seen: int, signed: Signed, key: str = ""
) -> str:
    """Corrects the size of a plain rectangle, width across the roll and length along it (mm); gives its tag.

    Raises as `correct_piece`, BadOutline for a size that none has; NotAllowed for a piece of another shape.
    """

    def do() -> str:
        piece = standing_of(catalogue, tag).piece
        if not piece.outline.is_rectangle:
            raise NotAllowed(f"{piece.tag} is no plain rectangle: correct its outline with `remnants correct {piece.tag}`")
        left, bottom, *_ = piece.outline.bounds
        told = replace(piece, outline=rectangle(width_mm, length_mm, (left, bottom)))
        return correct_piece(catalogue, told, expected=seen, signed=signed)

    return str(once(catalogue, key, ["resize", tag, width_mm, length_mm, seen], signed, do))


def done_by(catalogue: Catalogue, who: str, *, most: int) -> tuple[Done, ...]:
    """What this person did with pieces by scan or by hand, the newest first; what came of a cut is left out."""
    found = []
    for first, last, count, standing in ledger.bookings_by(catalogue, who, most=most):
        if not (isinstance(first.change, Received) and first.change.parent):
            found.append(Done(first, last, count, standing == count))
    return tuple(found)
