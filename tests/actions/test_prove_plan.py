"""A plan that fails its proof withholds one way to make one patch, and neither the answer nor the other patches."""

import json
import logging
from collections.abc import Callable
from typing import Any

import pytest

from remnants.actions import prove_plan
from remnants.actions.fit_job import Fitted, fit_stock
from remnants.errors import Fault, Unproved
from remnants.exchange import read_answer, read_job, read_stock
from remnants.model import Job, Plan, Verdict
from remnants.proof import check_plan
from tests.stock_values import a_piece, a_stock, a_style

STOCK = a_stock(
    a_piece("R-1", 36, 30), a_piece("R-2", 40, 40), a_piece("R-3", 60, 44), styles=(a_style(repeat=None, row_mm=None),)
)


def a_job() -> Job:
    """A hall that any of the pieces makes, R-1 sparing most, and a door that R-3 alone is long enough for."""
    patches = [{"name": "hall", "width": 30, "length": 20}, {"name": "door", "width": 50, "length": 20, "max_parts": 1}]
    asked: dict[str, Any] = {"unit": "in", "job": "Alder Court 7", "style": "Velder Loop", "allowance": {"seam": 1}}
    return read_job(json.dumps(asked | {"patches": [patch | {"pile": 0} for patch in patches]}))


def donors(fitted: Fitted) -> list[str]:
    return [part.piece for made in fitted.plan.patches for part in made.parts]


@pytest.fixture
def refuse(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Makes the proof refuse plans whose hall is cut from these pieces, or with these faults."""

    def install(*tags: str, faults: tuple[Fault, ...] = (Fault("patches[0].parts[0].cut", "made up"),)) -> None:
        def asked(job: Job, pieces: Any, styles: Any, plan: Plan) -> tuple[Fault, ...]:
            assert check_plan(job, pieces, styles, plan) == ()
            return faults if any(part.piece in tags for part in plan.patches[0].parts) else ()

        monkeypatch.setattr(prove_plan, "check_plan", asked)

    return install


def test_the_next_option_is_taken_where_a_plan_fails_its_proof(refuse: Callable[..., None]) -> None:
    assert donors(fit_stock(STOCK, a_job())) == ["R-1", "R-3"]
    refuse("R-1")
    fitted = fit_stock(STOCK, a_job())
    assert fitted.plan.verdict is Verdict.WHOLE
    assert donors(fitted) == ["R-2", "R-3"]
    assert any("cut hall from R-1 failed its check" in note for note in fitted.notes)


def test_other_patches_are_answered_where_no_plan_of_one_passes(refuse: Callable[..., None]) -> None:
    refuse("R-1", "R-2", "R-3")
    fitted = fit_stock(STOCK, a_job())
    assert fitted.plan.verdict is Verdict.PARTLY
    assert donors(fitted) == ["R-3"]
    (short,) = fitted.plan.short
    assert short.patch == "hall" and "failed its check" in short.reason


@pytest.mark.parametrize("where", ["patches[0]", "leftovers of R-1", "leftovers[0]", "leftovers[0].largest"])
def test_what_is_wrong_with_a_patch_or_a_leftover_is_put_down_to_who_cut_it(refuse: Callable[..., None], where: str) -> None:
    refuse("R-1", faults=(Fault(where, "made up"),))
    assert donors(fit_stock(STOCK, a_job())) == ["R-2", "R-3"]


def test_what_nobody_cut_wrongly_withholds_the_plan(refuse: Callable[..., None]) -> None:
    refuse("R-1", faults=(Fault("verdict", "made up"),))
    with pytest.raises(Unproved, match="made up"):
        fit_stock(STOCK, a_job())


def test_a_plan_that_fails_is_logged_with_all_that_is_needed_to_prove_it_again(
    refuse: Callable[..., None], caplog: pytest.LogCaptureFixture
) -> None:
    refuse("R-1")
    with caplog.at_level(logging.ERROR, "remnants.proof"):
        fit_stock(STOCK, a_job())
    (record,) = caplog.records
    assert "made up" in record.getMessage()
    given = json.loads(record.getMessage().partition("this line: ")[2])
    job, stock, plan = (read(json.dumps(given[name])) for name, read in READERS.items())
    assert [part.piece for made in plan.patches for part in made.parts] == ["R-1", "R-3"]
    assert check_plan(job, stock.piece_of, stock.style_of, plan) == ()


READERS: dict[str, Callable[[str], Any]] = {"job": read_job, "stock": read_stock, "plan": read_answer}
