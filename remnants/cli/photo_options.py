"""The options that tell what to measure in a photograph, and the measuring."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

from remnants.actions import open_catalogue
from remnants.cli.printing import remark
from remnants.errors import BadFile, BadInput, Fault, NotMeasured
from remnants.geometry.outline import ring_of
from remnants.late import Late
from remnants.limits import PHOTO_BYTES
from remnants.units import parse_length

if TYPE_CHECKING:
    from remnants.actions import measure_photo
    from remnants.actions.measure_photo import MeasuredOutline, Point, View
    from remnants.report import phone_text
else:
    phone_text = Late("remnants.report.phone_text")
    measure_photo = Late("remnants.actions.measure_photo")  # brings what opens pictures

__all__ = [
    "above_mm",
    "add_photo_options",
    "corners_of",
    "outline_in",
    "outline_on",
    "page_place",
    "photo_in",
    "photo_wish",
    "view_in",
]


def add_photo_options(parser: argparse.ArgumentParser) -> None:
    """The options beside the photograph itself."""
    _add_to(parser)


def _add_to(parser: argparse._ActionsContainer) -> None:
    parser.add_argument(
        "--corners",
        metavar="X,Y",
        nargs="+",
        help="where its corners are, in order: pixels of the picture from its upper left corner",
    )
    parser.add_argument("--tap", metavar="X,Y", help="instead of corners: a pixel in a stain, whose outline is then found")
    parser.add_argument("--lens", metavar="MM", type=float, help="the lens by 35 mm film, where the picture does not tell it: 26")
    parser.add_argument(
        "--above", metavar="LENGTH", help="how far what is measured lies above the page; with a minus below it (default 0)"
    )


def photo_wish(parser: argparse.ArgumentParser, told: str) -> None:
    """The options of a command that may take an outline from a photograph; `told` says what it becomes."""
    group = parser.add_argument_group("measured from a photograph")
    group.add_argument("--photo", metavar="FILE", type=Path, help=f"a photograph with a marker page in it, that tells {told}")
    _add_to(group)


def outline_in(args: argparse.Namespace, *, most_bar_mm: float | None = None) -> tuple[View, MeasuredOutline]:
    """The outline that `--photo` and `--corners` tell. Raises BadInput, BadFile and NotMeasured."""
    corners = corners_of(args)
    view = view_in(args, args.photo)
    return view, outline_on(view, args, corners, most_bar_mm=most_bar_mm)


def outline_on(
    view: View, args: argparse.Namespace, corners: Sequence[Point], *, most_bar_mm: float | None = None
) -> MeasuredOutline:
    """The outline through the corners, or of the stain that `--tap` tells. Raises BadInput and NotMeasured at their option."""
    try:
        stain = measure_photo.stain_at(view, corners[0]) if args.tap else measure_photo.Stain(tuple(corners), 0.0)
        found = view.outline(stain.corners, above_mm=above_mm(args), most_bar_mm=most_bar_mm, edge_mm=stain.edge_mm)
        ring_of(found.ring)
    except BadInput as error:
        why = {"why": error.why} if isinstance(error, NotMeasured) else {}
        place = "--tap" if args.tap else "--corners"
        raise type(error)([Fault(place, fault.what) for fault in error.faults], **why) from None
    return found


def page_place(text: str) -> tuple[float, ...]:
    """Where the page lies: X,Y in the job's unit, or X,Y,DEGREES."""
    try:
        given = tuple(float(part) for part in text.split(","))
    except ValueError:
        given = ()
    if len(given) not in (2, 3):
        raise argparse.ArgumentTypeError(f"{text!r} is no place: give X,Y or X,Y,DEGREES, such as 40,62.5")
    return given


def corners_of(args: argparse.Namespace) -> tuple[Point, ...]:
    """The pixels of the corners, or of the one tap. Raises BadInput naming `--corners`, all that are none at once."""
    points: list[Point] = []
    faults = []
    if args.tap and args.corners:
        raise BadInput([Fault("--tap", "the tap stands in for the corners: leave one of them out")])
    for text in (args.tap,) if args.tap else args.corners or ():
        for word in text.split():
            try:
                x, y = (float(part) for part in word.split(","))
                points.append((x, y))
            except ValueError:
                faults.append(Fault("--corners", f"{word!r} is no pixel: give X,Y, such as 812,640"))
    if not points and not faults:
        faults.append(Fault("--corners", "say where the corners are, such as 812,640 1020,655 1004,880; two make a length"))
    if faults:
        raise BadInput(faults)
    return tuple(points)


def above_mm(args: argparse.Namespace) -> float:
    """How far above the page. Raises BadMeasure."""
    return parse_length(args.above, args.unit) if args.above else 0.0


def view_in(args: argparse.Namespace, path: Path) -> View:
    """The photograph as something to measure in; whether its phone's calibration was used is told on standard error.

    Raises BadFile and NotMeasured, naming the file.
    """
    name, photo = str(path), photo_in(path)
    known = open_catalogue(args.catalogue, write=False) if args.catalogue.exists() else nullcontext()
    try:
        with known as catalogue:
            view = measure_photo.measured_view(catalogue, photo, name=name, lens_35=args.lens)
    except NotMeasured as error:
        raise NotMeasured([Fault(name, fault.what) for fault in error.faults], error.why) from None
    said = phone_text.by_phone_text(view.by_phone)
    if said:
        remark(Fault(path.name, said))
    return view


def photo_in(path: Path) -> bytes:
    """The bytes of a photograph. Raises BadFile."""
    try:
        with path.open("rb") as file:
            return file.read(PHOTO_BYTES + 1)
    except OSError as error:
        raise BadFile([Fault(str(path), f"can't be read ({error.strerror}); give a photograph")]) from None
