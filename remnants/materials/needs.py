"""How much tape, sealer, adhesive, strip, pad, staples and blades a plan needs, each with the rule it rests on."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from remnants.geometry.outline import area_mm2
from remnants.geometry.tolerances import WHOLE
from remnants.materials.rules import Figure, MaterialRules
from remnants.materials.runs import Run, filled_patches, finish_runs, joint_runs
from remnants.materials.strips import StockLength, cut_strips
from remnants.model import Finish, Job, Patch, Plan
from remnants.units import Unit, write_area, write_length

__all__ = ["Fixing", "Measure", "Need", "Stuff", "needs_of"]


class Fixing(StrEnum):
    """How the carpet is held: stretched over pad and strip, or glued to the floor."""

    STRETCHED = "stretched"
    GLUED = "glued"


class Stuff(StrEnum):
    """What is needed beside carpet."""

    TAPE = "seam tape"
    SEALER = "seam sealer"
    ADHESIVE = "carpet adhesive"
    STRIP = "tack strip"
    PAD = "pad"
    PAD_STAPLES = "staples for the pad"
    STAPLES = "staples at transitions"
    BLADES = "knife blades"


class Measure(StrEnum):
    """What an amount counts: mm, mm², ml, or pieces."""

    LENGTH = "length"
    AREA = "area"
    VOLUME = "volume"
    COUNT = "count"


@dataclass(frozen=True)
class Need:
    """An amount of one thing (mm, mm², ml or pieces by its measure), the sum behind it, its figures, and for strip the cuts."""

    stuff: Stuff
    measure: Measure
    amount: float
    how: str
    figures: tuple[Figure, ...]
    strips: tuple[StockLength, ...] = ()


def needs_of(
    plan: Plan, job: Job, *, rules: MaterialRules, fixing: Fixing = Fixing.STRETCHED, unit: Unit = Unit.MM
) -> tuple[Need, ...]:
    """What the filled patches of a plan need, in the order of use; things not needed are left out. Sums are told in `unit`."""
    patches = filled_patches(plan, job)
    seams = (*joint_runs(plan), *finish_runs(patches, Finish.SEAM))
    made = [_blades(plan, rules, unit), _sealer(seams, rules, fixing, unit)]
    if fixing is Fixing.GLUED:
        made.append(_adhesive(patches, rules, unit))
    else:
        made += [_tape(seams, rules, unit), _strip(finish_runs(patches, Finish.WALL), rules, unit), *_pad(patches, rules, unit)]
    made.append(_staples(finish_runs(patches, Finish.TRANSITION), rules, unit))
    return tuple(need for need in made if need.amount > 0)


def _tape(seams: Sequence[Run], rules: MaterialRules, unit: Unit) -> Need:
    total = _total(seams)
    length = total + len(seams) * 2 * rules.tape_run_out.value
    ends = f"{write_length(rules.tape_run_out.value, unit)} past both ends of {_counted(len(seams), 'run')}"
    return Need(
        Stuff.TAPE,
        Measure.LENGTH,
        length if seams else 0.0,
        f"{write_length(total, unit)} of seam, and {ends}",
        (rules.tape_run_out, rules.tape_width),
    )


def _sealer(seams: Sequence[Run], rules: MaterialRules, fixing: Fixing, unit: Unit) -> Need:
    edges = rules.sealed_edges_glued if fixing is Fixing.GLUED else rules.sealed_edges
    amount = _total(seams) / 1000 * edges.value * rules.sealer.value
    bead = f"{_counted(int(edges.value), 'edge')} of it, {rules.sealer.value:g} ml a metre"
    how = f"{write_length(_total(seams), unit)} of seam, {bead}"
    return Need(Stuff.SEALER, Measure.VOLUME, amount, how, (edges, rules.sealer))


def _adhesive(patches: Sequence[Patch], rules: MaterialRules, unit: Unit) -> Need:
    area = _area(patches)
    how = f"{write_area(area, unit)} of floor at {rules.adhesive.value:g} m² a litre"
    return Need(Stuff.ADHESIVE, Measure.VOLUME, area / 1e6 / rules.adhesive.value * 1000, how, (rules.adhesive,))


def _strip(edges: Sequence[Run], rules: MaterialRules, unit: Unit) -> Need:
    lengths = cut_strips([run.length_mm for run in edges], rules.strip_stock.value)
    how = f"{write_length(_total(edges), unit)} of wall, in {_counted(len(edges), 'run')}, from lengths of "
    how += write_length(rules.strip_stock.value, unit)
    return Need(Stuff.STRIP, Measure.COUNT, float(len(lengths)), how, (rules.strip_stock,), lengths)


def _pad(patches: Sequence[Patch], rules: MaterialRules, unit: Unit) -> tuple[Need, Need]:
    area, spacing = _area(patches), rules.pad_staple_spacing.value
    count = sum(math.ceil(_perimeter(patch) / spacing - WHOLE) for patch in patches)
    names = ", ".join(patch.name for patch in patches)
    pad = Need(Stuff.PAD, Measure.AREA, area, f"the net area of {names}, same thickness as the old one", ())
    how = f"one each {write_length(spacing, unit)} round {_counted(len(patches), 'patch', 'patches')}"
    return pad, Need(Stuff.PAD_STAPLES, Measure.COUNT, float(count), how, (rules.pad_staple_spacing,))


def _staples(edges: Sequence[Run], rules: MaterialRules, unit: Unit) -> Need:
    spacing = rules.staple_spacing.value
    count = sum(math.floor(run.length_mm / spacing + WHOLE) + 1 for run in edges)
    how = f"one each {write_length(spacing, unit)} along {write_length(_total(edges), unit)}, and one at the start of each run"
    return Need(Stuff.STAPLES, Measure.COUNT, float(count), how, (rules.staple_spacing,))


def _blades(plan: Plan, rules: MaterialRules, unit: Unit) -> Need:
    cut = sum(_round(part.cut) for answer in plan.patches for part in answer.parts)
    out = sum(_round(part.net) for answer in plan.patches for part in answer.parts)
    count = math.ceil((cut + out) / 1000 / rules.blade.value - WHOLE)
    each = write_length(rules.blade.value * 1000, unit, fraction=1)
    how = f"{write_length(cut, unit)} round the cuts and {write_length(out, unit)} to fit them, {each} a blade"
    return Need(Stuff.BLADES, Measure.COUNT, float(count), how, (rules.blade,))


def _total(runs: Sequence[Run]) -> float:
    return sum(run.length_mm for run in runs)


def _area(patches: Sequence[Patch]) -> float:
    return sum(abs(area_mm2(patch.ring)) for patch in patches)


def _perimeter(patch: Patch) -> float:
    return _round(patch.ring)


def _round(ring: Sequence[tuple[float, float]]) -> float:
    return sum(math.dist(point, ring[index - 1]) for index, point in enumerate(ring))


def _counted(count: int, one: str, many: str = "") -> str:
    return f"{count} {one if count == 1 else many or one + 's'}"
