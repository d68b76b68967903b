"""What a drawing in a file asks for, as a rooms file would."""

from pathlib import Path

from remnants.errors import Fault
from remnants.exchange.drawing_rooms import read_plan
from remnants.exchange.plans.rooms import rooms_file
from remnants.exchange.plans.said import PlanSaid
from remnants.exchange.reading import Note, quiet
from remnants.exchange.rooms import RoomsAsked, read_rooms
from remnants.units import Unit

__all__ = ["rooms_of_plan"]


def rooms_of_plan(path: Path, plan: PlanSaid, unit: Unit, *, note: Note = quiet) -> RoomsAsked:
    """The rooms of a drawing by the usual trims, told in `unit`; what was left out is noted. Raises BadFile as `read_plan`."""
    read = read_plan(path, plan, unit)
    for told in read.notes:
        note(Fault(str(path), told))
    return read_rooms(rooms_file(read, path.name, unit))
