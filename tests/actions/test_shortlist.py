"""A large stock is shortlisted by style before its pieces are read, and answers as though it were not."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from remnants.actions import Catalogue, fit_job, open_catalogue
from remnants.actions.log_pieces import log_pieces
from remnants.geometry import rectangle
from remnants.model import Allowance, Finish, Grade, Job, Patch, Wanted
from tests.stock_values import IN, SIGNED, a_piece, a_stock, a_style

STYLES = tuple(a_style(name, repeat=None, row_mm=None) for name in ("Velder Loop", "Harrow Twist", "Fell Twist"))


@pytest.fixture
def catalogue(tmp_path: Path) -> Iterator[Catalogue]:
    with open_catalogue(tmp_path / "stock.db", write=True) as opened:
        pieces = [a_piece(f"{style.name[0]}-{n}", 20 + n, 30 + n, style=style.name) for style in STYLES for n in range(8)]
        odd = a_piece("odd", 27, 30, style="Velder Lop")
        log_pieces(opened, a_stock(*pieces, odd, styles=(*STYLES, a_style("Velder Lop", repeat=None))), signed=SIGNED)
        yield opened


@pytest.mark.parametrize(
    "wanted",
    [
        Wanted("veldr loop", "oatmeal", "4471-B"),
        Wanted("twist"),
        Wanted(),
        Wanted("corduroy"),
        Wanted("harrow twist", "oatmeal", substitute=True, lowest_grade=Grade.SUBSTITUTE),
    ],
    ids=["one", "two alike", "any", "none", "substitutes"],
)
def test_the_answer_is_the_same_and_what_was_not_looked_at_is_counted(
    catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch, wanted: Wanted
) -> None:
    job = Job("x", (Patch("hall", rectangle(24 * IN, 24 * IN).ring, 0.0, (Finish.SEAM,) * 4, wanted),), Allowance(25.4))
    whole = fit_job.fit_job(catalogue, job)
    monkeypatch.setattr(fit_job, "ALL_TOLD", 0)
    short = fit_job.fit_job(catalogue, job)
    assert (short.plan.patches, short.plan.short, short.versions) == (whole.plan.patches, whole.plan.short, whole.versions)
    left_out = len(whole.plan.passed_over) - len(short.plan.passed_over)
    told = [note for note in short.notes if "not looked at" in note]
    assert told == ([f"{left_out} pieces of other styles were not looked at one by one"] if left_out else [])
