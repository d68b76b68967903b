"""Options that say what a plan doesn't tell itself: its layers, its unit, how far gaps are closed."""

import argparse
from pathlib import Path

from remnants.cli.options import at_least_one
from remnants.errors import BadInput, Fault
from remnants.exchange.drawing_rooms import read_layers
from remnants.exchange.plans.pdf import scale_of
from remnants.exchange.plans.said import GAP_MM, MOST_GAP_MM, PlanSaid
from remnants.units import Unit, parse_length

__all__ = ["add_plan_options", "layers_told", "plan_said"]


def add_plan_options(parser: argparse.ArgumentParser) -> None:
    """The options of a command that reads rooms from a drawing."""
    group = parser.add_argument_group("of a drawing")
    group.add_argument(
        "--layer", action="append", default=[], metavar="NAME", help="a layer that the rooms are on; may be repeated"
    )
    group.add_argument("--layers", action="store_true", help="show its layers with what stands on each, and no order")
    group.add_argument(
        "--island", action="append", default=[], metavar="NAME", help="a layer on which what lies in a room is an island"
    )
    group.add_argument(
        "--door", action="append", default=[], metavar="NAME", help="a layer or block that is a door by another name"
    )
    group.add_argument("--gap", metavar="WIDTH", help=f"gaps that are closed (default {GAP_MM:g} mm)")
    group.add_argument("--scale", metavar="1:N", help="of a PDF: its scale, such as 1:50")
    group.add_argument("--page", type=at_least_one, default=1, metavar="N", help="of a PDF: its page (default 1)")
    group.add_argument("--drawing-unit", type=Unit, choices=list(Unit), help="its unit, over what it states")


def layers_told(path: Path) -> str:
    """The layers of a drawing with what stands on each, a line each. Raises BadFile."""
    layers = read_layers(path)
    return "\n".join(f"{layer.name}: {layer.told}" for layer in layers) or "no layer has anything on it"


def plan_said(args: argparse.Namespace, unit: Unit) -> PlanSaid:
    """What the options say of a drawing, bare figures in `unit`. Raises BadInput at the option."""
    gap_mm = GAP_MM
    if args.gap:
        try:
            gap_mm = parse_length(args.gap, unit)
        except BadInput as error:
            raise BadInput(Fault("--gap", fault.what) for fault in error.faults) from None
        if not 0 <= gap_mm <= MOST_GAP_MM:
            raise BadInput([Fault("--gap", f"{args.gap!r} is no gap to be closed: give up to 2 m; wider ones are drawn")])
    try:
        scale = scale_of(args.scale) if args.scale else 0.0
    except BadInput as error:
        raise BadInput(Fault("--scale", fault.what) for fault in error.faults) from None
    return PlanSaid(
        unit=args.drawing_unit,
        layers=tuple(args.layer),
        islands=tuple(args.island),
        doors=tuple(args.door),
        gap_mm=gap_mm,
        scale=scale,
        page=args.page,
    )
