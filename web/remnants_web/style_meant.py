"""Which style is meant by one that nobody has: asked before a misspelt name becomes a style."""

from remnants.actions.find_pieces import find_pieces
from remnants.actions.log_pieces import known_styles
from remnants.errors import BadInput
from remnants_web.shapes import Typed
from remnants_web.shop import catalogue

__all__ = ["NEW_STYLE", "styles_meant"]

NEW_STYLE = "new style"
"""What the form sends when a style is meant as it was typed."""

_MOST_LOOKED_AT = 60
_MOST_OFFERED = 3


def styles_meant(form: Typed) -> tuple[str, ...]:
    """Styles that may be meant by one that nobody has; none when it is clear, and then the form holds the style to log."""
    typed, known = form["style"].strip(), known_styles(catalogue())
    chosen = form.pop("style_is", "")
    same = next((name for name in known if name.casefold() == typed.casefold()), "")
    if same or chosen in known:
        form["style"] = same or chosen
        return ()
    if not typed or chosen == NEW_STYLE:
        return ()
    try:
        found = find_pieces(catalogue(), typed, most=_MOST_LOOKED_AT)
    except BadInput:
        return ()
    return tuple(dict.fromkeys(piece.style for piece in found.pieces))[:_MOST_OFFERED]
