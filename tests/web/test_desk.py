"""The desk: questions are worked out once, waited for in a bounded line, and known afterwards; pages go on meanwhile."""

import http.client
import io
import json
import pickle
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import pytest

from remnants.actions.fit_in_time import CUT_SHORT
from remnants.desk import desk as desk_module
from remnants.desk.desk import TRY_AGAIN_SECONDS, FarDesk, InPlace, Known, Reply, WorkDesk, reached_from_afar
from remnants.desk.workers import outcome_of, value_of
from remnants.errors import Crowded, GaveUp
from remnants.exchange import read_job
from remnants.exchange.house import house_of
from remnants.exchange.rooms import read_rooms
from remnants.limits import QUESTIONS_EACH
from remnants.model import Role, Scope, Verdict
from remnants.question import Stop
from remnants.units import Unit
from remnants_web import ask, create_app
from remnants_web.questions import AnswerAsked, OrderAsked, PlanAsked, Warming
from tests.web.conftest import Browser, House
from tests.web.served import Served
from tests.web.test_photos import a_photo

JOB = {"unit": "in", "job": "x", "style": "Harrow Twist", "patches": [{"name": "hall", "width": 40, "length": 14, "pile": 90}]}
ASKED = {"style": "Harrow Twist", "width": "40 in", "length": "14 in", "pile": "90"}
DAMAGE = {"style": "Harrow Twist", "room_is": "unknown", "pile": "90", "damage_width_1": "9", "damage_length_1": "8"}
LOUNGE = {"order": "Elm End 4", "roll_width": "12 ft", "name_1": "lounge", "width_1": "14 ft", "length_1": "16 ft"}


@dataclass(frozen=True)
class Echo:
    """A question whose answer is what it asks."""

    text: str

    def answer(self, stop: Stop) -> str:
        """The same."""
        return self.text


class Bench:
    """Workers that work here, once the test lets them."""

    def __init__(self) -> None:
        self.may_go_on = threading.Event()
        self.worked: list[bytes] = []
        self.left: list[bytes] = []

    def worker(self, _large: bool) -> Any:
        return Hand(self)


class Hand:
    """One of them."""

    fit_to_go_on = True

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.broken_off = False

    def work(self, parcel: bytes, wanted: Callable[[], bool] = lambda: True) -> bytes:
        self.bench.worked.append(parcel)
        while not self.bench.may_go_on.wait(0.01) and not self.broken_off:
            if not wanted():
                self.bench.left.append(parcel)
                break
        return outcome_of(pickle.loads(parcel), lambda: False)

    def break_off(self) -> None:
        self.broken_off = True

    def end(self) -> None:
        """Nothing is left of it."""


@pytest.fixture
def bench() -> Bench:
    return Bench()


@pytest.fixture
def desk(bench: Bench) -> Iterator[WorkDesk]:
    opened = WorkDesk(bench.worker, large=1)
    yield opened
    opened.close()


def echo(text: str) -> bytes:
    return pickle.dumps(Echo(text))


def wait_until(so: Callable[[], bool]) -> None:
    for _ in range(6000):
        if so():
            return
        threading.Event().wait(0.005)
    pytest.fail("it never came")


def test_what_is_asked_again_is_answered_from_what_is_known(desk: WorkDesk, bench: Bench) -> None:
    bench.may_go_on.set()
    for who in ("Lou", "Wim", "Lou"):
        assert value_of(desk.ask("k", who, echo("hall"), large=False, wait_s=30).outcome) == "hall"
    assert len(bench.worked) == 1


@dataclass(frozen=True)
class ByThen(Echo):
    """A question whose time is over before its search."""

    def is_cut_short(self, answer: str) -> bool:
        """It is."""
        return answer == self.text


def test_an_answer_that_was_cut_short_is_known_for_a_moment_and_then_looked_for_anew() -> None:
    now = [0.0]
    known = Known(lambda: now[0])
    known.keep("short", outcome_of(ByThen("best by then"), lambda: False))
    known.keep("left", outcome_of(Echo("stopped"), lambda: True))
    known.keep("whole", outcome_of(Echo("whole"), lambda: False))
    assert [value_of(known.find(key)) for key in ("short", "left", "whole")] == ["best by then", "stopped", "whole"]
    now[0] = TRY_AGAIN_SECONDS + 1
    assert [bool(known.find(key)) for key in ("short", "left", "whole")] == [False, False, True]


def test_a_plan_that_ran_out_of_time_says_so_to_the_desk(house: House) -> None:
    question = PlanAsked(house.settings.catalogue, read_job(JOB), date(2031, 5, 3))
    fitted = question.answer(lambda: False)
    assert not question.is_cut_short(fitted)
    assert question.is_cut_short(replace(fitted, notes=(*fitted.notes, CUT_SHORT.format(seconds=20))))


def test_whoever_waits_is_told_the_place(desk: WorkDesk, bench: Bench) -> None:
    for number in range(3):
        desk.ask(f"{number}", "Lou", echo("x"), large=False, wait_s=0)
    wait_until(lambda: len(bench.worked) == 2)
    assert desk.ask("0", "Lou", echo("x"), large=False, wait_s=0).place.worked_s is not None
    assert desk.ask("2", "Lou", echo("x"), large=False, wait_s=0).place.before == 0
    bench.may_go_on.set()
    assert desk.ask("2", "Lou", echo("x"), large=False, wait_s=30).outcome


def test_work_that_nobody_waits_for_is_given_up(desk: WorkDesk, bench: Bench) -> None:
    desk.ask("k", "Lou", echo("x"), large=False, wait_s=0)
    wait_until(lambda: len(bench.worked) == 1)
    desk.leave("k", "Lou")
    wait_until(lambda: len(bench.left) == 1)
    bench.may_go_on.set()
    assert desk.ask("k", "Lou", echo("x"), large=False, wait_s=30).outcome, "and is worked out anew for who asks again"
    assert len(bench.worked) == 2


def test_a_desk_is_reached_from_other_processes(desk: WorkDesk, bench: Bench) -> None:
    bench.may_go_on.set()
    with reached_from_afar(desk) as (address, secret):
        far = FarDesk(address, secret)
        assert value_of(far.ask("k", "Lou", echo("hall"), large=False, wait_s=30).outcome) == "hall"
        bench.may_go_on.clear()
        for number in range(QUESTIONS_EACH):
            far.ask(f"{number}", "Lou", echo("x"), large=False, wait_s=0)
        with pytest.raises(Crowded):
            far.ask("one more", "Lou", echo("x"), large=False, wait_s=0)
        far.leave("3", "Lou")
        far.ask("one more", "Lou", echo("x"), large=False, wait_s=0)


def test_a_desk_that_is_broken_off_tells_what_is_known_and_that_the_rest_was_not_worked_out(desk: WorkDesk, bench: Bench) -> None:
    bench.may_go_on.set()
    assert desk.ask("known", "Lou", echo("hall"), large=False, wait_s=30).outcome
    bench.may_go_on.clear()
    with ThreadPoolExecutor(1) as waiting, reached_from_afar(desk) as (address, secret):
        waits = waiting.submit(desk.ask, "k", "Wim", echo("x"), large=False, wait_s=600)
        wait_until(lambda: len(bench.worked) == 2)
        desk.break_off()
        with pytest.raises(GaveUp):
            value_of(waits.result().outcome)
        assert value_of(desk.ask("known", "Wim", echo("hall"), large=False, wait_s=0).outcome) == "hall"
        with pytest.raises(GaveUp, match="is being stopped, so this was not worked out"):
            FarDesk(address, secret).ask("new", "Wim", echo("x"), large=True, wait_s=600)
        far = FarDesk(address, secret)
        assert far.ask("known", "Wim", echo("hall"), large=False, wait_s=0).outcome
    with pytest.raises(GaveUp, match="is being stopped"):
        FarDesk(address, secret).ask("known", "Wim", echo("hall"), large=False, wait_s=0)


def test_where_no_worker_can_be_started_that_is_told_and_another_is_tried(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(desk_module, "REST_SECONDS", 0.0)
    bench.may_go_on.set()
    faults = [OSError("no process more"), EOFError("what they are forked from is gone")]

    def hire(_large: bool) -> Any:
        if faults:
            raise faults.pop()
        return Hand(bench)

    desk = WorkDesk(hire, large=0)
    for key in ("first", "second"):
        with pytest.raises(GaveUp, match="no process could be started to work this out; ask again"):
            value_of(desk.ask(key, "Lou", echo("hall"), large=False, wait_s=30).outcome)
    assert value_of(desk.ask("third", "Lou", echo("hall"), large=False, wait_s=30).outcome) == "hall"
    desk.close()
    assert caplog.text.count("it is tried again") == 2


def test_where_there_are_no_workers_it_is_worked_out_at_once() -> None:
    desk = InPlace()
    assert value_of(desk.ask("k", "Lou", echo("hall"), large=True, wait_s=0).outcome) == "hall"
    desk.leave("k", "Lou")


def test_what_is_worked_out_apart_stands_on_nothing_of_the_request(house: House) -> None:
    """As a process beside the pages does it: from plain values to plain values."""
    path, today = house.settings.catalogue, house.settings.now().date()
    job, rooms = (
        read_job(JOB),
        read_rooms({"unit": "ft", "roll": {"width": 12}, "rooms": [{"name": "den", "width": 9, "length": 8}]}),
    )
    ways = value_of(outcome_of(AnswerAsked(path, json.dumps(JOB), job, Unit.IN, Role.LOOK, today), lambda: False))
    assert ways[0].donors == ("O-0007",) and ways[0].pictures
    assert value_of(outcome_of(PlanAsked(path, job, today), lambda: False)).plan.verdict is Verdict.WHOLE
    ordered = value_of(outcome_of(OrderAsked(path, "", house_of(rooms), job, "", today), lambda: False))
    assert ordered.estimates[0].best.length_mm > 0
    assert value_of(outcome_of(Warming(path, today), lambda: False)) is None


@pytest.fixture
def busy(house: House, desk: WorkDesk, monkeypatch: pytest.MonkeyPatch) -> House:
    """The shop, with a desk where nothing is worked out until the test lets it; pages tell so at once."""
    monkeypatch.setattr(ask, "PAGE_SECONDS", 0.0)
    house.app = create_app(house.settings, desk)
    house.app.test_client_class = Browser
    return house


def test_a_page_waits_with_its_place_looks_again_by_itself_and_shows_the_answer(busy: House, bench: Bench) -> None:
    lou = busy.browser("Lou")
    waits = lou.get("/patch/answer", query_string=ASKED)
    assert waits.status_code == 202 and "Being worked out" in waits.text
    assert '<p class="quiet">Harrow Twist</p>' in waits.text and '<progress id="far"' in waits.text
    assert '<noscript><meta http-equiv="refresh" content="2"></noscript>' in waits.text
    told = lou.get("/patch/answer", query_string=ASKED, headers={"Accept": "application/json"})
    assert told.status_code == 202 and told.get_json()["told"].startswith("It is ")
    assert told.get_json()["worked_s"] in (None, *range(21))
    bench.may_go_on.set()
    wait_until(lambda: lou.get("/patch/answer", query_string=ASKED).status_code == 200)
    assert "O-0007" in lou.get("/patch/answer", query_string=ASKED).text


def test_outlines_are_waited_for_as_answers_are_and_lead_back_to_their_own_question(busy: House, bench: Bench) -> None:
    lou = busy.browser("Lou")
    waits = lou.get("/propose/answer", query_string=DAMAGE)
    assert waits.status_code == 202 and "Being worked out" in waits.text
    assert 'name="back" value="/propose?style=Harrow+Twist&amp;room_is=unknown' in waits.text
    bench.may_go_on.set()
    wait_until(lambda: lou.get("/propose/answer", query_string=DAMAGE).status_code == 200)
    assert "Take this outline" in lou.get("/propose/answer", query_string=DAMAGE).text


def test_an_order_that_was_sent_waits_with_all_that_was_sent(busy: House, bench: Bench) -> None:
    lou = busy.browser("Lou")
    waits = lou.post("/order", data=LOUNGE)
    assert waits.status_code == 202 and "<noscript><meta" not in waits.text and "Look again" in waits.text
    for name, text in LOUNGE.items():
        assert f'<input type="hidden" name="{name}" value="{text}">' in waits.text
    bench.may_go_on.set()
    wait_until(lambda: lou.post("/order", data=LOUNGE).status_code == 200)


def test_whoever_stops_waiting_is_back_at_the_question(busy: House, bench: Bench) -> None:
    lou = busy.browser("Lou")
    page = lou.get("/patch/answer", query_string=ASKED).text
    wait_until(lambda: len(bench.worked) == 1)
    asked = page.partition('name="asked" value="')[2].partition('"')[0]
    stopped = lou.post("/asked/stop", data={"asked": asked, "back": "/patch?style=Harrow+Twist"})
    assert (stopped.status_code, stopped.headers["Location"]) == (303, "/patch?style=Harrow+Twist")
    wait_until(lambda: len(bench.left) == 1)


def test_whoever_is_gone_is_not_waited_for(busy: House, bench: Bench) -> None:
    key = busy.key_of("Lou", Scope.FIT)
    headers = {"Authorization": f"Bearer {key}", "Sec-Fetch-Site": "", "Accept": "application/json"}
    gone = {"waitress.client_disconnected": lambda: True}
    assert busy.browser().post("/api/fit", json=JOB, headers=headers, environ_base=gone).status_code == 503
    wait_until(lambda: bench.worked == bench.left)


def test_34_heavy_questions_by_a_key_that_may_only_look_keep_nobody_from_signing_in(busy: House, bench: Bench) -> None:
    """Of 34 different questions four wait; the others are told how many wait already. The sign-in page answers meanwhile."""
    served = Served(busy.app, threads=32)
    headers = {
        "Authorization": f"Bearer {busy.key_of('Lou', Scope.FIT)}",
        "Content-Type": "application/json",
        "Host": "localhost",
    }

    def sent(method: str, path: str, body: str = "") -> tuple[int, str]:
        asked = http.client.HTTPConnection("127.0.0.1", int(served.server.effective_port), timeout=60)
        asked.request(method, path, body, headers if body else {"Host": "localhost"})
        answer = asked.getresponse()
        told = answer.status, answer.read().decode()
        asked.close()
        return told

    try:
        with ThreadPoolExecutor(34) as crowd:
            heavy = [crowd.submit(sent, "POST", "/api/fit", json.dumps(JOB | {"job": f"job {number}"})) for number in range(34)]
            wait_until(lambda: sum(each.done() for each in heavy) == 34 - QUESTIONS_EACH)
            assert sent("GET", "/sign-in")[0] == 200
            refused = [each.result() for each in heavy if each.done()]
            assert {status for status, _ in refused} == {429} and "wait already" in refused[0][1]
            bench.may_go_on.set()
            assert sorted(each.result()[0] for each in heavy) == [200] * QUESTIONS_EACH + [429] * (34 - QUESTIONS_EACH)
    finally:
        served.end()


class Reading(InPlace):
    """A desk that notes what it is handed."""

    def __init__(self) -> None:
        super().__init__()
        self.handed: list[str] = []

    def ask(self, key: str, who: str, parcel: bytes, *, large: bool, wait_s: float) -> Reply:
        self.handed.append(type(pickle.loads(parcel)).__name__)
        return super().ask(key, who, parcel, large=large, wait_s=wait_s)


def test_photographs_and_drawings_are_read_apart(house: House) -> None:
    reading = Reading()
    house.app = create_app(house.settings, reading=reading)
    house.app.test_client_class = Browser
    wim = house.browser("Wim")
    photo = {"photo": (io.BytesIO(a_photo()), "a.jpg")}
    assert wim.post("/pieces/R-0001/photos", data=photo, content_type="multipart/form-data").status_code == 303
    broken = {"photo": (io.BytesIO(b"no picture"), "a.jpg")}
    told = wim.post("/pieces/R-0001/photos", data=broken, content_type="multipart/form-data")
    assert told.status_code == 422 and "this is no picture that can be read" in told.text
    drawing = {"file": (io.BytesIO(b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n"), "flat.dxf")}
    assert wim.post("/order", data=drawing, content_type="multipart/form-data").status_code == 422
    assert reading.handed == ["PictureSent", "PictureSent", "DrawingSent"]
