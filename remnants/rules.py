"""The rules that a shop may change, of the trade and of its door, read by all. Pure values; lengths mm, times whole days."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

from remnants.errors import BadInput, BadMeasure, Fault
from remnants.geometry import TOLERANCE_MM
from remnants.units import Unit, is_imperial, parse_length, write_length

__all__ = ["AT_FIRST", "RULES", "SIZES", "KeepRule", "LeastSizes", "Rule", "RuleKind", "ShopRules", "read_rule", "rules_of"]

MOST_NAMED = 6
"""Styles that a sentence names beside their sizes."""


@dataclass(frozen=True, slots=True)
class KeepRule:
    """Which leftovers are stock and not waste: those whose largest rectangle holds `short_mm` x `long_mm`, laid either way.

    Default: 12 x 18 in, from which small repairs are still cut (common practice, no source). Raises BadInput.
    """

    short_mm: float = 304.8
    long_mm: float = 457.2

    def __post_init__(self) -> None:
        faults = [
            Fault(name, f"{value!r} mm is no size to keep: give zero or more")
            for name, value in (("short_mm", self.short_mm), ("long_mm", self.long_mm))
            if not (math.isfinite(value) and value >= 0)
        ]
        if faults:
            raise BadInput(faults)

    def worth_keeping(self, width_mm: float, length_mm: float) -> bool:
        """Whether a leftover with this largest rectangle (mm) is stock and not waste."""
        short, long = sorted((width_mm, length_mm))
        least, most = self.sides_mm
        return short >= least - TOLERANCE_MM and long >= most - TOLERANCE_MM

    @property
    def sides_mm(self) -> tuple[float, float]:
        """Both sides (mm), the shorter first."""
        return min(self.short_mm, self.long_mm), max(self.short_mm, self.long_mm)

    def words(self, unit: Unit) -> str:
        """The size: `12 in × 18 in`."""
        return f"{write_length(self.short_mm, unit)} × {write_length(self.long_mm, unit)}"


@dataclass(frozen=True, slots=True)
class LeastSizes:
    """Which leftovers are stock, style by style: `own` of styles that have a size of their own, by name, `shop` of any other."""

    shop: KeepRule = field(default_factory=KeepRule)
    own: tuple[tuple[str, KeepRule], ...] = ()

    def of(self, style: str) -> KeepRule:
        """The size that a leftover of this style must hold."""
        return dict(self.own).get(style, self.shop) if self.own else self.shop

    def words(self, unit: Unit) -> str:
        """The sizes: `12 in × 18 in; of Velder Loop 40 in × 40 in`. Of very many styles the first are named."""
        told = [f"of {style} {keep.words(unit)}" for style, keep in self.own[:MOST_NAMED]]
        more = len(self.own) - MOST_NAMED
        if more > 0:
            told.append(f"{more} more style{'s have' if more > 1 else ' has'} a size of {'their' if more > 1 else 'its'} own")
        return "; ".join([self.shop.words(unit), *told])


class RuleKind(Enum):
    """What the figure of a rule counts."""

    DAYS = "days"
    LENGTH = "mm"
    PATCHES = "patches"
    YES_OR_NO = "yes or no"


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule that a shop may change: its figure at first, and from `least` to `most`, in days, mm or patches; 1 is yes, 0 no."""

    name: str
    kind: RuleKind
    usual: float
    least: float
    most: float
    says: str

    def write(self, value: float, unit: Unit) -> str:
        """The figure with its unit: `14 days`, `12 in`, `20 patches`."""
        if self.kind is RuleKind.LENGTH:
            return write_length(value, unit)
        if self.kind is RuleKind.YES_OR_NO:
            return "yes" if value else "no"
        return f"{value:.0f} {self.kind.value if value != 1 else self.kind.value.removesuffix('s').removesuffix('e')}"


RULES = (
    Rule("hold_days", RuleKind.DAYS, 14, 1, 366, "a piece is held for a job for this long, unless another day is said"),
    Rule("keep_short", RuleKind.LENGTH, 304.8, 25.0, 4000.0, "a leftover is kept if its largest rectangle is at least this wide"),
    Rule("keep_long", RuleKind.LENGTH, 457.2, 25.0, 4000.0, "and this long, either way round; below that it is waste"),
    Rule(
        "patches_enough",
        RuleKind.PATCHES,
        20,
        0,
        1000,
        "once so many patches were cut within a year, a leftover is kept if the usual one of them can be cut from it; 0: never",
    ),
    Rule("seam", RuleKind.LENGTH, 25.4, 0.0, 300.0, "carpet added at a seam, where a job does not say"),
    Rule("wall", RuleKind.LENGTH, 76.2, 0.0, 300.0, "carpet added at a wall, where a job does not say"),
    Rule("transition", RuleKind.LENGTH, 76.2, 0.0, 300.0, "carpet added where another floor begins, where a job does not say"),
    Rule(
        "tape_error",
        RuleKind.LENGTH,
        6.35,
        0.0,
        100.0,
        "a tape may be out by so much; a plan with less to spare says so",
    ),
    Rule(
        "second_factor",
        RuleKind.YES_OR_NO,
        0,
        0,
        1,
        "managers come in with a second factor too; one who has none may work, and not manage",
    ),
    Rule(
        "note_pace",
        RuleKind.YES_OR_NO,
        0,
        0,
        1,
        "seconds and taps by field of the patch form are noted for managers: of no person and no day, and sent nowhere",
    ),
    Rule("old_days", RuleKind.DAYS, 365, 1, 7300, "a piece that lies here for longer is listed as old"),
    Rule(
        "cut_step_in", RuleKind.LENGTH, 12.7, 0.0, 304.8, "an order in inches or feet rounds its cuts up to whole steps of this"
    ),
    Rule("cut_step_cm", RuleKind.LENGTH, 10.0, 0.0, 300.0, "an order in metres rounds its cuts up to whole steps of this"),
    Rule("order_step", RuleKind.LENGTH, 0.0, 0.0, 3000.0, "the supplier sells roll in whole steps of this; 0: to any length"),
    Rule("order_least", RuleKind.LENGTH, 0.0, 0.0, 30000.0, "the supplier cuts no less than this off a roll; 0: any length"),
    Rule("end_loss", RuleKind.LENGTH, 0.0, 0.0, 3000.0, "of every length of roll so much is squared off and lost"),
    Rule("link_days", RuleKind.DAYS, 14, 1, 92, "a customer's link to their page opens for this long, unless it is ended before"),
)
"""All of them in the order in which they are shown; each figure at first is common practice, no source."""

SIZES = tuple(rule for rule in RULES if rule.name.startswith("keep_"))
"""Those that a style may have figures of its own for."""


@dataclass(frozen=True, slots=True)
class ShopRules:
    """The rules in force, under the names of RULES; `keep` is `keep_short` x `keep_long`."""

    hold_days: int = 14
    keep: KeepRule = field(default_factory=KeepRule)
    patches_enough: int = 20
    old_days: int = 365
    seam_mm: float = 25.4
    wall_mm: float = 76.2
    transition_mm: float = 76.2
    tape_error_mm: float = 6.35
    second_factor: bool = False
    note_pace: bool = False
    cut_step_in_mm: float = 12.7
    cut_step_cm_mm: float = 10.0
    order_step_mm: float = 0.0
    order_least_mm: float = 0.0
    end_loss_mm: float = 0.0
    link_days: int = 14

    def value(self, rule: Rule) -> float:
        """The figure in force of a rule, in its kind's unit."""
        own = {"keep_short": self.keep.short_mm, "keep_long": self.keep.long_mm}
        name = f"{rule.name}_mm" if rule.kind is RuleKind.LENGTH else rule.name
        return own[rule.name] if rule.name in own else float(getattr(self, name))

    def cut_step_mm(self, unit: Unit) -> float:
        """What cuts of an order told in this unit are rounded up to (mm)."""
        return self.cut_step_in_mm if is_imperial(unit) else self.cut_step_cm_mm


AT_FIRST = ShopRules()
"""Of a shop that changed none."""


LENGTHS = tuple(rule.name for rule in RULES if rule.kind is RuleKind.LENGTH and not rule.name.startswith("keep_"))


def rules_of(values: Mapping[str, float]) -> ShopRules:
    """The rules with these figures, by name; what isn't there is as at first. Names that are no rules are passed over."""
    figures = {rule.name: values.get(rule.name, rule.usual) for rule in RULES}
    return ShopRules(
        hold_days=int(figures["hold_days"]),
        keep=KeepRule(figures["keep_short"], figures["keep_long"]),
        patches_enough=int(figures["patches_enough"]),
        old_days=int(figures["old_days"]),
        second_factor=bool(figures["second_factor"]),
        note_pace=bool(figures["note_pace"]),
        link_days=int(figures["link_days"]),
        **{f"{name}_mm": figures[name] for name in LENGTHS},
    )


def read_rule(name: str, text: str, unit: Unit) -> float | None:
    """The figure that a text gives a rule, in its kind's unit (lengths without a unit in `unit`); None for `usual`.

    Raises BadInput, at the rule's name, for a name that is no rule, a text that is no figure and a figure out of bounds.
    """
    rule = next((rule for rule in RULES if rule.name == name), None)
    if rule is None:
        raise BadInput([Fault(name, f"there is no such rule; the rules are {', '.join(rule.name for rule in RULES)}")])
    asked = text.strip()
    if asked.casefold() == "usual":
        return None
    value = _length(rule, asked, unit) if rule.kind is RuleKind.LENGTH else _count(rule, asked)
    slack = TOLERANCE_MM if rule.kind is RuleKind.LENGTH else 0.0
    if not rule.least - slack <= value <= rule.most + slack:
        bounds = f"{rule.write(rule.least, unit)} to {rule.write(rule.most, unit)}"
        raise BadInput([Fault(name, f"{asked!r} is out of bounds: give {bounds}")])
    return value


def _length(rule: Rule, text: str, unit: Unit) -> float:
    try:
        return parse_length(text, unit)
    except BadMeasure as error:
        raise BadInput([Fault(rule.name, str(error))]) from None


def _count(rule: Rule, text: str) -> int:
    if rule.kind is RuleKind.YES_OR_NO:
        if text.casefold() not in ("yes", "no"):
            raise BadInput([Fault(rule.name, f"{text[:40]!r} is neither yes nor no: give one of them")])
        return int(text.casefold() == "yes")
    figure = text.casefold().removesuffix(rule.kind.value).strip()
    if not (figure.isascii() and figure.isdigit() and len(figure) < 6):
        raise BadInput(
            [Fault(rule.name, f"{text[:40]!r} is no number of {rule.kind.value}: give a whole one, such as {rule.usual:.0f}")]
        )
    return int(figure)
