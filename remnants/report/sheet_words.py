"""A sheet in words, for a screen that lays out its own pages: materials, order of work with its cautions, what to tell."""

from dataclasses import dataclass

from remnants.materials.needs import needs_of
from remnants.materials.steps import steps_of
from remnants.report.customer import warnings
from remnants.report.needs_text import amount_text, strip_lines
from remnants.report.sheet import Sheet

__all__ = ["NeedWords", "SheetWords", "StepWords", "sheet_words"]


@dataclass(frozen=True)
class NeedWords:
    """One material: what, how much, by which rule, and for strip how to cut it."""

    what: str
    amount: str
    because: str
    cuts: tuple[str, ...] = ()


@dataclass(frozen=True)
class StepWords:
    """One step of the work, its cautions first."""

    title: str
    cautions: tuple[str, ...]
    lines: tuple[str, ...]


@dataclass(frozen=True)
class SheetWords:
    """What goes with a plan beside its drawings."""

    needs: tuple[NeedWords, ...]
    steps: tuple[StepWords, ...]
    warnings: tuple[str, ...]


def sheet_words(sheet: Sheet) -> SheetWords:
    """The words of a sheet, lengths in its setting's unit. Empty where the plan cuts nothing."""
    plan, job, setting = sheet.plan, sheet.job, sheet.setting
    if not any(answer.parts for answer in plan.patches):
        return SheetWords((), (), ())
    needs = needs_of(plan, job, rules=setting.rules, fixing=setting.fixing, unit=setting.unit)
    return SheetWords(
        tuple(
            NeedWords(need.stuff, amount_text(need, setting.unit), need.how, tuple(strip_lines(need, setting.unit)))
            for need in needs
        ),
        tuple(
            StepWords(step.title, tuple(each.value.text for each in step.cautions), tuple(step.lines))
            for step in steps_of(plan, job, setting)
        ),
        warnings(plan, job, unit=setting.unit),
    )
