"""`remnants branch`: the shop's branches, put in, told anew, closed, listed."""

import pytest

from remnants.actions import open_catalogue
from remnants.actions.branches import branches_of
from remnants.model import Person, Role
from remnants.model.branches import Branches
from remnants.store import people
from tests.commands import Remnants


def plain(told: str) -> str:
    """A table without its columns."""
    return " ".join(told.split())


def there(remnants: Remnants) -> Branches:
    """What the catalogue holds of branches."""
    with open_catalogue(remnants.catalogue, write=False) as catalogue:
        return branches_of(catalogue)


def test_a_second_branch_is_opened_and_nothing_is_typed_anew(remnants: Remnants) -> None:
    """What lay at the shop lies at its first branch; K-1, with a customer, lies at none."""
    remnants.log("--tag", "R-1", "--place", "Bay 3")
    remnants.log("--tag", "K-1", "--place", "Alder Court 7, attic", "--kind", "kept")
    remnants.ok("branch", "South", "--new")
    assert "branch North is stored" in remnants.ok("branch", "North", "--new", "--places", "Unit 12", "--away", "South", "40 km")
    remnants.log("--tag", "R-2", "--place", "North Bay 3")
    remnants.log("--tag", "R-3", "--place", "unit 12 rack 4")
    told = plain(remnants.ok("branch"))
    assert "South 1 South, anything that is nobody's North 40 km" in told
    assert "North 2 North, Unit 12 South 40 km" in told


def test_two_branches_alike_are_refused_in_one_line(remnants: Remnants) -> None:
    remnants.ok("branch", "North", "--new")
    told = remnants.refused("branch", "  NORTH ", "--new", code=2)
    assert told == (
        "remnants: name: 'NORTH' is the branch North already; two that are read alike would be mixed up, so take another\n"
    )
    assert "is the branch North already" in remnants.refused("branch", "Ｎorth", "--new", code=2)  # a wide N
    remnants.ok("van", "Van 3", "--with", "Ana")
    assert "'van 3' is the van Van 3 already" in remnants.refused("branch", "van 3", "--new", code=2)


def test_all_that_is_wrong_is_told_at_once_and_nothing_changes(remnants: Remnants) -> None:
    remnants.ok("branch", "South", "--new", "--places", "Bay")
    told = remnants.refused("branch", "North", "--new", "--places", "bay", "--places", " ", "--away", "East", "3 km", code=2)
    assert "--places: 'bay' is the branch South already" in told
    assert "--places: it needs words that somebody can read" in told
    assert "--away: no other branch is called 'East'" in told
    assert "'far' is no distance" in remnants.refused("branch", "North", "--new", "--away", "South", "far", code=2)
    assert "--away: no other branch is called 'North'" in remnants.refused(
        "branch", "North", "--new", "--away", "North", "1", code=2
    )
    assert "has 81 characters" in remnants.refused("branch", "N" * 81, "--new", code=2)
    assert [branch.name for branch in there(remnants).branches] == ["South"]


def test_a_name_that_is_no_branchs_is_no_new_branch(remnants: Remnants) -> None:
    remnants.ok("branch", "South", "--new")
    assert "no branch is called 'Soth'" in remnants.refused("branch", "Soth", "--places", "Bay", code=1)
    assert "say what to do" in remnants.refused("branch", "South", code=2)
    assert "say which branch is meant" in remnants.refused("branch", "--new", code=2)
    assert "goes with nothing else" in remnants.refused("branch", "South", "--close", "--new", code=2)


def test_a_branch_that_is_called_otherwise_keeps_its_places(remnants: Remnants) -> None:
    remnants.ok("branch", "South", "--new")
    remnants.ok("branch", "North", "--new", "--places", "North Side")
    remnants.log("--tag", "R-2", "--place", "North Bay 3")
    assert "branch North Side is stored" in remnants.ok("branch", "north", "--call", "North Side")
    assert there(remnants).branch_of("North Bay 3") == there(remnants).branch_of("North Side Bay 3") == "North Side"
    assert "'South' is the branch South already" in remnants.refused("branch", "North Side", "--call", "South", code=2)


def test_a_branch_is_closed_when_nothing_lies_there(remnants: Remnants) -> None:
    remnants.ok("branch", "South", "--new")
    remnants.ok("branch", "North", "--new", "--away", "South", "40")
    remnants.ok("van", "Van 3", "--with", "Ana", "--of", "North")
    remnants.log("--tag", "R-2", "--place", "North Bay 3")
    assert "1 piece lies at North; send or move what is there first" in remnants.refused("branch", "North", "--close", code=1)
    assert "South has every place that no other branch has, so it is closed last" in remnants.refused(
        "branch", "South", "--close", code=1
    )
    remnants.ok("move", "R-2", "Bay 3")
    assert "North is closed" in remnants.ok("branch", "north", "--close")
    assert "no branch is called 'North'" in remnants.refused("branch", "North", "--close", code=1)
    assert there(remnants).branch_of("Van 3") == "South"
    assert "South is closed" in remnants.ok("branch", "South", "--close")
    assert "no branches" in remnants.ok("branch")
    assert not there(remnants).branches


def test_a_key_puts_it_in_once_and_verify_and_backup_carry_it(remnants: Remnants) -> None:
    remnants.ok("branch", "South", "--new", "--key", "k1")
    remnants.ok("branch", "South", "--new", "--key", "k1")
    remnants.ok("branch", "North", "--new", "--away", "South", "25 miles")
    remnants.log("--tag", "R-1", "--place", "Bay 3")
    before = there(remnants)
    assert "all is well" in remnants.ok("verify")
    remnants.ok("backup", remnants.folder / "copy.db")
    remnants.ok("branch", "North", "--close")
    remnants.ok("restore", remnants.folder / "copy.db", "--yes", "--older")
    assert there(remnants) == before


def test_a_fit_asks_its_own_branch_first(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    remnants.ok("branch", "South", "--new")
    remnants.ok("branch", "North", "--new", "--away", "South", "40 km")
    remnants.log("--tag", "A-1", "--place", "North Bay 3")
    remnants.log("--tag", "B-1", "--place", "Bay 3")
    patch = {"name": "hall", "width": 30, "length": 40, "pile": 0, "edges": "free"}
    job = remnants.file("job.json", {"unit": "in", "job": "Alder Court 7", "style": "Velder Loop", "patches": [patch]})
    assert "B-1 (Bay 3) makes it" in remnants.ok("fit", job, "--branch", "South")
    assert "A-1 (North Bay 3) makes it" in remnants.ok("fit", job, "--branch", "north")
    monkeypatch.setenv("REMNANTS_BRANCH", "South")
    told = remnants("fit", job, "--avoid", "B-1")
    assert "A-1 (North Bay 3) makes it" in told.out and "fetched from North, 40 km: A-1" in told.out + told.err
    assert "branch: no branch and no van is called 'East'" in remnants.refused("fit", job, "--branch", "East", code=2)


def test_somebody_is_given_a_role_at_a_branch(remnants: Remnants) -> None:
    remnants.ok("branch", "South", "--new")
    remnants.ok("branch", "North", "--new")
    remnants.log("--tag", "R-1", "--place", "Bay 3")
    with open_catalogue(remnants.catalogue, write=True) as catalogue:
        people.add_person(catalogue, Person("Ana", Role.WORK))
    assert "people" not in remnants.ok("branch")
    assert "Ana may work at North" in remnants.ok("branch", "north", "--person", "ana", "--may", "work")
    assert "Ana may work" in remnants.ok("branch")
    assert "Ana may look at what lies at South" in remnants.refused("discard", "R-1", "--by", "Ana", code=1)
    assert "nobody here is called 'Bo'" in remnants.refused("branch", "North", "--person", "Bo", "--may", "look", code=1)
    assert "and with nothing else" in remnants.refused("branch", "North", "--person", "Ana", code=2)
    assert "has no role of their own" in remnants.ok("branch", "North", "--person", "Ana", "--may", "nothing")
    remnants.ok("discard", "R-1", "--by", "Ana")


def test_a_shop_without_branches_sees_no_new_word(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--place", "Bay 3")
    for words in (("show", "R-1"), ("find", "velder"), ("history", "R-1"), ("export", "--format", "json"), ("age",)):
        assert "branch" not in remnants(*words).out
