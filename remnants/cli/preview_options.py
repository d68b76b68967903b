"""The options by which `remnants fit` shows a repair in the photograph that its damage was measured in, and the showing."""

from __future__ import annotations

import argparse
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

from remnants.actions import open_catalogue
from remnants.cli.files import write_bytes
from remnants.cli.photo_options import view_in
from remnants.errors import BadFile, BadInput, Fault
from remnants.late import Late
from remnants.limits import PHOTO_BYTES
from remnants.model.picture import Picture, RepairPicture

if TYPE_CHECKING:
    from remnants.actions import repair_preview
    from remnants.actions.fit_job import Fitted
    from remnants.actions.repair_preview import Overhead, Preview
else:
    repair_preview = Late("remnants.actions.repair_preview")  # brings what opens pictures

__all__ = ["add_pictured", "add_preview", "preview_written", "repairs_pictured"]

_ENDINGS = (".png", ".jpg", ".jpeg")


def add_preview(parser: argparse.ArgumentParser) -> None:
    """The options."""
    group = parser.add_argument_group("seen before it is made", "of a patch whose damage was measured in a photograph")
    group.add_argument("--preview", metavar="FILE", type=Path, help="draw the repair into that photograph, as a PNG or a JPEG")
    _add_pictures(group)
    group.add_argument("--seams", action="store_true", help="draw the seams too, each with its grade, 0 hard to find to 3 plain")


def add_pictured(parser: argparse.ArgumentParser) -> None:
    """The options by which a sheet shows the repair to its customer."""
    told = "shown to the customer: of a patch whose damage was measured in a photograph"
    _add_pictures(parser.add_argument_group("the repair as it may look", told))


def _add_pictures(group: argparse._ArgumentGroup) -> None:
    group.add_argument("--photo", metavar="FILE", type=Path, help="the photograph, as the camera stored it")
    group.add_argument(
        "--donor-photo",
        metavar="TAG=FILE",
        action="append",
        default=[],
        help="a piece's carpet from above, as `remnants measure --scaled` writes it; else that kept with the piece; repeatable",
    )
    group.add_argument(
        "--lens", metavar="MM", type=float, help="the lens by 35 mm film, where the photograph does not tell it: 26"
    )


def preview_written(args: argparse.Namespace, fitted: Fitted) -> str:
    """Draws the repair and gives lines that tell where; "" where none is asked for. Raises BadInput, BadFile, NotMeasured."""
    if not args.preview:
        return ""
    if not args.photo:
        raise BadInput([Fault("--photo", "give the photograph that the damage was measured in")])
    if args.preview.suffix.lower() not in _ENDINGS:
        raise BadInput([Fault("--preview", f"{args.preview.name!r} is no picture's name: end it in .png or .jpg")])
    told = []
    for number, (patch, drawn) in enumerate(_drawn(args, fitted, "--preview"), 1):
        made = repair_preview.with_seams(drawn, fitted, patch) if args.seams else drawn
        path = args.preview if number == 1 else args.preview.with_stem(f"{args.preview.stem}-{number}")
        _write(path, made)
        told += [f"{patch} in its photograph, {repair_preview.PROMISE}: {path}", *(f"  {note}" for note in made.notes)]
    return "\n".join([*told, ""])


def repairs_pictured(args: argparse.Namespace, fitted: Fitted) -> tuple[RepairPicture, ...]:
    """The repairs as a sheet shows them; none without a photograph. Raises as `preview_written`."""
    if not args.photo:
        if args.donor_photo or args.lens:
            raise BadInput([Fault("--photo", "give the photograph that the damage was measured in")])
        return ()
    return tuple(
        RepairPicture(patch, Picture(made.jpeg(), *made.frame.size), made.notes)
        for patch, made in _drawn(args, fitted, "--photo")
    )


def _drawn(args: argparse.Namespace, fitted: Fitted, option: str) -> list[tuple[str, Preview]]:
    """Each patch that was measured in the photograph, drawn into it. Raises BadInput at the option, BadFile, NotMeasured."""
    measured = repair_preview.measured_patches(fitted)
    if not measured:
        what = (
            "no patch here is filled and tells where it lies in a photograph: measure its damage with `remnants propose --photo`"
        )
        raise BadInput([Fault(option, what)])
    pictures = _pictures(args, fitted)
    view = view_in(args, args.photo)
    donors = repair_preview.donors_shown(fitted, pictures)
    try:
        return [
            (patch.name, repair_preview.repair_preview(repair_preview.floor_shown(view, patch), answer, donors))
            for patch, answer in measured
        ]
    except BadInput as error:
        raise type(error)(Fault(option, fault.what) for fault in error.faults) from None


def _write(path: Path, made: Preview) -> None:
    write_bytes(path, made.png() if path.suffix.lower() == ".png" else made.jpeg())


def _pictures(args: argparse.Namespace, fitted: Fitted) -> dict[str, Overhead]:
    """The pictures of the donors: those that are given, else those kept with them. Raises BadInput, BadFile."""
    given = {}
    for text in args.donor_photo:
        tag, _, name = text.partition("=")
        if not name or tag not in fitted.pieces:
            what = f"{text!r} tells no picture of a piece: give TAG=FILE, such as R-0142=rack.jpg"
            raise BadInput([Fault("--donor-photo", what)])
        try:
            with Path(name).open("rb") as file:
                given[tag] = repair_preview.picture_in_file(file.read(PHOTO_BYTES))
        except OSError as error:
            raise BadFile([Fault(name, f"can't be read ({error.strerror}); give a picture of {tag}")]) from None
        except BadFile as error:
            raise BadFile([Fault(name, fault.what) for fault in error.faults]) from None
    if args.stock:
        return given
    with open_catalogue(args.catalogue, write=False) if args.catalogue.exists() else nullcontext() as catalogue:
        kept = repair_preview.kept_pictures(catalogue, fitted.versions) if catalogue else {}
    return kept | given
