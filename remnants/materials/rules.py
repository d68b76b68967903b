"""Every figure that materials, weights and warnings rest on: one place, each with its source, each changeable.

A figure without a published source says so: `common practice, no source`. What the maker of a carpet or of a product says wins.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

from remnants.errors import BadInput, Fault

__all__ = ["COMMON", "Figure", "MaterialRules", "changed"]

COMMON = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of the trade: its value, the unit it is in, what it rules, and where it comes from."""

    value: float
    unit: str
    rule: str
    source: str = COMMON


@dataclass(frozen=True)
class MaterialRules:
    """The figures in force. `changed` makes another set; the name of a field is the name of its rule."""

    tape_run_out: Figure = Figure(50.8, "mm", "seam tape goes on past each end of a straight run of seam by this much")
    tape_width: Figure = Figure(
        75.0, "mm", "seam tape is at least this wide (its adhesive at least 70 mm)", "CRI 105 (2015), 10.3.1"
    )
    sealed_edges: Figure = Figure(2.0, "edges", "edges of every seam that are sealed before joining", "CRI 105 (2015), 10.2")
    sealed_edges_glued: Figure = Figure(
        1.0, "edges", "edges of every seam that get a bead of sealer where carpet is glued down", "CRI 105 (2015), 10.2"
    )
    sealer: Figure = Figure(10.0, "ml/m", "seam sealer for a metre of edge; the label's figure wins")
    adhesive: Figure = Figure(3.0, "m²/l", "floor that a litre of carpet adhesive covers; the label's figure wins")
    strip_stock: Figure = Figure(1219.2, "mm", "tack strip comes in lengths of this much")
    staple_spacing: Figure = Figure(50.8, "mm", "one staple each this much along a transition, between the rows")
    pad_staple_spacing: Figure = Figure(152.4, "mm", "one staple each this much round a patch of pad")
    blade: Figure = Figure(5.0, "m", "length of cut after which a blade is dull; the first cut starts with a new one")
    stretch: Figure = Figure(1.0, "%", "least that stretched carpet is longer and wider than it is when free", "CRI 2011, 16.5")
    bare_edge: Figure = Figure(1.59, "mm", "most that a hard floor may stand above a bare edge beside it", "CRI 2011, 6.3")
    bare_bead: Figure = Figure(3.17, "mm", "least bead of sealer on a bare edge", "CRI 2011, 6.3")
    pin_clearance: Figure = Figure(1.0, "mm", "least carpet that must stand above the points of a tack strip's pins")
    lift: Figure = Figure(23.0, "kg", "heaviest load for one person, lifted well", "NIOSH lifting equation, load constant")
    assumed_mass: Figure = Figure(2400.0, "g/m²", "mass of carpet for its area where the style's own is not known")
    template: Figure = Figure(280.0, "mm", "largest side of a part that gets a full-size paper template")

    @property
    def all(self) -> tuple[tuple[str, Figure], ...]:
        """Every rule by name, in order."""
        return tuple((own.name, getattr(self, own.name)) for own in fields(self))


def changed(rules: MaterialRules, values: Mapping[str, float]) -> MaterialRules:
    """The rules with some values changed, each in its figure's own unit; the source then reads `set by the shop`.

    Raises BadInput with every name that is no rule and every value that isn't above zero.
    """
    known = dict(rules.all)
    faults = []
    for name, value in values.items():
        if name not in known:
            faults.append(Fault(name, f"there is no such rule; the rules are {', '.join(known)}"))
        elif not (math.isfinite(value) and value > 0):
            faults.append(
                Fault(name, f"{value!r} is no figure for {known[name].rule}: give one above zero, in {known[name].unit}")
            )
    if faults:
        raise BadInput(faults)
    new = {name: replace(known[name], value=float(value), source="set by the shop") for name, value in values.items()}
    return replace(rules, **new)
