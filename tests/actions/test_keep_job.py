"""Plans booked against stock that changes: by two at once, by a style told anew."""

import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from remnants.actions import Catalogue, keep_job, open_catalogue
from remnants.actions.fit_job import Fitted, fit_job
from remnants.actions.job_names import Which
from remnants.actions.keep_job import State, cut_job, cut_plan, find_job, hold_job
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.show_piece import history_of
from remnants.actions.undo import undo_last
from remnants.errors import BadInput, NotAllowed, StockChanged
from remnants.exchange import job_json
from remnants.geometry import rectangle
from remnants.ledger import Act, Signed
from remnants.model import Allowance, Finish, Job, Opening, Patch, RepairRoom, Repeat, Wanted
from tests.stock_values import IN, SIGNED, a_piece, a_stock, a_style

PLAIN = (a_style(repeat=None, row_mm=None),)
TODAY = SIGNED.at.date()
UNTIL = TODAY + timedelta(days=7)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "stock.db"


@pytest.fixture
def catalogue(path: Path) -> Iterator[Catalogue]:
    with open_catalogue(path, write=True) as opened:
        log_pieces(opened, a_stock(a_piece("R-1", 60, 90), styles=PLAIN), signed=SIGNED)
        yield opened


def a_fit(catalogue: Catalogue, job: str, width: float = 20, length: float = 20) -> Fitted:
    patch = Patch("hall", rectangle(width * IN, length * IN).ring, 0.0, (Finish.SEAM,) * 4, Wanted("Velder Loop"))
    return fit_job(catalogue, Job(job, (patch,), Allowance(25.0), 50.0), today=TODAY)


def by(who: str) -> Signed:
    return replace(SIGNED, who=who)


def test_a_kept_job_keeps_its_rooms(catalogue: Catalogue) -> None:
    wide = ((0.0, 0.0), (100 * IN, 0.0), (100 * IN, 90 * IN), (0.0, 90 * IN))
    lane, bed = ((0.0, 10 * IN), (50 * IN, 10 * IN)), rectangle(9 * IN, 9 * IN).ring
    walls = RepairRoom("hall", wide, (Finish.WALL,) * 4, (Opening(1, 5 * IN, 30 * IN, "stairs"),), (lane,), (bed,))
    hall = replace(walls, light_deg=45.0, pile_deg=0.0, row_mm=6.35, row_from=(1.0, 2.0))
    asked = a_fit(catalogue, "Alder Court 7").job
    patch = replace(asked.patches[0], wanted=Wanted("Velder Loop", room="Hall"))
    fitted = fit_job(catalogue, replace(asked, patches=(patch,), rooms=(hall,)), today=TODAY)
    held = hold_job(catalogue, fitted, until=UNTIL, signed=SIGNED)
    assert job_json(find_job(catalogue, held.number).job) == job_json(fitted.job)
    assert find_job(catalogue, held.number).job.rooms[0].doorways == hall.doorways
    cut_job(catalogue, held.number, signed=SIGNED)
    assert find_job(catalogue, held.number).job.rooms[0].row_from == (1.0, 2.0)


def test_of_very_many_pieces_passed_over_a_job_keeps_those_that_tell_most(
    catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(keep_job, "MOST_PASSED", 1)
    log_pieces(catalogue, a_stock(*(a_piece(f"R-{n}", 10, 10) for n in range(2, 5)), styles=PLAIN), signed=SIGNED)
    fitted = a_fit(catalogue, "Alder Court 7")
    assert len(fitted.plan.passed_over) == 3 and not fitted.plan.more_passed
    held = hold_job(catalogue, fitted, until=UNTIL, signed=SIGNED)
    kept = find_job(catalogue, held.number).plan
    assert (len(kept.passed_over), kept.more_passed) == (1, 2)
    assert cut_job(catalogue, held.number, signed=SIGNED).donors == ("R-1",)
    assert find_job(catalogue, held.number).plan.more_passed == 2, "also once it is cut"
    assert verify(catalogue).faults == ()


def test_taking_back_an_earlier_cut_leaves_a_job_that_was_cut_again_as_it_is(catalogue: Catalogue) -> None:
    cut_plan(catalogue, a_fit(catalogue, "Alder Court 7", 50, 80), signed=SIGNED)
    log_pieces(catalogue, a_stock(a_piece("R-2", 30, 30), styles=PLAIN), signed=SIGNED)
    again = Which(again=True)
    assert cut_plan(catalogue, a_fit(catalogue, "Alder Court 7"), signed=SIGNED, which=again).donors == ("R-2",)
    undo_last(catalogue, "R-1", signed=SIGNED)
    assert find_job(catalogue, "J-0002").stage is State.CUT
    assert verify(catalogue).faults == ()
    undo_last(catalogue, "R-2", signed=SIGNED)
    assert find_job(catalogue, "J-0002").stage is State.RELEASED
    assert verify(catalogue).faults == ()


def test_of_two_who_cut_the_same_piece_at_once_one_succeeds_and_the_other_is_told(catalogue: Catalogue, path: Path) -> None:
    rounds, told = 25, 0
    for number in range(rounds):
        gate = threading.Barrier(2)

        def cut(who: str, number: int = number, gate: threading.Barrier = gate) -> str:
            with open_catalogue(path, write=True) as own:
                fitted = a_fit(own, f"{who} {number}", 5, 5)
                gate.wait()
                try:
                    cut_plan(own, fitted, signed=by(who))
                except StockChanged as error:
                    return str(error)
                return ""

        with ThreadPoolExecutor(2) as pool:
            answers = sorted(pool.map(cut, ("Ana", "Bo")))
        assert answers[0] == ""
        assert "R-1 was cut by" in answers[1]
        assert "on 3 May 2031, 14:20 UTC" in answers[1]
        told += 1
        undo_last(catalogue, "R-1", signed=SIGNED)
    assert told == rounds
    assert verify(catalogue).faults == ()


def test_a_request_with_a_key_is_done_once_however_often_it_is_sent(catalogue: Catalogue, path: Path) -> None:
    hold_job(catalogue, a_fit(catalogue, "Alder"), until=UNTIL, signed=SIGNED, key="h")

    def cut(_: int) -> object:
        with open_catalogue(path, write=True) as own:
            return cut_job(own, "Alder", signed=SIGNED, key="c")

    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(cut, range(8)))
    assert all(answer == answers[0] for answer in answers)
    acts = [entry.act for entry in history_of(catalogue, "R-1").entries]
    assert acts == [Act.RECEIVED, Act.HELD, Act.CUT]
    with pytest.raises(BadInput, match="used for another request"):
        undo_last(catalogue, "R-1", signed=SIGNED, key="c")


def test_a_plan_that_a_new_word_about_the_style_spoils_is_refused(catalogue: Catalogue) -> None:
    joined = a_fit(catalogue, "Alder", 27, 100)  # two parts side by side in the 60 x 90 piece
    hold_job(catalogue, joined, until=UNTIL, signed=SIGNED)
    patterned = (a_style(repeat=Repeat(100, 100)),)
    log_pieces(catalogue, a_stock(a_piece("R-2"), styles=patterned), signed=SIGNED)
    assert len(joined.plan.patches[0].parts) == 2
    with pytest.raises(NotAllowed, match="no longer holds"):
        cut_job(catalogue, "Alder", signed=SIGNED)
    assert [entry.act for entry in history_of(catalogue, "R-1").entries] == [Act.RECEIVED, Act.HELD]
