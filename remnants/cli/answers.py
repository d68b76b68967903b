"""An answer as commands give it: as text, as the answer file, as drawings."""

from pathlib import Path
from typing import Any

from remnants.actions.fit_job import Fitted
from remnants.cli.files import write_texts
from remnants.cli.printing import page_width
from remnants.exchange import answer_json
from remnants.report.diagram import write_svgs
from remnants.report.plain import fit_text
from remnants.units import Unit

__all__ = ["STOPPED_BY_HAND", "answer_file", "answer_text", "draw_answer"]

STOPPED_BY_HAND = 130
"""What a command ends with that gave the best found by the time somebody stopped it."""


def answer_file(fitted: Fitted) -> dict[str, Any]:
    """The content of its answer file, lengths in the job's unit."""
    return answer_json(
        fitted.plan,
        fitted.ways,
        notes=fitted.notes,
        bargains=fitted.bargains,
        measure=fitted.measure,
        why_not=fitted.why_not,
    )


def answer_text(fitted: Fitted, unit: Unit | None) -> str:
    """It in words, as wide as the terminal; lengths in `unit`, by default the job's."""
    width, styled = page_width()
    return fit_text(
        fitted.plan,
        fitted.job,
        fitted.pieces,
        fitted.styles,
        unit=unit,
        width=width,
        styled=styled,
        ways=fitted.ways,
        bargains=fitted.bargains,
        measure=fitted.measure,
        why_not=fitted.why_not,
    )


def draw_answer(fitted: Fitted, folder: Path, unit: Unit | None) -> str:
    """Draws its donors and patches into the folder, lengths in `unit`, by default the job's; gives a line that tells where."""
    paths = write_texts(folder, write_svgs(fitted.plan, fitted.job, pieces=fitted.pieces, styles=fitted.styles, unit=unit))
    return f"Drawings in {folder}: {', '.join(path.name for path in paths)}\n"
