"""`remnants send`: pieces leave for another branch or a van."""

import json
from pathlib import Path

import pytest

from remnants.actions import open_catalogue
from remnants.actions.transfers import place_at
from remnants.errors import BadInput
from remnants.model.branches import Branch, Branches, Van
from tests.commands import Remnants
from tests.jobs import hold

JOB = {
    "unit": "in",
    "job": "Alder Court 7",
    "style": "Velder Loop",
    "patches": [{"name": "hall", "width": 30, "length": 40, "pile": 0, "edges": "free"}],
}


def shop(remnants: Remnants) -> None:
    """South with R-1 and R-2, North with N-1, and Van 3 of North."""
    remnants.log("--tag", "R-1", "--place", "Bay 3")
    remnants.log("--tag", "R-2", "--place", "Bay 3")
    remnants.log("--tag", "N-1", "--place", "North Bay 1")
    remnants.ok("branch", "South", "--new")
    remnants.ok("branch", "North", "--new", "--away", "South", "40 km")
    remnants.ok("van", "Van 3", "--with", "Ana", "--of", "North")


def test_what_is_sent_lies_nowhere_and_is_not_planned_with(remnants: Remnants) -> None:
    shop(remnants)
    job = remnants.file("job.json", JOB)
    assert "YES, in one piece" in remnants.ok("fit", job)
    told = remnants.ok("send", "R-1", "r-2", "--to", "north", "--expected", "2999-06-03", "--by", "Ana")
    assert told.splitlines()[0].startswith("R-1 is on the way from South to North, sent by Ana on ")
    assert told.count("expected 3 Jun 2999") == 2
    remnants.ok("send", "N-1", "--to", "Van 3", "--by", "Ana")
    assert "NO" in remnants.ok("fit", job)
    assert "sent from South to North, expected 3 Jun 2999" in " ".join(remnants.ok("history", "R-1").split())
    assert "on the way from South to North" in " ".join(remnants.ok("show", "R-1").split())
    found = " ".join(remnants.ok("find", "veldr", "loop").split())
    assert found.startswith("nothing in the catalogue") and "On the way, not to be cut until it is taken in: tag" in found
    assert "R-1" in found and "on the way from South to North, sent by Ana on" in found
    answer = remnants("fit", job)
    told = " ".join((answer.out + answer.err).split())
    assert "R-1 matches, and is on the way from South to North" in told and "it may be cut once it is taken in" in told
    assert "N-1 matches, and is on the way from North to Van 3" in told
    other = remnants.file("other.json", JOB | {"style": "Fell Twist"})
    assert "on the way" not in remnants("fit", other).out + remnants("fit", other).err
    told = json.loads(Path(exported(remnants)).read_text(encoding="utf-8"))
    assert "R-1" not in json.dumps(told["pieces"])
    assert told["on_the_way"][0]["piece"]["tag"] == "N-1" and told["vans"] == [
        {"name": "Van 3", "custodian": "Ana", "branch": "North"}
    ]
    assert "all is well" in remnants.ok("verify")


def exported(remnants: Remnants) -> Path:
    """The stock on hand in a file."""
    path = remnants.folder / "out.json"
    remnants.ok("export", path)
    return path


def test_a_held_piece_is_sent_for_its_job_and_cut_once_it_is_there(remnants: Remnants) -> None:
    remnants.ok("branch", "South", "--new")
    remnants.ok("branch", "North", "--new")
    remnants.log("--tag", "R-1", "--place", "Bay 3")
    hold(remnants, "Alder Court 7")
    assert "it is sent for that job only" in remnants.refused("send", "R-1", "--to", "North", code=1)
    remnants.ok("send", "R-1", "--to", "North", "--for", "Alder Court 7")
    assert "R-1 is on the way from South to North" in remnants.refused("cut", "Alder Court 7", code=1)
    remnants.ok("take-in", "R-1")
    assert "R-1" in remnants.ok("cut", "Alder Court 7")
    assert "all is well" in remnants.ok("verify")


def test_all_that_can_not_be_sent_is_told_at_once_and_none_goes(remnants: Remnants) -> None:
    shop(remnants)
    remnants.log("--tag", "K-1", "--place", "attic", "--kind", "kept")
    told = remnants.refused("send", "R-1", "N-1", "K-1", "R-9", "--to", "North", code=1)
    assert "N-1 lies at North already" in told and "K-1 is with a customer" in told and "'R-9'" in told
    assert "nothing is on the way" in remnants.ok("on-the-way")
    assert "no branch and no van is called 'East'" in remnants.refused("send", "R-1", "--to", "East", code=2)
    assert "1 Jan 2020 is past" in remnants.refused("send", "R-1", "--to", "North", "--expected", "2020-01-01", code=2)
    assert "name at least one piece" in remnants.refused("send", " ", "--to", "North", code=2)
    remnants.ok("send", "R-1", "--to", "North")
    assert "it can't be sent" in remnants.refused("send", "R-1", "--to", "South", code=1)
    assert "1 piece is on the way to North" in remnants.refused("branch", "North", "--close", code=1)


def test_it_is_taken_back_by_undo_and_sent_once_by_a_key(remnants: Remnants) -> None:
    shop(remnants)
    before = remnants.ok("show", "R-1")
    for _ in range(2):
        remnants.ok("send", "R-1", "--to", "North", "--key", "k1")
    remnants.ok("undo", "R-1")
    assert [line for line in remnants.ok("show", "R-1").splitlines() if "place" in line] == [
        line for line in before.splitlines() if "place" in line
    ]
    assert "nothing is on the way" in remnants.ok("on-the-way")


def test_a_shop_with_vans_alone_sends_into_them(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--place", "Bay 3")
    remnants.ok("van", "Van 3", "--with", "Ana")
    assert "R-1 is on the way to Van 3, sent by" in remnants.ok("send", "R-1", "--to", "Van 3")
    assert "R-1 is at Van 3 now" in remnants.ok("take-in", "R-1")


@pytest.mark.parametrize(
    ("goal", "place", "told"),
    [
        ("North", "", "North"),
        ("North", "Bay 3", "North Bay 3"),
        ("North", "north bay 3", "north bay 3"),
        ("North", "Unit 12 rack 4", "Unit 12 rack 4"),
        ("South", "Bay 3", "Bay 3"),  # the first branch has every place that is nobody's
        ("Van 3", "left shelf", "Van 3 left shelf"),
        ("Old North", "Bay 3", "Old North Bay 3"),  # as it was called when the piece was sent
        ("Old North", "North Bay 3", "North Bay 3"),
    ],
)
def test_a_place_is_told_as_it_is_called_where_the_piece_went(goal: str, place: str, told: str) -> None:
    found = Branches((Branch("South"), Branch("North", ("Unit 12", "Old North"))), (Van("Van 3", "Ana", "North"),))
    assert place_at(found, goal, place) == told
    with pytest.raises(BadInput, match="is a place of"):
        place_at(found, goal, "South Bay 3" if goal != "South" else "North Bay 3")


def test_the_catalogue_is_read_as_before_by_who_never_sends(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--place", "Bay 3")
    with open_catalogue(remnants.catalogue, write=False) as catalogue:
        row = next(iter(catalogue.query("SELECT * FROM piece")))
    assert {row[name] for name in row if name.startswith("way_")} == {None}
