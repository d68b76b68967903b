"""`remnants release`: letting go of what is held."""

from tests.commands import Remnants
from tests.jobs import hold


def test_released_pieces_are_free_again_and_cannot_be_cut_for_the_job(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    hold(remnants, "Alder Court 7")
    assert remnants.ok("release", "Alder Court 7") == "released: R-1\n"
    assert "held" not in remnants.ok("show", "R-1")
    assert "nothing is held for" in remnants.refused("release", "Alder Court 7", code=1)
    assert "R-1 was released by" in remnants.refused("cut", "Alder Court 7", code=1)


def test_a_job_that_nobody_knows_is_told(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    assert "no job 'Fir Lane' is in the catalogue" in remnants.refused("release", "Fir Lane", code=1)
