"""The gate: what is asked from outside is bounded, and what is over a bound is told with it, at every door alike."""

import json
import math
from typing import Any

import pytest

from remnants.errors import BadInput
from remnants.limits import JOB_CHARACTERS, SENT_CORNERS, SENT_PARTS, SENT_PATCHES
from remnants_web.gate import job_sent, rooms_sent
from tests.web.conftest import House

PATCH = {"width": "20 in", "length": "10 in", "pile": 0}
ROOM = {"width": 3, "length": 4}


def a_job(count: int, **changes: Any) -> dict[str, Any]:
    return {"unit": "mm", "style": "Harrow Twist", "patches": [{**PATCH, "count": count, **changes}]}


def rooms(*own: dict[str, Any]) -> dict[str, Any]:
    return {"unit": "m", "roll": {"width": 4}, "rooms": list(own)}


def round_of(corners: int) -> list[list[float]]:
    turns = [math.tau * index / corners for index in range(corners)]
    return [[20_000 * math.cos(turn), 20_000 * math.sin(turn)] for turn in turns]


def many_corners() -> dict[str, Any]:
    """Three patches of 801 corners: 2,403."""
    return {"unit": "mm", "patches": [{"outline": round_of(801), "pile": 0, "count": 3}]}


def test_a_job_of_the_most_patches_and_parts_is_taken() -> None:
    job = job_sent(a_job(SENT_PATCHES, max_parts=SENT_PARTS // SENT_PATCHES))
    assert len(job.patches) == SENT_PATCHES and sum(len(patch.ring) for patch in job.patches) <= SENT_CORNERS


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (a_job(300), "300 patches, and at most 100 are worked out here at once"),
        (a_job(101, max_parts=4), "404 parts to join patches from, and at most 400"),
        (many_corners(), "2,403 corners, and at most 2,000"),
    ],
)
def test_a_job_over_a_bound_is_refused_in_a_sentence_with_the_bound(asked: dict[str, Any], told: str) -> None:
    with pytest.raises(BadInput) as refused:
        job_sent(asked)
    assert any(fault.where == "patches" and fault.what.startswith(told) for fault in refused.value.faults)
    assert "ask in several jobs, or by `remnants fit`" in str(refused.value)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (
            rooms(*[{**ROOM, "name": f"room {number}"} for number in range(101)]),
            "101 rooms and flights of stairs, and at most 100",
        ),
        (
            rooms({"name": "hall", "outline": [[x / 1000, y / 1000] for x, y in round_of(2001)]}),
            "2,001 corners, and at most 2,000",
        ),
    ],
)
def test_an_order_over_a_bound_is_refused_in_a_sentence_with_the_bound(asked: dict[str, Any], told: str) -> None:
    with pytest.raises(BadInput, match=told) as refused:
        rooms_sent(asked)
    assert "ask in several orders, or by `remnants order`" in str(refused.value)


def test_every_door_has_the_gate(house: House) -> None:
    """300 patches at the programs' interface, on the patch page and when an answer is booked; 101 rooms on the order page."""
    headers = {"Authorization": f"Bearer {house.key_of('Wim')}", "Sec-Fetch-Site": "", "Accept": "application/json"}
    told = "at most 100 are worked out here at once"
    for path in ("/api/fit", "/api/jobs"):
        answer = house.browser().post(path, json=a_job(300), headers=headers)
        assert answer.status_code == 422 and told in answer.get_json()["detail"], path
    patches = json.dumps([PATCH] * 300)
    asked = house.browser("Lou").get("/patch/answer", query_string={"style": "Harrow Twist", "patches": patches})
    assert asked.status_code == 422 and told in asked.text
    booked = house.browser("Wim").post("/jobs/hold", data={"job_file": json.dumps(a_job(300) | {"job": "x"}), "key": "1"})
    assert booked.status_code == 422 and told in booked.text
    sent = rooms(*[{**ROOM, "name": f"room {number}"} for number in range(101)])
    ordered = house.browser("Lou").post("/order", data={"rooms_file": json.dumps(sent)})
    assert ordered.status_code == 422 and told in ordered.text


def test_a_job_that_is_too_long_for_a_form_is_refused_with_the_figure(house: House) -> None:
    """Its patches told before were cut off, and then said not to be readable."""
    before = json.dumps([{**PATCH, "name": "x" * JOB_CHARACTERS}])
    asked = {"style": "Harrow Twist", "width": "20", "length": "10", "pile": "0", "patches": before}
    told = house.browser("Wim").get("/patch/answer", query_string=asked)
    assert told.status_code == 422 and "and a page takes 65,536 at most: ask it in two" in told.text
