"""`remnants verify`: soundness, replay and balance."""

import sqlite3

import pytest

from tests.commands import Remnants
from tests.jobs import a_hall, hold


@pytest.fixture
def remnants(remnants: Remnants) -> Remnants:
    holes = ["--cutout", "0,40", "30,40", "30,41", "0,41"]
    remnants.log("--tag", "R-1", "--width", "30", "--length", "116", *holes)
    remnants.log("--tag", "R-2")
    hold(remnants, "Fir Lane 2")
    remnants.ok("cut", a_hall(remnants, "Alder Court 7", length=28), "--yes")
    remnants.ok("undo", "R-1")
    remnants.ok("cut", a_hall(remnants, "Alder Court 7", length=28), "--yes")
    remnants.ok("count", "", "R-2", "--yes")
    return remnants


def test_a_sound_catalogue_is_told_so(remnants: Remnants) -> None:
    assert "all is well" in remnants.ok("verify")


@pytest.mark.parametrize(
    ("harm", "told"),
    [
        ("UPDATE piece SET worn = 3 WHERE tag = 'R-2'", "piece R-2: wear is 3; by its entries it should be 0"),
        ("UPDATE entry SET facts = json_set(facts, '$.waste_mm2', 1e6) WHERE act = 'cut'", "are neither taken, left nor waste"),
        ("DELETE FROM entry WHERE act = 'received' AND tag = 'R-2'", "don't follow from one another"),
        ("DELETE FROM entry WHERE tag = 'R-2'", "piece R-2: has no entries: nothing says where it came from"),
        ("UPDATE piece SET style = 'nobody'", "piece R-2: refers to the style 'nobody', which is not there"),
    ],
)
def test_what_was_changed_behind_the_ledger_is_found(remnants: Remnants, harm: str, told: str) -> None:
    with sqlite3.connect(remnants.catalogue) as behind:
        behind.executescript("DROP TRIGGER entries_stay; DROP TRIGGER entries_stand;")
        behind.execute(harm)
    behind.close()
    done = remnants("verify")
    assert done.code == 1
    assert told in done.out


def test_the_ledger_itself_lets_nothing_be_changed(remnants: Remnants) -> None:
    behind = sqlite3.connect(remnants.catalogue)
    for harm in ("DELETE FROM entry", "UPDATE entry SET who = 'somebody'", "UPDATE entry SET erased = 1, tag = 'R-2'"):
        with pytest.raises(sqlite3.IntegrityError):
            behind.execute(harm)
    behind.close()
