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
    assert passed_over(remnants, "Fir Lane 2") == {"R-1": "held for another job until 1 Jun 2131"}
    assert passed_over(remnants, "Alder Court 7") == {}
    assert "held for Alder Court 7 until 1 Jun 2131" in remnants.ok("show", "R-1")


def test_a_hold_that_ended_binds_nobody(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    hold(remnants, "Alder Court 7", "--until", "2021-06-01")
    assert passed_over(remnants, "Fir Lane 2") == {}
    hold(remnants, "Fir Lane 2")
    told = remnants.refused("cut", "Alder Court 7", "--by", "Ana", code=1)
    assert "R-1 was held by Bo for Fir Lane 2 on" in told


def test_a_lapsed_hold_is_told_nowhere_as_one_and_stands_in_nobodys_way(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--place", "Bay 4")
    hold(remnants, "Alder Court 7", "--until", "2021-06-01")
    for told in (remnants.ok("show", "R-1"), remnants.ok("find", "velder"), remnants.ok("count", "Bay 4", "R-1", "--yes")):
        assert "held" not in told
    assert "R-1 is in stock" in remnants.ok("history", "R-1")
    remnants.ok("move", "R-1", "Bay 5")
    assert "R-1 is discarded" in remnants.ok("discard", "R-1")


def test_what_is_held_is_not_discarded_before_the_hold_is_let_go(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    hold(remnants, "Alder Court 7", "--until", "2131-06-01")
    told = remnants.refused("discard", "R-1", code=1)
    assert "R-1 is held for Alder Court 7 until 1 Jun 2131 (by Bo" in told
    assert "can't be discarded; let the hold go first" in told
    remnants.ok("release", "Alder Court 7")
    remnants.ok("discard", "R-1")


def test_nor_is_a_held_piece_that_is_missing(remnants: Remnants) -> None:
    for tag in ("R-1", "R-2"):
        remnants.log("--tag", tag, "--place", "Bay 4")
    hold(remnants, "Alder Court 7", "--until", "2131-06-01")
    remnants.ok("count", "Bay 4", "R-2", "--yes")
    told = remnants.refused("discard", "R-1", code=1)
    assert "R-1 is missing and held for Alder Court 7 until 1 Jun 2131: let the hold go first" in told


def test_a_job_whose_hold_lapsed_is_cut_while_its_pieces_are_free_and_that_is_told(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    hold(remnants, "Alder Court 7", "--until", "2021-06-01")
    told = remnants.ok("cut", "Alder Court 7", "--by", "Ana")
    assert told.startswith("the hold lapsed on 1 Jun 2021; the pieces were still free\ncut: R-1\n")
    assert [line.split()[3] for line in remnants.ok("history", "R-1").splitlines()[1:5]] == ["received", "held", "held", "cut"]


def test_a_job_whose_hold_lapsed_is_not_cut_where_somebody_took_a_piece(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    hold(remnants, "Alder Court 7", "--until", "2021-06-01")
    hold(remnants, "Fir Lane 2")
    told = remnants.refused("cut", "Alder Court 7", "--by", "Ana", code=1)
    assert "the hold lapsed on 1 Jun 2021, and the stock is not as the plan" in told
    assert "R-1 was held by Bo for Fir Lane 2 on" in told
    assert "held for Fir Lane 2" in remnants.ok("show", "R-1")


def test_holding_again_makes_the_plan_anew_and_lets_go_of_what_it_no_longer_needs(remnants: Remnants) -> None:
    remnants.log("--tag", "R-2", "--width", "60")
    hold(remnants, "Alder Court 7")
    remnants.log("--tag", "R-1", "--width", "14", "--length", "32")  # a scrap that fits exactly spoils less
    assert "R-1" in hold(remnants, "Alder Court 7", "--job", "J-0001")
    assert "held" not in remnants.ok("show", "R-2")


def test_a_second_job_of_a_name_is_refused_until_it_is_said_which_is_meant(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    remnants.log("--tag", "R-2")
    told = hold(remnants, "Alder Court 7", "--until", "2131-06-01")
    assert "held for Alder Court 7 (J-0001) until 1 Jun 2131: R-1" in told
    refused = remnants.refused("hold", a_hall(remnants, "Alder Court 7"), "--by", "Cy", code=1)
    assert "a job is called 'Alder Court 7' already (J-0001, held by Bo on" in refused
    assert "give --job J-0001 to plan that one anew, or --again for another job of that name" in refused
    told = hold(remnants, "Alder Court 7", "--again", "--until", "2131-07-01")
    assert "held for Alder Court 7 (J-0002) (J-0002)" not in told
    assert "held for Alder Court 7 (J-0002) until 1 Jul 2131: R-2" in told
    assert "held for Alder Court 7 until 1 Jun 2131" in remnants.ok("show", "R-1"), "the first lets go of nothing"
    assert "held for Alder Court 7 (J-0002) until 1 Jul 2131" in remnants.ok("show", "R-2")
    assert "FAULTS" not in remnants.ok("verify")


def test_a_name_that_several_jobs_have_is_told_with_their_numbers(remnants: Remnants) -> None:
    for tag in ("R-1", "R-2"):
        remnants.log("--tag", tag)
        hold(remnants, "Alder Court 7", *([] if tag == "R-1" else ["--again"]))
    for command in ("cut", "release"):
        told = remnants.refused(command, "Alder Court 7", code=1)
        assert "2 jobs are called 'Alder Court 7': J-0001, held by Bo on" in told
        assert "Give the number of the one you mean" in told
    assert "released: R-2" in remnants.ok("release", "j-2")
    assert "cut: R-1" in remnants.ok("cut", "J-0001")
    assert "R-1" in remnants.ok("show", "R-1")


def test_only_a_job_of_the_same_name_that_is_not_cut_is_planned_anew(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    remnants.log("--tag", "R-2")
    hold(remnants, "Alder Court 7")
    assert "J-0001 is called 'Alder Court 7'" in remnants.refused("hold", a_hall(remnants, "Fir"), "--job", "J-1", code=2)
    assert "no job 'J-7'" in remnants.refused("hold", a_hall(remnants, "Fir"), "--job", "J-7", code=1)
    assert "not both" in remnants.refused("hold", a_hall(remnants, "Fir"), "--job", "J-1", "--again", code=2)
    remnants.ok("cut", "J-0001")
    told = remnants.refused("hold", a_hall(remnants, "Alder Court 7"), "--job", "J-0001", code=1)
    assert "J-0001, cut by" in told


def test_nothing_is_held_where_nothing_can_be_made(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--width", "5", "--length", "5")
    assert "nothing to hold" in remnants.refused("hold", a_hall(remnants, "Alder Court 7"), code=1)
    assert "no date" in remnants.refused("hold", "job.json", "--until", "soon", code=2)
