"""Booking takes the plan that was looked at, and works it out anew only where what it stands on changed."""

from dataclasses import replace

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.fit_in_time import fit_in_time
from remnants.actions.fit_job import Fitted
from remnants.actions.keep_job import find_job
from remnants.actions.log_pieces import log_pieces
from remnants.actions.show_piece import show_piece
from remnants.exchange import Stock
from remnants.geometry import rectangle
from remnants.model import Job
from remnants_web import questions, shown
from tests.stock_values import IN, SIGNED
from tests.web.conftest import Clock, House
from tests.web.test_bookings import shown as answer_shown


@pytest.fixture
def fitted_anew(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names of the jobs that a booking worked out anew."""
    jobs: list[str] = []

    def watched(catalogue: Catalogue, job: Job, **more: object) -> Fitted:
        jobs.append(job.name)
        return fit_in_time(catalogue, job, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(questions, "fit_in_time", watched)
    return jobs


def better_piece(house: House) -> None:
    """A piece like O-0007 comes in that is used up by the cut: from now on it is the better answer."""
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        there = show_piece(catalogue, "O-0007")
        close = replace(there.piece, tag="O-0900", outline=rectangle(16 * IN, 42 * IN))
        log_pieces(catalogue, Stock((there.style,), (close,)), signed=SIGNED)


@pytest.mark.parametrize("way", ["hold", "cut"])
def test_what_was_shown_is_booked_without_being_worked_out_again(house: House, fitted_anew: list[str], way: str) -> None:
    wim, fields = answer_shown(house)
    assert wim.post(f"/jobs/{way}", data=fields).status_code == 303
    assert fitted_anew == []


def test_a_name_may_still_be_given_as_it_is_booked(house: House, fitted_anew: list[str]) -> None:
    wim, fields = answer_shown(house, job="")
    assert wim.post("/jobs/hold", data=fields | {"job": "Fern Row 2"}).status_code == 303
    assert fitted_anew == []
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        kept = find_job(catalogue, "Fern Row 2")
    assert kept.plan.job == kept.job.name == "Fern Row 2"


def test_a_better_piece_that_came_in_meanwhile_does_not_stop_the_plan_that_was_looked_at(house: House) -> None:
    wim, fields = answer_shown(house)
    better_piece(house)
    assert answer_shown(house)[1]["digest"] != fields["digest"], "today's answer is another one"
    assert wim.post("/jobs/hold", data=fields).status_code == 303
    assert "held for Alder Court 7" in wim.get("/pieces/O-0007").text


def test_where_one_of_its_pieces_changed_it_is_worked_out_anew(house: House, fitted_anew: list[str]) -> None:
    wim, fields = answer_shown(house)
    house.browser("Maud").post("/pieces/O-0007/discard", data={"key": "d"})
    assert wim.post("/jobs/hold", data=fields).status_code == 409
    assert fitted_anew == ["Alder Court 7"]


def test_nobody_books_from_what_another_person_was_shown(house: House, fitted_anew: list[str]) -> None:
    _, fields = answer_shown(house, "Wim")
    better_piece(house)
    fields.pop("made_by")
    assert house.browser("Maud").post("/jobs/hold", data=fields).status_code == 409
    assert fitted_anew == ["Alder Court 7"]


def test_an_answer_of_yesterday_is_worked_out_anew(house: House, clock: Clock, fitted_anew: list[str]) -> None:
    wim, fields = answer_shown(house)
    clock.wait(hours=13)
    assert wim.post("/jobs/hold", data=fields).status_code == 303
    assert fitted_anew == ["Alder Court 7"]


def test_the_digest_of_one_job_books_no_other(house: House, fitted_anew: list[str]) -> None:
    wim, fields = answer_shown(house)
    other = answer_shown(house, width="30")[1]
    assert wim.post("/jobs/hold", data=fields | {"job_file": other["job_file"]}).status_code == 409
    assert fitted_anew == ["Alder Court 7"]


def test_no_more_answers_are_kept_than_there_is_room_for(
    house: House, monkeypatch: pytest.MonkeyPatch, fitted_anew: list[str]
) -> None:
    house.app.extensions["shown"].most = 1
    wim, fields = answer_shown(house)
    answer_shown(house, job="Fern Row 2", width="30")
    assert wim.post("/jobs/hold", data=fields).status_code == 303
    assert fitted_anew == ["Alder Court 7"]
    assert shown.KEPT > 1
