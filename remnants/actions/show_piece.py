"""Looking one piece up by its tag."""

import difflib
from dataclasses import dataclass

from remnants.errors import NotFound
from remnants.model import Piece, Style
from remnants.store import Catalogue, pieces, styles

__all__ = ["Shown", "show_piece"]


@dataclass(frozen=True)
class Shown:
    """A piece and its style."""

    piece: Piece
    style: Style


def show_piece(catalogue: Catalogue, tag: str) -> Shown:
    """The piece with this tag, whatever the letter case. Raises NotFound with the tags most like it."""
    piece = pieces.find_piece(catalogue, tag.strip())
    if piece is None:
        near = difflib.get_close_matches(tag.strip().upper(), pieces.all_tags(catalogue), n=3, cutoff=0.6)
        hint = f"; the nearest tags are {', '.join(near)}" if near else ""
        raise NotFound(f"no piece has the tag {tag!r}{hint}")
    return Shown(piece, styles.find_style(catalogue, piece.style))
