"""A swatch of a piece's colour: of its measured shade, else of what its colour's name roughly stands for."""

from html import escape

from remnants.matching.colours import named_shade, srgb_of_lab
from remnants.model import Piece

__all__ = ["swatch_svg", "tint_of"]

TUFTS = '<path d="M0 5H20M0 10H20M0 15H20" stroke="#000" stroke-opacity=".16" stroke-width="1.2" stroke-dasharray="1.6 1.2"/>'


TINT_SHARE = 0.35
"""How much of its colour a drawn piece has, the rest paper: figures and words on the darkest are still read with ease."""


def tint_of(piece: Piece) -> str:
    """The piece's colour, pale, as `#rrggbb`: of its measured shade, else roughly of its name; "" where it is not known."""
    named = None if piece.lab else named_shade(piece.colour)
    shade = piece.lab or (named.lab if named else None)
    if shade is None:
        return ""
    pale = (1 - TINT_SHARE * (1 - channel) for channel in srgb_of_lab(shade))
    return "#" + "".join(f"{round(255 * channel):02x}" for channel in pale)


def swatch_svg(piece: Piece) -> str:
    """A small SVG square of the colour with a few rows of tufts, and what it rests on told; "" where the colour is not known.

    The words beside it name the colour, so those who hear the page are spared it. A colour by its name is marked as one: its
    corner is cut. A name is no measurement, and screens differ.
    """
    named = None if piece.lab else named_shade(piece.colour)
    shade = piece.lab or (named.lab if named else None)
    if shade is None:
        return ""
    colour = "#" + "".join(f"{round(255 * channel):02x}" for channel in srgb_of_lab(shade))
    told = f"{piece.colour or 'colour'}: " + ("measured shade" if named is None else f"roughly, by its name ({named.name})")
    shape = "M0 0H20V20H0Z" if named is None else "M0 0H13L20 7V20H0Z"
    return (
        f'<svg class="swatch" viewBox="0 0 20 20" aria-hidden="true" focusable="false"><title>{escape(told)}</title>'
        f'<path d="{shape}" fill="{colour}"/>'
        f"{TUFTS}</svg>"
    )
