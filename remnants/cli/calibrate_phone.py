"""Calibrates a phone once, from photographs of the marker page: what it measures has narrower bars from then on.

    remnants calibrate-phone one.jpg two.jpg three.jpg four.jpg five.jpg six.jpg seven.jpg eight.jpg
    remnants calibrate-phone
    remnants calibrate-phone --remove 1

Take eight photographs of the page on its clipboard, with the lens that you measure with, from some 80 cm (30 in): two from above,
six aslant by some 30 degrees, from all sides. Turn the phone by a quarter for every other one. The page is in the middle, then
near an edge of the picture. No zoom, no crop. Six good ones will do. The page's true size does not matter.

Kept are make, model, focal length and size of the pictures, by which that phone and lens are known again, and what was found out
of the lens: no picture, no place, no serial number. It takes the place of what was kept of them. Without photographs what is kept
is listed.
"""

import argparse
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.phone_calibrations import (
    MOST_PHOTOS,
    PhonePhoto,
    calibrated,
    drop_calibration,
    keep_calibration,
    phone_photo_of,
    phones_calibrated,
)
from remnants.cli.options import add_signature, at_least_one, signature
from remnants.cli.photo_options import photo_in
from remnants.cli.printing import show_text
from remnants.days import day_words
from remnants.errors import BadInput, Fault, NotMeasured
from remnants.report.phone_text import ONE_MODEL, bars_text

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants calibrate-phone`."""
    parser.add_argument(
        "photos", metavar="PHOTO", type=Path, nargs="*", help="photographs of the page, as the camera stored them"
    )
    parser.add_argument("--lens", metavar="MM", type=float, help="the lens by 35 mm film, where the pictures do not tell it: 26")
    parser.add_argument("--remove", metavar="NUMBER", type=at_least_one, help="take that calibration away")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Calibrates, takes away, or lists."""
    if args.remove and args.photos:
        raise BadInput([Fault("--remove", "take one away, or calibrate: leave the photographs out")])
    if args.remove:
        with open_catalogue(args.catalogue, write=True) as catalogue:
            drop_calibration(catalogue, args.remove, signed=signature(args), key=args.key)
        show_text(f"calibration {args.remove} is taken away; that phone's bars are those of any phone again")
    elif args.photos:
        _calibrate(args)
    else:
        _list(args)
    return 0


def _calibrate(args: argparse.Namespace) -> None:
    """Keeps what the usable photographs tell together, and tells of each. Raises NotMeasured with all that stands against it."""
    if len(args.photos) > MOST_PHOTOS:
        raise BadInput([Fault("PHOTO", f"{len(args.photos)} photographs, and at most {MOST_PHOTOS} are taken")])
    good: list[tuple[Path, PhonePhoto]] = []
    unusable: list[Fault] = []
    for path in args.photos:
        try:
            good.append((path, phone_photo_of(photo_in(path), name=str(path), lens_35=args.lens)))
        except NotMeasured as error:
            unusable += [Fault(path.name, fault.what) for fault in error.faults]
    try:
        calibration = calibrated([found for _, found in good])
    except NotMeasured as error:
        names = {f"photos[{at}]": path.name for at, (path, _) in enumerate(good)}
        together = [Fault(names.get(fault.where, ""), fault.what) for fault in error.faults]
        raise NotMeasured([*unusable, *together], error.why) from None
    with open_catalogue(args.catalogue, write=True) as catalogue:
        number = keep_calibration(catalogue, calibration, signed=signature(args), key=args.key)
    for path, found in good:
        show_text(f"{path.name}: good, {found.alone.tilt_deg:.0f} degrees aslant")
    for fault in unusable:
        show_text(f"{fault.where}: not usable: {fault.what}")
    show_text(f"{len(good)} of {len(args.photos)} good")
    show_text(f"calibration {number}: {calibration.lens.words}")
    show_text(f"{bars_text(calibration, args.unit)}\n{ONE_MODEL}")


def _list(args: argparse.Namespace) -> None:
    with open_catalogue(args.catalogue, write=False) as catalogue:
        kept = phones_calibrated(catalogue)
    for each in kept:
        show_text(
            f"{each.number}: {each.found.lens.words}; from {each.found.photos} photographs, {each.who}, {day_words(each.at)}"
        )
    if not kept:
        show_text(
            "no phone was calibrated yet: give eight photographs of the marker page, as `remnants calibrate-phone -h` tells"
        )
