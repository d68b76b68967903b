"""The programs' interface: described, held to its description, refusing in one shape."""

import json

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from remnants.exchange import read_answer, read_stock
from remnants.model import Verdict
from tests.web.conftest import House
from tests.web.stock import STOCK

JOB = {"unit": "in", "job": "x", "style": "Harrow Twist", "patches": [{"name": "hall", "width": 40, "length": 14, "pile": 90}]}
CHECKS = (not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance)


def call(house: House, method: str, path: str, name: str = "Wim", **more):
    headers = {"Sec-Fetch-Site": "", "Accept": "application/json", "Authorization": f"Bearer {house.key_of(name)}"}
    return house.browser().open(path, method=method, headers=headers, **more)


def test_a_job_file_gets_an_answer_file(house: House) -> None:
    answer = call(house, "POST", "/api/fit", json=JOB)
    assert answer.status_code == 200
    assert read_answer(answer.text).verdict is Verdict.WHOLE
    assert answer.json["patches"][0]["parts"][0]["piece"] == "O-0007"


def test_pieces_are_logged_found_and_shown_as_stock_files(house: House) -> None:
    new = json.loads(STOCK) | {
        "pieces": [{"tag": "R-0100", "kind": "remnant", "style": "New Fell", "width": 40, "length": 50, "pile": 0}]
    }
    made = call(house, "POST", "/api/pieces", json=new)
    assert (made.status_code, made.json) == (201, {"tags": ["R-0100"]})
    assert read_stock(call(house, "GET", "/api/pieces?words=new+fell&unit=in").text).pieces[0].tag == "R-0100"
    shown = call(house, "GET", "/api/pieces/R-0100?unit=in").json
    assert (shown["unit"], shown["pieces"][0]["width"]) == ("in", 40)
    again = call(house, "POST", "/api/pieces", json=new)
    assert again.status_code == 422 and again.json["faults"][0]["where"] == "pieces[0].tag"


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
def test_every_refusal_has_the_one_shape(house: House, method: str, path: str, status: int, more: dict) -> None:
    answer = call(house, method, path, **more)
    assert answer.status_code == status, answer.text
    assert answer.mimetype == "application/problem+json"
    assert answer.json.keys() == {"type", "title", "status", "detail", "faults"} and answer.json["status"] == status


def test_all_faults_of_a_job_are_told_with_their_places(house: House) -> None:
    job = JOB | {"patches": [{"width": 0, "length": "zz", "pile": "up"}]}
    told = {fault["where"] for fault in call(house, "POST", "/api/fit", json=job).json["faults"]}
    assert told == {"patches[0].width", "patches[0].length", "patches[0].pile"}


def test_without_a_key_nothing_is_told(house: House) -> None:
    answer = house.browser().get("/api/pieces?words=velder", headers={"Accept": "application/json"})
    assert answer.status_code == 401 and "WWW-Authenticate" in answer.headers


def test_a_key_that_may_only_look_logs_nothing(house: House) -> None:
    assert call(house, "POST", "/api/pieces", "Lou", json=json.loads(STOCK)).status_code == 403


@pytest.mark.parametrize("name", ["fit", "find", "log", "show"])
def test_whatever_is_sent_the_answer_is_as_described(house: House, name: str) -> None:
    schema = schemathesis.openapi.from_wsgi("/api/openapi.json", house.app)
    headers = {"Authorization": f"Bearer {house.key_of('Wim')}", "Accept": "application/json"}
    operation = schema.find_operation_by_id(name)

    @settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
    @given(case=operation.as_strategy())
    def holds(case: schemathesis.Case) -> None:
        case.call_and_validate(headers=headers, checks=list(CHECKS))

    holds()
