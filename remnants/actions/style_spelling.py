"""Styles that are written otherwise than a known one, told from new ones: so that no second `Velder Loop` comes in."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from remnants.errors import Fault
from remnants.late import Late
from remnants.model import Piece

if TYPE_CHECKING:
    from remnants.matching import names
else:
    names = Late("remnants.matching.names")

__all__ = ["Meant", "kept_as_written", "spelled_as_known", "styles_as_known"]

_LOOKED_AT = 500
"""Spellings that are compared with the known names: each is asked about, or told."""

Meant = Callable[[str, str], bool]
"""Whether the first name, as it is written, is meant for the second, which is known."""


def kept_as_written(_written: str, _known: str) -> bool:
    """A Meant for where nobody can be asked: what is not the same but for letter case and blanks is another style."""
    return False


def spelled_as_known(
    pieces: Iterable[Piece], known: Collection[str], meant: Meant = kept_as_written
) -> tuple[tuple[Piece, ...], tuple[Fault, ...]]:
    """The pieces with their styles as the known ones are written, and what is to be told of it.

    What differs in letter case and blanks alone is the known style; of what may be one, `meant` decides, once for each spelling.
    """
    told = tuple(pieces)
    styles, notes = styles_as_known(dict.fromkeys(piece.style for piece in told), known, meant)
    return tuple(replace(piece, style=styles.get(piece.style, piece.style)) for piece in told), notes


def styles_as_known(
    written: Iterable[str], known: Collection[str], meant: Meant = kept_as_written
) -> tuple[dict[str, str], tuple[Fault, ...]]:
    """The known style of each written one that is one, as `spelled_as_known` has it, and what is to be told of it."""
    unknown = [style for style in written if style not in known]
    if not known or not unknown:
        return {}, ()
    folded = {_folded(name): name for name in sorted(known, reverse=True)}
    styles: dict[str, str] = {}
    notes: list[Fault] = []
    others = []
    for style in unknown:
        if _folded(style) in folded:
            styles[style] = folded[_folded(style)]
            notes.append(Fault("styles", f"{style!r} is written {styles[style]!r} here, and taken for it"))
        else:
            others.append(style)
    index = names.NameIndex(sorted(known)) if others else None
    for style in others[:_LOOKED_AT]:
        found = names.take(style, index) if index else None
        if not isinstance(found, names.Taken):
            continue
        if meant(style, found.name):
            styles[style] = found.name
        else:
            notes.append(Fault("styles", f"{style!r} is kept as it is written; if {found.name!r} is meant, write that"))
    return styles, tuple(notes)


def _folded(name: str) -> str:
    return " ".join(name.casefold().split())
