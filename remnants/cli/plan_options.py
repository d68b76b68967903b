"""Options that say what a plan doesn't tell itself: its layers, its unit, how far gaps are closed."""

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from remnants.cli.options import at_least_one
from remnants.errors import BadInput, Fault
from remnants.exchange.drawing_rooms import read_layers, read_page
from remnants.exchange.plans.known import point_of
from remnants.exchange.plans.pdf import scale_of
from remnants.exchange.plans.said import GAP_MM, MOST_GAP_MM, PlanSaid
from remnants.geometry import Point
from remnants.report.plan_view import lines_told, page_svg
from remnants.units import Unit, parse_length, typed_size

__all__ = ["add_looking_options", "add_plan_options", "layers_told", "page_told", "plan_said"]


def add_plan_options(parser: argparse.ArgumentParser) -> None:
    """The options of a command that reads rooms from a drawing."""
    group = parser.add_argument_group("of a drawing")
    group.add_argument(
        "--layer", action="append", default=[], metavar="NAME", help="a layer that the rooms are on; may be repeated"
    )
    group.add_argument(
        "--island", action="append", default=[], metavar="NAME", help="a layer on which what lies in a room is an island"
    )
    group.add_argument(
        "--door", action="append", default=[], metavar="NAME", help="a layer or block that is a door by another name"
    )
    group.add_argument("--gap", metavar="WIDTH", help=f"gaps that are closed (default {GAP_MM:g} mm)")
    group.add_argument("--scale", metavar="1:N", help="of a PDF: its scale, such as 1:50")
    group.add_argument(
        "--known", metavar="LENGTH", help="of a PDF without a scale: how long the line is, or the points are apart, as built"
    )
    group.add_argument("--line", type=at_least_one, metavar="N", help="of --known: the line, as `order --lines` numbers it")
    group.add_argument(
        "--points", nargs=2, metavar="PLACE", help="of --known: two points of the page, from its left and from below: 100mm,50mm"
    )
    group.add_argument("--page", type=at_least_one, default=1, metavar="N", help="of a PDF: its page (default 1)")
    group.add_argument("--drawing-unit", type=Unit, choices=list(Unit), help="its unit, over what it states")


def add_looking_options(parser: argparse.ArgumentParser) -> None:
    """The options of a command that may also only show what is on a drawing."""
    group = parser.add_argument_group("to look at a drawing")
    group.add_argument("--layers", action="store_true", help="show its layers with what stands on each, and no order")
    group.add_argument("--lines", action="store_true", help="show the numbered lines of a PDF, with --svg drawn, and no order")


def layers_told(path: Path) -> str:
    """The layers of a drawing with what stands on each, a line each. Raises BadFile."""
    layers = read_layers(path)
    return "\n".join(f"{layer.name}: {layer.told}" for layer in layers) or "no layer has anything on it"


def page_told(path: Path, number: int, unit: Unit) -> tuple[str, str]:
    """The numbered lines of a page of a PDF, a line each, and the page as a picture (SVG). Raises BadFile."""
    seen = read_page(path, number)
    lines = "\n".join(f"{line}: {told}" for line, told in lines_told(seen, unit))
    return lines or "no line is long enough to measure by", page_svg(seen, unit)


def plan_said(args: argparse.Namespace, unit: Unit) -> PlanSaid:
    """What the options say of a drawing, bare figures in `unit`. Raises BadInput at the option."""
    gap_mm = GAP_MM
    if args.gap:
        with _told_at("--gap"):
            gap_mm = parse_length(args.gap, unit)
        if not 0 <= gap_mm <= MOST_GAP_MM:
            raise BadInput([Fault("--gap", f"{args.gap!r} is no gap to be closed: give up to 2 m; wider ones are drawn")])
    with _told_at("--scale"):
        scale = scale_of(args.scale) if args.scale else 0.0
    known_mm, points = _known(args, unit)
    return PlanSaid(
        unit=args.drawing_unit,
        layers=tuple(args.layer),
        islands=tuple(args.island),
        doors=tuple(args.door),
        gap_mm=gap_mm,
        scale=scale,
        page=args.page,
        line=args.line or 0,
        points=points,
        known_mm=known_mm,
    )


def _known(args: argparse.Namespace, unit: Unit) -> tuple[float, tuple[Point, Point] | None]:
    """The length that is known (mm, 0 for none), and the points it lies between, if it is no line's. Raises BadInput."""
    if not args.known:
        if args.line or args.points:
            raise BadInput([Fault("--known", "say how long the line is, or how far the points are apart, as built")])
        return 0.0, None
    if args.scale:
        raise BadInput([Fault("--scale", "give the scale or a known length: one tells the other")])
    if args.line and args.points:
        raise BadInput([Fault("--line", "give a line or two points, and not both")])
    if not (args.line or args.points):
        raise BadInput([Fault("--known", "say of which line: by --line (--lines lists them), or by --points")])
    with _told_at("--known"):
        known_mm = typed_size(args.known, unit).mm
    with _told_at("--points"):
        paper = Unit.IN if unit in (Unit.FT, Unit.IN) else Unit.MM
        places = [point_of(text, paper) for text in args.points or ()]
    return known_mm, (places[0], places[1]) if places else None


@contextmanager
def _told_at(option: str) -> Iterator[None]:
    """Faults of what an option says, told at it."""
    try:
        yield
    except BadInput as error:
        raise BadInput(Fault(option, fault.what) for fault in error.faults) from None
