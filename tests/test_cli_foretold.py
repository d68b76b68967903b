"""`remnants foretold`: how well repairs come out as they were foretold."""

import json

from remnants.model.look import LookBy, LookKind
from remnants.model.tally import Foretold, Tally
from remnants.report.look_text import foretold_lines
from tests.commands import Remnants
from tests.jobs import a_hall


def test_nothing_is_told_before_anybody_looked(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    remnants.ok("cut", a_hall(remnants, "Alder Court 7"), "--yes")
    assert remnants.ok("foretold").startswith("Nobody has told yet what is seen of a repair; 1 job is cut.")


def test_each_kind_is_told_with_its_count_and_names_nobody(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--lot", "8")
    remnants.ok("cut", a_hall(remnants, "Alder Court 7"), "--yes", "--by", "Bo")
    for number in ("1", "2"):
        remnants.ok("look-back", "J-0001", number, "plain", "--by", "Wim")
    told = remnants.ok("foretold")
    assert "Looked at in 1 of 1 jobs that are cut." in told
    assert "Shades, by eye: 1 looked at, 1 as foretold, 0 better, 0 worse." in told
    assert "Seams with the floor, by eye: 1 looked at, 0 as foretold, 0 better, 1 worse." in told
    assert not {"Alder", "Wim", "Bo", "R-1"} & set(told.replace(",", " ").split())
    figures = json.loads(remnants.ok("foretold", "--json"))
    counts = {"looked_at": 1, "as_foretold": 0, "better": 0, "worse": 1, "foretold_from_to": 0}
    assert (figures["jobs"], figures["cut_jobs"]) == (1, 1)
    assert figures["kinds"][0] == {"kind": "seam with the floor", "by": "eye", "share": [0.0, 0.793]} | counts


def test_few_are_told_to_say_little_and_many_are_not() -> None:
    """Of 40, 30 as foretold: by Wilson's interval (n + z² = 43.84) from 0.598 to 0.858."""
    few, many = (Tally(LookKind.FLOOR_SEAM, LookBy.EYE, *counts, loose=0) for counts in ((2, 1, 0), (30, 4, 6)))
    lines = foretold_lines(Foretold((few, many), 9, 20))
    assert lines[0] == "Looked at in 9 of 20 jobs that are cut."
    told = "2 as foretold, 1 better, 0 worse. By that, between 21 and 94 of 100 come as foretold. Fewer than 30 say little."
    assert lines[1].endswith(f": 3 looked at, {told}")
    told = "30 as foretold, 4 better, 6 worse. By that, between 60 and 86 of 100 come as foretold."
    assert lines[2].endswith(f": 40 looked at, {told}")
