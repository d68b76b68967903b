"""Tells a carpet's shade from a photograph that has a flat neutral grey card lying on the carpet, or compares two shades.

remnants shade hall.jpg
remnants shade hall.jpg --card 40,40,20,15 --with R-0142
remnants shade 72.1,2.0,13.8 --with 71.0,2.4,15.0
"""

import argparse
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.tell_shade import (
    CARD_LIGHTNESS,
    Compared,
    PhotoShade,
    compare_shades,
    shade_of_photo,
    shade_of_piece,
)
from remnants.cli.options import picture_area, shade_figures
from remnants.cli.printing import show, show_json
from remnants.errors import BadFile, Fault
from remnants.limits import PHOTO_BYTES
from remnants.model import Lab

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants shade`."""
    parser.add_argument("shade", metavar="PHOTO", help="a JPEG, PNG or WebP picture, or a measured shade as L*,a*,b*")
    place = "left,top,width,height in per cent of the picture"
    parser.add_argument("--card", type=picture_area, metavar="PLACE", help=f"where the grey card is: {place}")
    parser.add_argument("--carpet", type=picture_area, metavar="PLACE", help=f"where the carpet is: {place}")
    parser.add_argument(
        "--card-lightness", type=float, default=CARD_LIGHTNESS, metavar="L", help=f"the card's L* (default {CARD_LIGHTNESS:g})"
    )
    parser.add_argument("--with", dest="other", metavar="SHADE", help="compare with this piece's shade, or with L*,a*,b*")
    parser.add_argument("--json", action="store_true", help="print the figures as JSON")


def run(args: argparse.Namespace) -> int:
    """Prints the shade, and how it differs from the other."""
    taken = None if _is_figures(args.shade) else _taken(args)
    lab = taken.lab if taken else Lab(*shade_figures("PHOTO", args.shade))
    other = _other(args) if args.other else None
    compared = compare_shades(other, lab) if other else None
    if args.json:
        show_json(_json(lab, taken, compared))
        return 0
    show(f"L* {lab.lightness:.1f}, a* {lab.a:.1f}, b* {lab.b:.1f}" + (" from the photograph" if taken else ""))
    if taken:
        show(f"card {taken.card_share:.0%} and carpet {taken.carpet_share:.0%} of the picture; scatter ΔE {taken.scatter:.1f}")
        show(
            f"rough: it may well be ΔE {taken.rough:.0f} off. Before cutting, hold both carpets side by side in the room's light"
        )
    if compared:
        close = "close" if compared.close else "near" if compared.near else "apart"
        show(f"difference: ΔE00 {compared.delta_e:.1f}, grey scale {compared.grey}: {close}")
    return 0


def _is_figures(text: str) -> bool:
    return "," in text and not Path(text).exists() and text.replace(",", "").replace(".", "").replace("-", "").strip().isdigit()


def _taken(args: argparse.Namespace) -> PhotoShade:
    path = Path(args.shade)
    try:
        with path.open("rb") as file:
            photo = file.read(PHOTO_BYTES + 1)
    except OSError as error:
        raise BadFile([Fault(str(path), f"can't be read ({error.strerror}); give a photograph")]) from None
    return shade_of_photo(photo, card=args.card, carpet=args.carpet, card_lightness=args.card_lightness)


def _other(args: argparse.Namespace) -> Lab:
    if _is_figures(args.other):
        return Lab(*shade_figures("--with", args.other))
    with open_catalogue(args.catalogue, write=False) as catalogue:
        return shade_of_piece(catalogue, args.other)


def _json(lab: Lab, taken: PhotoShade | None, compared: Compared | None) -> dict[str, object]:
    found: dict[str, object] = {"lab": [round(value, 2) for value in (lab.lightness, lab.a, lab.b)], "illuminant": lab.illuminant}
    if taken:
        found |= {"rough": round(taken.rough, 1), "scatter": round(taken.scatter, 2)}
    if compared:
        found |= {"delta_e": round(compared.delta_e, 2), "grey_scale": compared.grey.value, "close": compared.close}
    return found
