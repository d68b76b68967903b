"""A job's plan as lines for a spreadsheet."""

from collections.abc import Iterator

from remnants.cells import Figure, cells_text
from remnants.geometry.outline import area_mm2, bounds
from remnants.materials.cuts import cuts_of
from remnants.model import Plan
from remnants.units import Unit, to_unit

__all__ = ["job_csv"]

HEADS = ("line", "number", "patch", "piece", "kind", "width {unit}", "length {unit}", "area m2", "turn")


def job_csv(plan: Plan, *, unit: Unit) -> str:
    """One line a cut, seam, leftover and patch that can't be made; lengths as bare figures in `unit`.

    Width and length of a cut are its extent in the piece's own axes, allowance included, and the area is that of its outline.
    """
    return cells_text([[head.format(unit=unit.value) for head in HEADS], *_lines(plan, unit)])


def _lines(plan: Plan, unit: Unit) -> Iterator[list[str]]:
    for cut in cuts_of(plan):
        ring = cut.part.cut
        left, low, right, high = bounds(ring)
        size = (_bare(right - left, unit), _bare(high - low, unit), _m2(abs(area_mm2(ring))))
        yield ["cut", str(cut.number), cut.patch, cut.piece, "", *size, Figure(f"{cut.part.turn_deg:g}")]
    for patch in plan.patches:
        for seam in patch.seams:
            yield ["seam", "", patch.name, "", seam.kind.value, "", _bare(seam.length_mm, unit), "", ""]
    for left_over in plan.leftovers:
        kind = "usable" if left_over.usable else "waste"
        sides = (_bare(side, unit) for side in left_over.largest)
        yield ["leftover", "", "", left_over.piece, kind, *sides, _m2(left_over.outline.usable_area_mm2), ""]
    for short in plan.short:
        yield ["can't be made", "", short.patch, "", short.reason, "", "", "", ""]


def _bare(length_mm: float, unit: Unit) -> str:
    return f"{round(to_unit(length_mm, unit), 3):.10g}"


def _m2(area: float) -> str:
    return f"{area / 1e6:.4f}"
