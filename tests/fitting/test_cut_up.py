"""Known by construction: donors cut up into patches with nothing left; every patch must come out of them again."""

import random

import pytest

from remnants.fitting import fit
from remnants.geometry.outline import Point, Ring
from remnants.geometry.turn import moved_ring, turned_point, turned_ring
from remnants.model import Candidate, Construction, Patch, Plan, Repeat, Style, Verdict
from remnants.packing import Watch
from tests.fitting.builders import PLAIN, a_job, a_patch, a_piece, faults_of
from tests.planted import cut_up

TRIES = 500


def solved(patches: list[Patch], pieces: list[Candidate]) -> Plan:
    """The plan, proved."""
    job = a_job(*patches)
    plan = fit(job, [pieces] * len(patches), watch=Watch(tries=TRIES))
    assert faults_of(job, pieces, plan) == ()
    return plan


def patches_of(rings: list[Ring], name: str, rng: random.Random, motif: Point | None = None, pile: float = 0.0) -> list[Patch]:
    """Each ring as a patch somewhere in the room, its pattern lying where it lay on the donor, its pile turned to `pile`."""
    made = []
    for index, ring in enumerate(rings):
        away = (rng.randint(-900, 900), rng.randint(-900, 900))
        own = None if motif is None else turned_point((motif[0] + away[0], motif[1] + away[1]), pile)
        net = turned_ring(moved_ring(ring, away), pile)
        made.append(a_patch(ring=net, name=f"{name}{index}", parts=1, edges="free", motif=own, pile=pile))
    return made


@pytest.mark.parametrize("seed", range(6))
def test_a_donor_cut_up_into_odd_patches_is_used_up(seed: int) -> None:
    rng = random.Random(seed)
    rings = cut_up(rng, 2000, 3000, rng.randint(4, 6), odd=0.8)
    plan = solved(patches_of(rings, "p", rng), [a_piece("R-1", 2000, 3000)])
    assert plan.verdict is Verdict.WHOLE
    assert plan.bound == "best possible"
    assert plan.leftovers == ()


@pytest.mark.parametrize("seed", range(4))
def test_two_donors_cut_up_into_odd_patches_are_used_up(seed: int) -> None:
    rng = random.Random(seed)
    sizes = [(rng.randint(900, 2000), rng.randint(900, 2000)) for _ in range(2)]
    parts = [cut_up(rng, *size, rng.randint(2, 3), odd=0.7) for size in sizes]
    patches = [patch for name, rings in zip("ab", parts, strict=True) for patch in patches_of(rings, name, rng)]
    rng.shuffle(patches)
    assert solved(patches, [a_piece(f"R-{i}", *size) for i, size in enumerate(sizes)]).verdict is Verdict.WHOLE


@pytest.mark.parametrize("drop", [0, 0.5, 0.25])
@pytest.mark.parametrize("seed", range(4))
def test_a_patterned_donor_cut_up_is_used_up_on_its_lattice(seed: int, drop: float) -> None:
    """Set match, half-drop and quarter-drop of 320 x 450; the room's pile runs to the right: all lie a quarter turned."""
    rng = random.Random(seed)
    style = Style("Velder Trellis", Construction.CUT, repeat=Repeat(320, 450, drop))
    motif = (rng.randint(0, 319), rng.randint(0, 449))
    rings = cut_up(rng, 2000, 3000, rng.randint(4, 6), odd=0.5 if seed % 2 else 0.0)
    patches = patches_of(rings, "p", rng, motif, pile=90.0)
    plan = solved(patches, [a_piece("R-1", 2000, 3000, style=style, motif=motif)])
    assert plan.verdict is Verdict.WHOLE
    assert plan.leftovers == ()


@pytest.mark.parametrize("seed", range(4))
def test_plain_patches_cut_from_a_donor_of_another_bearing_use_it_up(seed: int) -> None:
    rng = random.Random(seed)
    rings = cut_up(rng, 1500, 2500, 5, odd=0.0)
    piece = a_piece("R-1", 1500, 2500, style=PLAIN)
    assert solved(patches_of(rings, "p", rng, pile=270.0), [piece]).verdict is Verdict.WHOLE
