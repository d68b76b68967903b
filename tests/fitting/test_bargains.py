"""What would make a no a yes: the least change, worked by hand, and never one that does not help."""

import random
from collections.abc import Sequence

import pytest

from remnants.fitting import fit
from remnants.fitting.bargains import Beside, bargains_for
from remnants.fitting.bargains.levers import NOTHING_BESIDE
from remnants.model import Allowance, Asked, Bargains, Candidate, Change, ChangeKind, Job, Merit, Plan, Verdict
from remnants.units import Unit
from tests.fitting.builders import OTHER, PLAIN, a_job, a_patch, a_piece, faults_of, mm
from tests.thorough import EVERY, share

INCH = 25.4
USUAL = Allowance()


class Shop:
    """Answers changed jobs from some donors, and counts those that it weighs, and those of several patches among them."""

    def __init__(self, donors: Sequence[Candidate]) -> None:
        self.donors, self.weighed, self.together = donors, 0, 0

    def tell(self, asked: Asked) -> Plan:
        """The plan."""
        beside = [Candidate(piece, PLAIN, OTHER) for piece in asked.beside]
        return fit(asked.job, [[*self.donors, *beside]] * len(asked.job.patches))

    def weigh(self, asked: Asked) -> Merit:
        """How it compares."""
        self.weighed += 1
        self.together += len(asked.job.patches) > 1
        return self.tell(asked).merit or Merit()


def asked(job: Job, *donors: Candidate, most_work: int = 400, beside: Beside = NOTHING_BESIDE) -> tuple[Bargains, int]:
    """The bargains, and how many fits they took."""
    shop = Shop(donors)
    return bargains_for(job, [shop.tell(Asked(job))], shop, most_work=most_work, beside=beside), shop.weighed


def sentences(bargains: Bargains) -> list[str]:
    return [bargain.sentence for bargain in bargains.found]


def inches(width: float, length: float, *, edges: str = "seam", parts: int = 1) -> Job:
    patch = a_patch(width * INCH, length * INCH, edges=edges, parts=parts)
    return a_job(patch, allowance=USUAL, min_part=6 * INCH, unit=Unit.IN)


def test_a_closet_two_inches_short_makes_a_patch_shaved_by_two() -> None:
    """30 in and an inch at either seam are 32; the closet is 30 in wide."""
    bargains, _ = asked(inches(30, 40), a_piece("R-1", "30 in", "60 in"))
    assert "Shave the patch 2 in on its right side (seam), and R-1 makes it whole." in sentences(bargains)
    (shave,) = (each for each in bargains.found if each.changes[0].kind is ChangeKind.SHAVE)
    (change,) = shave.changes
    assert (change.patch, change.edge, change.finish) == ("hall", 1, "seam")
    assert change.by_mm == pytest.approx(50.8)
    assert shave.plan.verdict is Verdict.WHOLE


def test_wall_to_wall_three_inches_short_takes_half_the_allowance_at_the_walls() -> None:
    """33 in and 3 in at either wall are 39; of 36 in there is 1 1/2 in for either."""
    bargains, _ = asked(inches(33, 40, edges="wall"), a_piece("R-1", "36 in", "60 in"))
    assert sentences(bargains)[0] == "Add 1 1/2 in instead of 3 in at walls, and R-1 makes it whole."


def test_no_allowance_is_cut_below_its_floor() -> None:
    """At 20 mm and at 25 mm a tape's error already shows: a seam keeps 10 mm, a wall 25 mm."""
    bargains, _ = asked(inches(33, 40, edges="wall"), a_piece("R-1", "34 in", "60 in"))
    assert not [each for each in bargains.found if each.changes[0].kind is ChangeKind.ALLOWANCE]
    assert "smaller allowances" in bargains.no_help


def test_one_part_more_is_told() -> None:
    bargains, _ = asked(inches(30, 40), a_piece("R-1", "20 in", "60 in"), a_piece("R-2", "20 in", "60 in"))
    (more,) = (each for each in bargains.found if each.changes[0].kind is ChangeKind.PARTS)
    assert more.changes[0].count == 2
    assert more.sentence == "Join the patch from 2 parts, and R-1 and R-2 make it with a seam."


def test_where_no_single_change_helps_two_do() -> None:
    """32 by 42 in are needed of 29 by 39: three too much either way."""
    bargains, _ = asked(inches(30, 40), a_piece("R-1", "29 in", "39 in"))
    assert len(bargains.found) == 1
    assert [change.by_mm for change in bargains.found[0].changes] == pytest.approx([76.2, 76.2])
    assert "more parts" in bargains.no_help


def test_two_easy_changes_come_before_one_that_is_more_effort() -> None:
    """300 wide from two of 180: each gives up to 160 with 10 mm at its seams, but 150 is narrower than a part may be. A piece
    held for another job makes it whole: to ask for it is more effort than both.
    """
    job = a_job(a_patch(300, 400, parts=2), allowance=USUAL, min_part=160)
    held = Beside(((a_piece("H-1", 400, 460).piece, "held until 2031-06-01"),))
    bargains, _ = asked(job, a_piece("R-1", 180, 460), a_piece("R-2", 180, 460), beside=held)
    kinds = [[change.kind.value for change in bargain.changes] for bargain in bargains.found]
    assert kinds == [["allowance", "min_part"], ["held"]]


def test_of_two_patches_that_are_both_short_one_change_makes_one_and_two_make_both() -> None:
    """30 by 40 in and 50 by 20 in; what there is, is 2 in short of either."""
    hall, den = a_patch(30 * INCH, 40 * INCH, parts=1), a_patch(50 * INCH, 20 * INCH, name="den", parts=1)
    job = a_job(hall, den, allowance=USUAL, min_part=6 * INCH, unit=Unit.IN)
    shaved = Beside(untried=frozenset(ChangeKind) - {ChangeKind.SHAVE})
    bargains, _ = asked(job, a_piece("R-1", "30 in", "60 in"), a_piece("R-2", "50 in", "22 in"), beside=shaved)
    both, *_ = bargains.found
    assert both.sentence == (
        "Shave hall 2 in on its right side (seam); shave den 2 in on its right side (seam), "
        "and R-1 and R-2 make hall and den whole."
    )
    assert "Shave hall 2 in on its right side (seam), and R-1 makes hall; den stays open." in sentences(bargains)


def test_a_patch_that_no_change_makes_with_all_the_stock_to_itself_is_not_tried_beside_others() -> None:
    """Two patches are of four times the work of one; the den is far too large for anything there is."""
    hall, den = a_patch(30 * INCH, 40 * INCH, parts=1), a_patch(90 * INCH, 90 * INCH, name="den", parts=1)
    job = a_job(hall, den, allowance=USUAL, min_part=6 * INCH, unit=Unit.IN)
    shop = Shop([a_piece("R-1", "60 in", "60 in")])
    bargains = bargains_for(job, [shop.tell(Asked(job))], shop)
    assert not bargains.found
    assert not bargains.stopped
    assert shop.together == 0


def test_a_patch_is_shaved_no_further_than_its_parts_may_be_narrow() -> None:
    """322 wide from two of 150, and no part under 150: shaved by 22 it is made, by any more two parts are too narrow."""
    job = a_job(a_patch(322, 400), min_part=150)
    bargains, _ = asked(job, a_piece("R-1", 150, 420), a_piece("R-2", 150, 420))
    (shave,) = (each for each in bargains.found if each.changes[0].kind is ChangeKind.SHAVE)
    assert shave.changes[0].by_mm == pytest.approx(22, abs=0.01)
    assert "a smaller patch" not in bargains.no_help


def test_nothing_is_told_of_a_job_that_is_made() -> None:
    assert asked(inches(30, 40), a_piece("R-1", "60 in", "60 in")) == (Bargains(), 0)


def test_what_is_of_no_help_is_said() -> None:
    bargains, _ = asked(inches(30, 40), a_piece("R-1", "12 in", "12 in"))
    assert not bargains.found
    assert {"smaller allowances", "a smaller patch", "more parts", "pile the other way"} <= set(bargains.no_help)


@pytest.mark.parametrize("most", [0, 1, 7])
def test_no_more_is_weighed_than_it_may_and_that_is_said(most: int) -> None:
    bargains, count = asked(inches(30, 40), a_piece("R-1", "30 in", "60 in"), most_work=most)
    assert count <= most
    assert bargains.stopped
    assert not bargains.no_help


def test_a_search_that_is_stopped_asks_no_more() -> None:
    job = inches(30, 40)
    donors = [a_piece("R-1", "30 in", "60 in")]
    shop = Shop(donors)
    told = bargains_for(job, [fit(job, [donors])], shop, stop=lambda: True)
    assert told == Bargains(stopped=True)
    assert not shop.weighed


@pytest.mark.parametrize("seed", range(20))
def test_each_is_a_proved_yes_and_a_little_less_of_it_is_none(seed: int) -> None:
    chance = random.Random(seed)
    donors = [a_piece(f"R-{n}", chance.randint(300, 900), chance.randint(300, 900)) for n in range(1, 4)]
    edges = [chance.choice(["seam", "wall", "transition"]) for _ in range(4)]
    job = a_job(
        a_patch(chance.randint(500, 900), chance.randint(500, 900), edges=edges, parts=1), allowance=USUAL, min_part=mm("6 in")
    )
    if fit(job, [donors]).verdict is not Verdict.NONE:
        return
    bargains, _ = asked(job, *donors)
    for bargain in bargains.found:
        assert bargain.plan.verdict is not Verdict.NONE
        assert faults_of(bargain.job, donors, bargain.plan) == ()
        assert not less_would_do(job, bargain.job, bargain.changes, donors), bargain.sentence


def less_would_do(job: Job, changed: Job, changes: Sequence[Change], donors: Sequence[Candidate]) -> bool:
    """Whether a millimetre less of a single change of a length makes it too."""
    change = changes[0]
    if len(changes) > 1 or change.by_mm is None or change.by_mm < 1:
        return False
    if change.kind is ChangeKind.SHAVE:
        pairs = zip(job.patches[0].ring, changed.patches[0].ring, strict=True)
        ring = [(x + (x < a) - (x > a), y + (y < b) - (y > b)) for (a, b), (x, y) in pairs]
        patch = a_patch(ring=ring, edges=[edge.value for edge in job.patches[0].edges], parts=1)
        less = a_job(patch, allowance=job.allowance, min_part=job.min_part_mm)
    elif change.kind is ChangeKind.ALLOWANCE:
        given = changed.allowance
        more = {name: getattr(given, f"{name}_mm") + (name == change.finish) for name in ("seam", "wall", "transition")}
        less = a_job(*job.patches, allowance=Allowance(more["seam"], more["wall"], more["transition"]), min_part=job.min_part_mm)
    else:
        return False
    return fit(less, [donors]).verdict is not Verdict.NONE


EFFORTS = {
    ChangeKind.ALLOWANCE: 2,
    ChangeKind.MIN_PART: 1,
    ChangeKind.SHAVE: 2,
    ChangeKind.PARTS: 2,
    ChangeKind.TURN: 3,
    ChangeKind.LOT: 3,
    ChangeKind.CLOSE_SHADE: 3,
    ChangeKind.HELD: 3,
    ChangeKind.OTHER_CUSTOMERS: 4,
    ChangeKind.IN_VIEW: 5,
    ChangeKind.SUBSTITUTE: 6,
}


def effort(change: Change) -> int:
    """What it costs the technician."""
    return 1 if change.finish == "seam" and change.kind is ChangeKind.ALLOWANCE else EFFORTS[change.kind]


def best(bargains: Bargains, job: Job) -> tuple[int, int]:
    """How many patches the best leaves open, and its effort."""
    told = ((len(each.plan.short), sum(map(effort, each.changes))) for each in bargains.found)
    return min(told, default=(len(job.patches), 99))


@pytest.mark.parametrize("seed", range(share(24)), ids=str)
def test_one_more_change_or_one_more_donor_never_makes_the_best_worse(seed: int) -> None:
    chance = random.Random(seed * EVERY + 2)
    sizes = [(chance.randint(400, 900), chance.randint(400, 900)) for _ in range(chance.choice((1, 2, 2)))]
    patches = [a_patch(*size, name=name, parts=1) for size, name in zip(sizes, ("hall", "den"), strict=False)]
    job = a_job(*patches, allowance=USUAL, min_part=mm("6 in"))

    def near(tag: str) -> Candidate:
        width, length = chance.choice(sizes)
        return a_piece(tag, width + chance.randint(-40, 80), length + chance.randint(-40, 80))

    donors = [near(f"R-{n}") for n in range(1, 3)]
    held = ((near("H-1").piece, "held"),)
    shut = frozenset(kind for kind in ChangeKind if chance.random() < 0.7)
    if not Shop(donors).tell(Asked(job)).short:
        return
    fewer, _ = asked(job, *donors, beside=Beside(held, untried=shut), most_work=20_000)
    more, _ = asked(job, *donors, beside=Beside(held, untried=shut - {chance.choice(sorted(ChangeKind))}), most_work=20_000)
    assert best(more, job) <= best(fewer, job)
    another = near("R-9")
    richer, _ = asked(job, *donors, another, beside=Beside(held, untried=shut), most_work=20_000)
    if len(Shop([*donors, another]).tell(Asked(job)).short) == len(Shop(donors).tell(Asked(job)).short):
        assert best(richer, job) <= best(fewer, job)
