"""The programs' interface: described, held to its description, refusing in one shape."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from werkzeug.test import TestResponse

from remnants.actions import open_catalogue
from remnants.actions.change_piece import move_piece
from remnants.actions.customers import put_customer
from remnants.actions.log_pieces import log_pieces
from remnants.exchange import read_answer, read_stock
from remnants.model import Scope, Verdict
from remnants.model.customer import Customer
from remnants.model.money import Money
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.thorough import few, share
from tests.web.conftest import House
from tests.web.stock import STOCK
from tests.web.test_guard import methods_of

JOB = {"unit": "in", "job": "x", "style": "Harrow Twist", "patches": [{"name": "hall", "width": 40, "length": 14, "pile": 90}]}
CHECKS = (not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance)


def call(house: House, method: str, path: str, name: str = "Wim", **more: Any) -> TestResponse:
    own = more.pop("headers", {})
    headers = {"Sec-Fetch-Site": "", "Accept": "application/json", "Authorization": f"Bearer {house.key_of(name)}"} | own
    return house.browser().open(path, method=method, headers=headers, **more)


def test_a_job_file_gets_an_answer_file(house: House) -> None:
    answer = call(house, "POST", "/api/fit", json=JOB)
    assert answer.status_code == 200
    assert read_answer(answer.text).verdict is Verdict.WHOLE
    assert answer.get_json()["patches"][0]["parts"][0]["piece"] == "O-0007"


def test_what_is_to_be_said_of_the_jobs_own_words_is_told_with_the_answer(house: House) -> None:
    """A room's pile that a patch takes, and a house in which nothing is kept or laid."""
    hall = {"name": "hall", "width": 90, "length": 60, "pile": 90}
    patch = {"name": "hall", "room": "Hall", "width": 40, "length": 14}
    answer = call(house, "POST", "/api/fit", json=JOB | {"rooms": [hall], "patches": [patch], "house": "Fern Row 2"})
    taken, nothing = answer.get_json()["notes"]
    assert taken == "patches[0].pile: taken from the room 'hall': 90 degrees"
    assert nothing.startswith("house: nothing is kept or laid in 'Fern Row 2'")
    assert read_answer(answer.text).verdict is Verdict.WHOLE
    assert "notes" not in call(house, "POST", "/api/fit", json=JOB).get_json()


def test_a_tag_or_a_room_that_there_is_none_of_is_refused_at_its_place(house: House) -> None:
    patch = {"name": "hall", "room": "hal", "width": 40, "length": 14, "pile": 90}
    asked = JOB | {"rooms": [{"name": "hall"}], "patches": [patch]}
    assert [fault["where"] for fault in call(house, "POST", "/api/fit", json=asked).get_json()["faults"]] == ["patches[0].room"]
    answer = call(house, "POST", "/api/fit", json=JOB | {"use": ["O-0008"], "avoid": ["Q-1"]}).get_json()
    assert [fault["where"] for fault in answer["faults"]] == ["use[0]", "avoid[0]"]


def test_pieces_are_logged_found_and_shown_as_stock_files(house: House) -> None:
    new = json.loads(STOCK) | {
        "pieces": [{"tag": "R-0100", "kind": "remnant", "style": "New Fell", "width": 40, "length": 50, "pile": 0}]
    }
    made = call(house, "POST", "/api/pieces", json=new)
    assert (made.status_code, made.json) == (201, {"tags": ["R-0100"]})
    assert read_stock(call(house, "GET", "/api/pieces?words=new+fell&unit=in").text).pieces[0].tag == "R-0100"
    shown = call(house, "GET", "/api/pieces/R-0100?unit=in").get_json()
    assert (shown["unit"], shown["pieces"][0]["width"]) == ("in", 40)
    again = call(house, "POST", "/api/pieces", json=new)
    assert again.status_code == 422 and again.get_json()["faults"][0]["where"] == "pieces[0].tag"


@pytest.mark.parametrize(
    ("method", "path", "status", "more"),
    [
        ("GET", "/api/pieces/none", 404, {}),
        ("GET", "/api/nothing", 404, {}),
        ("GET", "/api/pieces", 422, {}),
        ("GET", "/api/pieces?words=a&most=-1", 422, {}),
        ("GET", "/api/pieces?words=a&unit=ell", 422, {}),
        ("PUT", "/api/fit", 405, {}),
        ("POST", "/api/fit", 422, {"data": "[", "content_type": "application/json"}),
        ("POST", "/api/fit", 422, {"data": b"\xff\xfe", "content_type": "application/json"}),
        ("POST", "/api/fit", 422, {"data": "[" * 100_000, "content_type": "application/json"}),
        ("POST", "/api/fit", 415, {"data": "{}", "content_type": "text/plain"}),
        ("POST", "/api/fit", 413, {"data": "x" * 600_000, "content_type": "application/json"}),
        ("POST", "/api/fit", 422, {"json": JOB | {"unit": "ell", "patches": []}}),
    ],
)
def test_every_refusal_has_the_one_shape(house: House, method: str, path: str, status: int, more: dict[str, Any]) -> None:
    answer = call(house, method, path, **more)
    assert answer.status_code == status, answer.text
    assert answer.mimetype == "application/problem+json"
    assert answer.get_json().keys() == {"type", "title", "status", "detail", "faults"} and answer.get_json()["status"] == status


def test_all_faults_of_a_job_are_told_with_their_places(house: House) -> None:
    job = JOB | {"patches": [{"width": 0, "length": "zz", "pile": "up"}]}
    told = {fault["where"] for fault in call(house, "POST", "/api/fit", json=job).get_json()["faults"]}
    assert told == {"patches[0].width", "patches[0].length", "patches[0].pile"}


def test_a_job_is_held_cut_and_told_and_a_repeated_request_is_done_once(house: House) -> None:
    once: dict[str, Any] = {"headers": {"Idempotency-Key": "first"}}
    held = call(house, "POST", "/api/jobs?until=2099-06-01", json=JOB, **once)
    told = held.get_json()
    assert held.status_code == 201
    assert [told[key] for key in ("job", "stage", "until", "who")] == ["x", "held", "2099-06-01", "Wim"]
    assert read_answer(json.dumps(told["answer"])).verdict is Verdict.WHOLE
    assert call(house, "POST", "/api/jobs?until=2099-06-01", json=JOB, **once).get_json() == told
    assert [entry["act"] for entry in told_of(house, "O-0007")["entries"]] == ["received", "held"]

    booked = call(house, "POST", "/api/jobs/x/cut", headers={"Idempotency-Key": "second"})
    assert booked.status_code == 200 and booked.get_json()["donors"] == ["O-0007"] and booked.get_json()["waste_mm2"] >= 0
    assert call(house, "POST", "/api/jobs/x/cut", headers={"Idempotency-Key": "second"}).json == booked.json
    assert call(house, "POST", "/api/jobs/x/cut").status_code == 409, "cut already"
    assert call(house, "GET", "/api/jobs/x").get_json()["stage"] == "cut"
    last = told_of(house, "O-0007")["entries"][-1]
    assert (last["act"], last["who"], last["job"]) == ("cut", "Wim", "x")
    for tag in booked.get_json()["offcuts"]:
        assert told_of(house, tag)["cut_from"] == ["O-0007"]


def told_of(house: House, tag: str) -> Any:
    return call(house, "GET", f"/api/pieces/{tag}/history?unit=in").get_json()


def test_what_is_held_is_let_go_again(house: House) -> None:
    assert call(house, "POST", "/api/jobs", json=JOB).status_code == 201
    assert call(house, "POST", "/api/jobs/x/release").json == {"tags": ["O-0007"]}
    assert call(house, "GET", "/api/jobs/x").get_json()["stage"] == "released"
    assert call(house, "POST", "/api/jobs/x/release").status_code == 409


def test_a_second_job_of_a_name_is_refused_until_it_is_said_which_is_meant(house: House) -> None:
    first = call(house, "POST", "/api/jobs", json=JOB).get_json()
    assert first["number"] == "J-0001"
    other = JOB | {"patches": [{"name": "sill", "width": 6, "length": 6, "pile": 0}], "min_part": 1}
    refused = call(house, "POST", "/api/jobs", json=other)
    assert refused.status_code == 409 and "a job is called 'x' already (J-0001, held by Wim" in refused.get_json()["detail"]
    anew = call(house, "POST", "/api/jobs?job=J-0001", json=JOB)
    assert (anew.status_code, anew.get_json()["number"]) == (201, "J-0001")
    assert call(house, "POST", "/api/jobs?again=perhaps", json=other).status_code == 422
    assert call(house, "GET", "/api/jobs/J-0001").get_json() == call(house, "GET", "/api/jobs/x").get_json()


@pytest.mark.parametrize("until", ["soon", "2001-01-01", ""])
def test_a_hold_until_no_day_to_come_is_refused_and_holds_nothing(house: House, until: str) -> None:
    answer = call(house, "POST", f"/api/jobs?until={until}", json=JOB)
    assert (answer.status_code, answer.get_json()["faults"][0]["where"]) == (422, "until")
    assert [entry["act"] for entry in told_of(house, "O-0007")["entries"]] == ["received"]


def test_a_key_that_was_used_for_another_job_is_told(house: House) -> None:
    call(house, "POST", "/api/jobs", json=JOB, headers={"Idempotency-Key": "k"})
    other = call(house, "POST", "/api/jobs", json=JOB | {"job": "y"}, headers={"Idempotency-Key": "k"})
    assert (other.status_code, other.get_json()["faults"][0]["where"]) == (422, "key")


def test_a_key_too_long_to_keep_is_refused_and_nothing_is_done(house: House) -> None:
    answer = call(house, "POST", "/api/jobs", json=JOB, headers={"Idempotency-Key": "k" * 101})
    assert (answer.status_code, answer.get_json()["faults"][0]["where"]) == (422, "Idempotency-Key")
    assert call(house, "GET", "/api/jobs/x").status_code == 404


def test_a_job_that_nothing_fits_holds_nothing(house: House) -> None:
    huge = JOB | {"patches": [{"name": "hall", "width": 400, "length": 400, "pile": 90}]}
    assert call(house, "POST", "/api/jobs", json=huge).status_code == 409
    assert call(house, "GET", "/api/jobs/x").status_code == 404


def test_how_to_ask_from_a_program_tells_every_request_there_is(house: House) -> None:
    page = (Path(__file__).parents[2] / "docs" / "how-to" / "from-a-program.md").read_text(encoding="utf-8")
    told = set(re.findall(r"^\| `(GET|POST) (/api/[^?`]+)", page, flags=re.MULTILINE))
    paths = house.browser().get("/api/openapi.json").get_json()["paths"]
    assert told == {(method.upper(), path) for path, methods in paths.items() for method in methods}


def test_every_request_that_is_served_is_described(house: House) -> None:
    served = {
        (method, re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", rule.rule))
        for rule in house.app.url_map.iter_rules()
        for method in methods_of(rule) - {"HEAD", "OPTIONS"}
        if rule.rule.startswith("/api/") and rule.rule != "/api/openapi.json"
    }
    paths = house.browser().get("/api/openapi.json").get_json()["paths"]
    assert served == {(method.upper(), path) for path, methods in paths.items() for method in methods}


def test_who_may_only_look_changes_no_job_and_learns_no_customer(house: House) -> None:
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        put_customer(catalogue, Customer("K-7", "Ada"), signed=SIGNED)
        move_piece(catalogue, "R-0001", "their attic", customer="K-7", signed=SIGNED)
    told = {name: call(house, "GET", "/api/pieces/R-0001/history", name).get_json()["entries"][-1] for name in ("Wim", "Lou")}
    assert {name: last["what"] for name, last in told.items()} == {"Wim": "to their attic, customer K-7", "Lou": "to their attic"}
    for path in ("/api/jobs/x/cut", "/api/jobs/x/release"):
        assert call(house, "POST", path, "Lou").status_code == 403
    assert call(house, "POST", "/api/jobs", "Lou", json=JOB).status_code == 403


def test_without_a_key_nothing_is_told(house: House) -> None:
    answer = house.browser().get("/api/pieces?words=velder", headers={"Accept": "application/json"})
    assert answer.status_code == 401 and "WWW-Authenticate" in answer.headers


def test_a_key_that_may_only_look_logs_nothing(house: House) -> None:
    assert call(house, "POST", "/api/pieces", "Lou", json=json.loads(STOCK)).status_code == 403


OPERATIONS = ("fit", "propose", "ask", "find", "log", "show", "history", "hold", "job", "cut", "release")


@pytest.mark.parametrize("name", OPERATIONS)
def test_whatever_is_sent_the_answer_is_as_described(house: House, name: str) -> None:
    schema = schemathesis.openapi.from_wsgi("/api/openapi.json", house.app)
    headers = {"Authorization": f"Bearer {house.key_of('Wim')}", "Accept": "application/json"}
    operation = schema.find_operation_by_id(name)

    @settings(max_examples=few(90), deadline=None, suppress_health_check=list(HealthCheck))
    @given(case=operation.as_strategy())
    def holds(case: schemathesis.Case[Any]) -> None:
        case.call_and_validate(headers=headers, checks=list(CHECKS))

    holds()


def test_each_operation_that_is_described_is_tried_so(house: House) -> None:
    paths = call(house, "GET", "/api/openapi.json").get_json()["paths"].values()
    assert {told["operationId"] for path in paths for told in path.values() if "operationId" in told} == set(OPERATIONS)


def test_whoever_asks_the_answer_is_as_described(house: House) -> None:
    """A stranger, a key that nobody has any more, and one that may only look: refused as the description tells."""
    schema = schemathesis.openapi.from_wsgi("/api/openapi.json", house.app)
    looks = house.key_of("Lou", Scope.LOOK)
    keys: dict[str, set[str]] = {"": set(), "of-last-year": set(), looks: {"find", "show", "history", "job"}}
    for name in OPERATIONS:
        for key, may in keys.items():
            refused_as_described(schema.find_operation_by_id(name), key, may_answer=name in may)


def refused_as_described(operation: Any, key: str, *, may_answer: bool) -> None:
    headers = {"Accept": "application/json"} | ({"Authorization": f"Bearer {key}"} if key else {})

    @settings(max_examples=share(3), deadline=None, suppress_health_check=list(HealthCheck))
    @given(case=operation.as_strategy())
    def holds(case: schemathesis.Case[Any]) -> None:
        answer = case.call_and_validate(headers=headers, checks=list(CHECKS))
        assert may_answer or answer.status_code >= 400

    holds()


def test_of_many_faults_a_program_is_told_fifty_and_how_many_more(house: House) -> None:
    bad = {"tag": "x", "kind": "remnant", "style": "Velder", "width": "wide", "length": 1, "pile": 0}
    answer = call(house, "POST", "/api/pieces", json={"unit": "in", "pieces": [bad | {"tag": str(n)} for n in range(5000)]})
    assert answer.status_code == 422 and len(answer.data) < 20_000
    assert len(answer.get_json()["faults"]) == 51
    assert answer.get_json()["faults"][-1] == {"where": "", "what": "and 4,950 more"}


def test_cost_and_supplier_are_told_to_managers_alone_and_a_customer_to_those_who_work(house: House) -> None:
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        bought = a_piece("R-0901", cost=Money(30000, "EUR"), supplier="Invented Mill")
        log_pieces(catalogue, a_stock(bought), signed=SIGNED)
        put_customer(catalogue, Customer("K-7", "Ada"), signed=SIGNED)
        move_piece(catalogue, "R-0901", "their attic", customer="K-7", signed=SIGNED)
    asked = ("cost", "customer", "supplier")
    for name, told in (
        ("Maud", {"300.00 EUR", "K-7", "Invented Mill"}),
        ("Wim", {"K-7"}),
        ("Lou", set()),
    ):
        (shown,) = call(house, "GET", "/api/pieces/R-0901", name).get_json()["pieces"]
        (found,) = call(house, "GET", "/api/pieces?words=R-0901", name).get_json()["pieces"]
        assert {shown[key] for key in asked if key in shown} == told
        assert found == shown
