"""`remnants hold`: a plan's donors kept for its job."""

import json

from tests.commands import Remnants
from tests.jobs import a_hall, hold


def passed_over(remnants: Remnants, job: str) -> dict[str, str]:
    answer = json.loads(remnants.ok("fit", a_hall(remnants, job), "--json"))
    return {passed["piece"]: passed["reason"] for passed in answer["passed_over"]}


def test_other_jobs_pass_over_what_is_held_and_say_so(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    hold(remnants, "Alder Court 7", "--until", "2131-06-01")
    assert passed_over(remnants, "Fir Lane 2") == {"R-1": "held for another job until 2131-06-01"}
    assert passed_over(remnants, "Alder Court 7") == {}
    assert "held for Alder Court 7 until 2131-06-01" in remnants.ok("show", "R-1")


def test_a_hold_that_ended_binds_nobody(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    hold(remnants, "Alder Court 7", "--until", "2021-06-01")
    assert passed_over(remnants, "Fir Lane 2") == {}
    hold(remnants, "Fir Lane 2")
    told = remnants.refused("cut", "Alder Court 7", "--by", "Ana", code=1)
    assert "R-1 was held by Bo for Fir Lane 2 on" in told


def test_holding_again_makes_the_plan_anew_and_lets_go_of_what_it_no_longer_needs(remnants: Remnants) -> None:
    remnants.log("--tag", "R-2", "--width", "60")
    hold(remnants, "Alder Court 7")
    remnants.log("--tag", "R-1", "--width", "14", "--length", "32")  # a scrap that fits exactly spoils less
    assert "R-1" in hold(remnants, "Alder Court 7")
    assert "held" not in remnants.ok("show", "R-2")


def test_nothing_is_held_where_nothing_can_be_made(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--width", "5", "--length", "5")
    assert "nothing to hold" in remnants.refused("hold", a_hall(remnants, "Alder Court 7"), code=1)
    assert "no date" in remnants.refused("hold", "job.json", "--until", "soon", code=2)
