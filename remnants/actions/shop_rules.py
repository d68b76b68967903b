"""The rules that the shop works by: those it set, for styles too, and what a year of its patches makes of the least size."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from statistics import median
from typing import TYPE_CHECKING

from remnants.actions.booking import once
from remnants.errors import BadInput, Fault
from remnants.geometry.turn import turned_ring
from remnants.late import Late
from remnants.ledger import Signed
from remnants.model import Job
from remnants.rules import KeepRule, LeastSizes, ShopRules, read_rule, rules_of
from remnants.store import Catalogue, jobs, shop_rules
from remnants.store.shop_rules import ShopRule, StyleRule
from remnants.store.worth_kept import tell_least
from remnants.units import Unit

if TYPE_CHECKING:
    from remnants.exchange import job as job_file
    from remnants.geometry import grow
else:  # large, and needed only where patches were cut within the year
    job_file, grow = Late("remnants.exchange.job"), Late("remnants.geometry.grow")

__all__ = ["InForce", "SizeSet", "change_rules", "held_until", "least_sizes", "own_rules", "read_changes", "rules_in_force"]

A_YEAR = timedelta(days=365)
MOST_PATCHES = 500
"""The latest so many patches tell what is usual; more would only take longer to read."""


@dataclass(frozen=True, slots=True)
class SizeSet:
    """What is kept of a style that has a size of its own, and who set it (the later of its sides) and when."""

    style: str
    keep: KeepRule
    who: str
    at: datetime


@dataclass(frozen=True)
class InForce:
    """The shop's rules, those that it set itself by name, and what is kept today.

    `patches` is how many were cut within the year before today; `usual` their usual size to cut, where they are enough for it to
    stand in place of the sizes in the rules. `of_styles` is what the shop set for styles; it goes before both.
    """

    rules: ShopRules
    own: Mapping[str, ShopRule] = field(default_factory=dict)
    patches: int = 0
    usual: KeepRule | None = None
    of_styles: tuple[StyleRule, ...] = ()

    @property
    def keep(self) -> KeepRule:
        """Which leftovers are kept, of styles that have no size of their own."""
        return self.usual or self.rules.keep

    @property
    def least(self) -> LeastSizes:
        """Which leftovers are kept; a side that a style has no figure of its own for is the shop's."""
        own: dict[str, dict[str, float]] = {}
        for each in self.of_styles:
            own.setdefault(each.style, {"keep_short": self.keep.short_mm, "keep_long": self.keep.long_mm})
            own[each.style][each.rule.name] = each.rule.value
        told = ((style, KeepRule(sides["keep_short"], sides["keep_long"])) for style, sides in own.items())
        return LeastSizes(self.keep, tuple(told))

    def sizes_set(self) -> tuple[SizeSet, ...]:
        """The styles that have a size of their own, with who set it and when."""
        last = {each.style: each.rule for each in sorted(self.of_styles, key=lambda each: each.rule.at)}
        return tuple(SizeSet(style, keep, last[style].who, last[style].at) for style, keep in self.least.own)

    def keep_words(self, unit: Unit) -> str:
        """Which leftovers are kept, and why, as a sentence."""
        size = self.keep.words(unit)
        if self.usual:
            return f"A leftover is kept if it holds {size}: the usual one of the {self.patches} patches cut within a year."
        enough = self.rules.patches_enough
        then = (
            f" After {enough} patches within a year ({self.patches} so far) the usual one of them counts instead."
            if enough
            else ""
        )
        return f"A leftover is kept if it holds {size}.{then}"


def rules_in_force(catalogue: Catalogue, *, today: date) -> InForce:
    """The rules on a day."""
    own = shop_rules.every_rule(catalogue)
    rules = rules_of({name: rule.value for name, rule in own.items()})
    sizes = list(_sizes_cut(catalogue, today))
    usual = None
    if 0 < rules.patches_enough <= len(sizes):
        usual = KeepRule(median(min(size) for size in sizes), median(max(size) for size in sizes))
    return InForce(rules, own, len(sizes), usual, shop_rules.every_style_rule(catalogue))


def least_sizes(catalogue: Catalogue, *, today: date) -> LeastSizes:
    """Which leftovers are kept on a day."""
    return rules_in_force(catalogue, today=today).least


def own_rules(catalogue: Catalogue) -> ShopRules:
    """The rules that the shop set, the others as at first."""
    return rules_of({name: rule.value for name, rule in shop_rules.every_rule(catalogue).items()})


def held_until(catalogue: Catalogue, today: date) -> date:
    """The last day of a hold that is made on a day, where nobody says another."""
    return today + timedelta(days=own_rules(catalogue).hold_days)


def change_rules(catalogue: Catalogue, changes: Mapping[str, str], *, unit: Unit, signed: Signed, key: str = "") -> InForce:
    """Sets rules to the figures in texts (`usual`: as at first), all of them or none; gives what is in force then.

    Raises BadInput with every name that is no rule, every text that is no figure and every figure out of bounds.
    """
    values = read_changes(changes, unit)

    def do() -> None:
        for name, value in values.items():
            shop_rules.put(catalogue, name, value, signed)
        tell_least(catalogue, least_sizes(catalogue, today=signed.at.date()))

    once(catalogue, key, ["rules", values], signed, do)
    return rules_in_force(catalogue, today=signed.at.date())


def read_changes(changes: Mapping[str, str], unit: Unit) -> dict[str, float | None]:
    """The figures that texts give rules, in each rule's unit; None for `usual`. Raises BadInput as `change_rules`."""
    values: dict[str, float | None] = {}
    faults: list[Fault] = []
    for name, text in changes.items():
        try:
            values[name] = read_rule(name, text, unit)
        except BadInput as error:
            faults += error.faults
    if faults:
        raise BadInput(faults)
    return values


def _sizes_cut(catalogue: Catalogue, today: date) -> Iterator[tuple[float, float]]:
    """Across and along (mm, with allowance) of the patches of jobs that were cut within the year, the latest first."""
    told = 0
    for file in jobs.files_cut_since(catalogue, today - A_YEAR):
        job = job_file.read_job(file, kept=True)
        for size in _sizes(job):
            yield size
            told += 1
            if told == MOST_PATCHES:
                return


def _sizes(job: Job) -> Iterator[tuple[float, float]]:
    for patch in job.patches:
        extra = [job.allowance.of(finish) for finish in patch.edges]
        left, bottom, right, top = grow.grown_bounds(turned_ring(patch.ring, -patch.pile_deg), extra)
        yield right - left, top - bottom
