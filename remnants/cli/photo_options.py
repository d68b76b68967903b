"""The options that tell what to measure in a photograph, and the measuring."""

import argparse
from contextlib import nullcontext
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.measure_photo import Point, View, measured_view
from remnants.errors import BadFile, BadInput, Fault, NotMeasured
from remnants.limits import PHOTO_BYTES
from remnants.units import parse_length

__all__ = ["above_mm", "add_photo_options", "corners_of", "view_in"]


def add_photo_options(parser: argparse.ArgumentParser) -> None:
    """The options beside the photograph itself."""
    parser.add_argument(
        "--corners",
        metavar="X,Y",
        nargs="+",
        help="where its corners are, in order: pixels of the picture from its upper left corner",
    )
    parser.add_argument("--lens", metavar="MM", type=float, help="the lens by 35 mm film, where the picture does not tell it: 26")
    parser.add_argument(
        "--above", metavar="LENGTH", help="how far what is measured lies above the page; with a minus below it (default 0)"
    )


def corners_of(args: argparse.Namespace) -> tuple[Point, ...]:
    """The pixels. Raises BadInput naming `--corners`, all that are none at once."""
    points: list[Point] = []
    faults = []
    for text in args.corners or ():
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
    """The photograph as something to measure in. Raises BadFile and NotMeasured, naming the file."""
    name = str(path)
    try:
        with path.open("rb") as file:
            photo = file.read(PHOTO_BYTES + 1)
    except OSError as error:
        raise BadFile([Fault(name, f"can't be read ({error.strerror}); give a photograph")]) from None
    known = open_catalogue(args.catalogue, write=False) if args.catalogue.exists() else nullcontext()
    try:
        with known as catalogue:
            return measured_view(catalogue, photo, name=name, lens_35=args.lens)
    except NotMeasured as error:
        raise NotMeasured([Fault(name, fault.what) for fault in error.faults], error.why) from None
