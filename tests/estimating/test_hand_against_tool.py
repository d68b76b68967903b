"""The table of hand against tool in the benchmarks: each of its lines of a published sum is what the tool answers today.

By hand: the worked examples of the trade, as their sources give them; without trims, as they leave them out.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from remnants.estimating import Floors, Laid, OrderPlan, OrderRules, Roll, Room, Stairs
from remnants.estimating.order import choices, orders_from_roll
from remnants.packing import Watch
from remnants.proof.orders import check_order
from remnants.units import Unit, write_length
from tests.estimating.floors import PLAIN, a_roll, a_room

TABLE = Path(__file__).parents[2] / "docs" / "benchmarks.md"
IN = 25.4


@dataclass(frozen=True)
class Worked:
    """A worked example: its floors, roll and rules, the unit of its figures, and the figure by hand that is among ours."""

    floors: Sequence[Room | Stairs]
    roll: Roll
    rules: OrderRules
    unit: Unit
    by_hand: str


def joined(most: int) -> OrderRules:
    return replace(PLAIN, cross_seams=most)


FLIGHT = Stairs("Stairs", 13, 36 * IN, 10.5 * IN, 7.5 * IN, nosing_mm=IN, side_mm=1.25 * IN, run_mm=6 * IN)
LINES = {
    "14 x 16 ft, 12 ft, one join end to end allowed": Worked([a_room("14 ft", "16 ft")], a_roll(), joined(1), Unit.FT, "21 ft"),
    "15 x 16 ft, 12 ft, three joins": Worked([a_room("15 ft", "16 ft")], a_roll(), joined(3), Unit.FT, "20 ft"),
    "15 x 21 ft, 12 ft, three joins": Worked([a_room("15 ft", "21 ft")], a_roll(), joined(3), Unit.FT, "28 ft"),
    "3.70 x 5.90 m with 5 cm at each end, 4 m": Worked(
        [a_room("3.70 m", "5.90 m", trim=50.0, pile_deg=0.0)], a_roll("4 m"), PLAIN, Unit.M, "6.00 m"
    ),
    "stairs, 10 steps of 17 1/2 taken as 18 in, 34 in taken as 36, 3 ft": Worked(
        [Stairs("Stairs", 10, 34 * IN, 10 * IN, 7.5 * IN, width_step_mm=36 * IN, step_step_mm=IN)],
        a_roll("3 ft"),
        PLAIN,
        Unit.FT,
        "15 ft",
    ),
    "stairs, 12 steps of 21 in, 38 in wide, step by step, 12 ft": Worked(
        [Stairs("Stairs", 12, 38 * IN, 10.5 * IN, 7.5 * IN, tuck_mm=3 * IN, laid=Laid.STEPS)], a_roll(), PLAIN, Unit.FT, "7 ft"
    ),
    "three flights, 13 steps of 19 in and 6 in, 38 1/2 in wide, 12 ft": Worked(
        [replace(FLIGHT, name=name) for name in ("Lower", "Middle", "Upper")], a_roll(), PLAIN, Unit.FT, "21 ft 1 in"
    ),
}


def answered(worked: Worked) -> str:
    """Our choices as the table tells them, each proved, the recommended one in bold."""
    rooms = tuple(floor for floor in worked.floors if isinstance(floor, Room))
    stairs = tuple(floor for floor in worked.floors if isinstance(floor, Stairs))
    floors = Floors("test", rooms, stairs)
    plans = orders_from_roll(floors, worked.roll, rules=worked.rules, watch=Watch(tries=120))
    found = choices(plans)
    assert all(check_order(plan, floors, worked.rules) == () for plan in found)
    return ", ".join(f"**{told(plan, worked.unit)}**" if plan == plans[0] else told(plan, worked.unit) for plan in found)


def told(plan: OrderPlan, unit: Unit) -> str:
    return f"{length(plan.ordered_mm, unit)} with {len(plan.seams) or 'none'}"


def length(length_mm: float, unit: Unit) -> str:
    if unit is Unit.M:
        return f"{length_mm / 1000:.2f} m"
    return write_length(length_mm, unit).replace("'", " ft").replace('"', " in")


def rows() -> dict[str, tuple[str, str]]:
    """Of each floor of the table what it says of hand and of tool."""
    part = TABLE.read_text(encoding="utf-8").partition("## Orders by hand and by the tool")[2].partition("\n## ")[0]
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in part.splitlines() if line.startswith("| ")]
    return {line[0]: (line[1], line[2]) for line in cells[2:]}


@pytest.mark.parametrize("floor", LINES)
def test_a_line_of_the_table_is_what_the_tool_answers(floor: str) -> None:
    by_hand, ours = rows()[floor]
    assert ours == answered(LINES[floor])
    assert LINES[floor].by_hand.split()[0] in by_hand and LINES[floor].by_hand in ours.replace("*", "")
