"""`remnants cut`: a plan booked in one step, once, or refused with what changed."""

import json

from tests.commands import Remnants
from tests.jobs import a_hall, hold


def area(remnants: Remnants, *tags: str) -> float:
    """Usable area of pieces together, square inches."""
    total = 0.0
    for tag in tags:
        (piece,) = json.loads(remnants.ok("show", tag, "--json", "--unit", "in"))["pieces"]
        if "width" in piece:
            total += piece["width"] * piece["length"]
        else:
            ring = piece["outline"]
            total += sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)) / 2
    return total


def test_the_donor_shrinks_and_the_ledger_remembers(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--width", "60", "--length", "90")
    hold(remnants, "Alder Court 7")
    assert "still there, smaller: R-1" in remnants.ok("cut", "Alder Court 7", "--by", "Ana")
    assert area(remnants, "R-1") == 60 * 90 - 14 * 32
    life = remnants.ok("history", "R-1")
    assert [line.split()[3] for line in life.splitlines()[1:4]] == ["received", "held", "cut"]
    assert "Ana" in life


def test_leftovers_that_come_apart_get_tags_and_areas_add_up(remnants: Remnants) -> None:
    # A 24 in wide part across the middle third of a 24 in wide piece: nothing else fits between the cutouts.
    remnants.log("--tag", "R-1", "--width", "32", "--length", "74")
    job = a_hall(remnants, "Alder Court 7", width=30, length=12, pile=0, motif=[0, 0])
    remnants.ok("cut", job, "--yes")
    shown = remnants.ok("history", "R-1")
    assert "cut" in shown
    assert area(remnants, "R-1") == 32 * 74 - 32 * 14


def test_a_donor_without_anything_worth_keeping_is_used_up(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--width", "16", "--length", "34")
    hold(remnants, "Alder Court 7")
    done = remnants.ok("cut", "Alder Court 7")
    assert "used up: R-1" in done
    assert "waste: 0.7 ft²" in done  # (16 x 34 - 14 x 32) / 144 = 0.67
    assert "nothing in the catalogue" in remnants.ok("find", "velder")
    assert "used up" in remnants.ok("show", "R-1")


def test_a_leftover_that_small_repairs_are_cut_from_stays_in_stock(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--width", "53", "--length", "32")  # 14 x 32 are cut off it: 39 x 32 stay
    hold(remnants, "Alder Court 7")
    assert "still there, smaller: R-1" in remnants.ok("cut", "Alder Court 7")
    assert area(remnants, "R-1") == 39 * 32
    remnants.log("--tag", "R-2", "--style", "Fell Twist", "--width", "26", "--length", "32")
    job = a_hall(remnants, "Fir Lane 2", style="fell twist")
    assert "still there, smaller: R-2" in remnants.ok("cut", job, "--yes")  # 12 x 32 in


def test_a_person_keeps_what_the_rule_calls_waste_and_throws_away_what_it_keeps(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--width", "14", "--length", "74")
    job = a_hall(remnants, "Alder Court 7", pile=90)  # 14 x 32 in are cut: 14 x 42 in stay
    told = remnants.ok("cut", job, "--yes", "--discard", "R-1")
    assert "used up: R-1" in told
    assert "waste: 4.1 ft²" in told  # 14 x 42 / 144
    remnants.log("--tag", "R-2", "--width", "14", "--length", "40")
    hold(remnants, "Fir Lane 2")
    assert "still there, smaller: R-2" in remnants.ok("cut", "Fir Lane 2", "--keep", "all")  # 14 x 8 in
    assert area(remnants, "R-2") == 14 * 8


def test_a_leftover_that_is_none_is_told_with_those_there_are(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--width", "60", "--length", "90")
    hold(remnants, "Alder Court 7")
    told = remnants.refused("cut", "Alder Court 7", "--keep", "R-9", "--discard", "R-1", "--keep", "R-1", code=2)
    assert "no leftover is called 'R-9': the leftovers are R-1" in told
    assert "'R-1' can't be both kept and thrown away" in told
    assert " cut " not in remnants.ok("history", "R-1")


def test_a_job_is_cut_once(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    hold(remnants, "Alder Court 7")
    first = remnants.ok("cut", "Alder Court 7", "--key", "k1", "--by", "Ana")
    assert remnants.ok("cut", "Alder Court 7", "--key", "k1", "--by", "Ana") == first
    assert "was cut already by Ana" in remnants.refused("cut", "Alder Court 7", "--by", "Bo", code=1)
    assert "used for another request" in remnants.refused("undo", "R-1", "--key", "k1", code=2)
    assert remnants.ok("history", "R-1").count(" cut ") == 1


def test_stock_that_changed_since_the_plan_is_told_and_nothing_is_booked(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    hold(remnants, "Alder Court 7")
    remnants.ok("undo", "R-1", "--by", "Cy")
    told = remnants.refused("cut", "Alder Court 7", code=1)
    assert "R-1 was undone by Cy" in told
    assert "Fit the job anew" in told
    assert " cut " not in remnants.ok("history", "R-1")


def test_moving_a_donor_does_not_spoil_the_plan(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    hold(remnants, "Alder Court 7")
    remnants.ok("move", "R-1", "Bay 9")
    remnants.ok("cut", "Alder Court 7")


def test_a_job_file_is_booked_only_after_a_yes(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    job = a_hall(remnants, "Alder Court 7")
    done = remnants("cut", job)
    assert done.code == 2
    assert "give --yes" in done.err
    assert "cut: R-1" in remnants.ok("cut", job, "--yes")


def test_an_unknown_job_is_told_with_those_there_are(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    hold(remnants, "Alder Court 7")
    assert "no job 'Alder'" in remnants.refused("cut", "Alder", code=1)
