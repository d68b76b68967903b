"""What a drawing in a file asks for, as a rooms file tells it."""

from pathlib import Path
from typing import Any

from remnants.errors import Fault
from remnants.exchange.drawing_rooms import read_plan
from remnants.exchange.plans.rooms import rooms_file
from remnants.exchange.plans.said import PlanSaid
from remnants.exchange.reading import Note, quiet
from remnants.units import Unit

__all__ = ["file_of_plan"]


def file_of_plan(path: Path, plan: PlanSaid, unit: Unit, *, note: Note = quiet) -> dict[str, Any]:
    """The rooms of a drawing as a rooms file (JSON values) in `unit`; what was left out is noted. Raises as `read_plan`."""
    read = read_plan(path, plan, unit)
    for told in read.notes:
        note(Fault(str(path), told))
    return rooms_file(read, path.name, unit)
