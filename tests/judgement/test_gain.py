"""What a change is said to be worth after a yes: true of the two plans, and nothing that then shows more is left out.

The sentence is read back and held against the corners of both patches and the grades of their sights.
"""

import math
import random
import re
from collections.abc import Iterator
from functools import cache
from itertools import pairwise

import pytest

from remnants.actions.fit_job import Fitted
from remnants.model import Job, Plan
from remnants.model.sight import SEEN_WORDS
from tests.judgement.shop import LOOP, patch, piece, room
from tests.judgement.test_yes_that_shows import ask, the
from tests.thorough import EVERY, share

INCH = 25.4
Seen = tuple[str, int, int, int]
"""Where a sight is, its grade at worst and at best, and the length of a seam (sixteenths of an inch; 0 of carpet)."""


def by_the_door() -> Fitted:
    """A loop patch of 24 by 30 in at a doorway, its upper side across the way that people walk."""
    around = room(120, 144, doors=((0, 20, 32),), lanes=(((36, 0), (36, 40), (110, 40)),), light=90.0)
    lies = patch(24, 30, at=(24, 0), edges=("transition", "seam", "seam", "seam"), style=LOOP, room="hall", parts=1)
    return ask(piece("R-1", 60, 60, style=LOOP), patch=lies, rooms=(around,))


def test_a_patch_grown_to_the_wall_says_which_seam_goes_and_which_grows() -> None:
    """The seam on the left goes, 30 in. The plain one above doubles: 24 in to the wall beside the 24 in there are."""
    assert the(by_the_door(), "grow").gain == (
        "What then no longer shows: the seam on the left side (30 in, seen). "
        "But the seam on the upper side, plain, is 48 in long instead of 24 in."
    )


def test_a_seam_that_comes_with_better_carpet_is_told() -> None:
    """Whole it is of another lot; the room's lot makes it from two pieces."""
    fitted = ask(
        piece("R-1", 20, 60, style=LOOP), piece("R-3", 20, 60, style=LOOP), piece("R-2", 40, 60, lot="L2", style=LOOP),
        patch=patch(30, 40, style=LOOP, parts=1),
    )  # fmt: skip
    assert the(fitted, "parts").gain.startswith("What then no longer shows: carpet of R-2 beside the floor (")


@pytest.mark.parametrize("seed", range(share(60)), ids=str)
def test_what_is_said_to_be_gained_is_true_and_what_shows_more_is_said(seed: int) -> None:
    fitted = at_random(seed * EVERY + 3)
    for bargain in fitted.bargains.found if fitted.bargains.better else ():
        before, after, told = list(seen(fitted.job, fitted.plan)), list(seen(bargain.job, bargain.plan)), bargain.gain
        gone, less, worse = told_gone(told), told_less(told), told_worse(told)
        assert gone or less or "Then fewer" in told, told
        assert ranks(after) < ranks(before) or "Then fewer" in told, told
        for where, grade, length in gone:
            assert (where, grade, length) in [(at, words(*of), far) for at, *of, far in before], told
        for where in {where for where, _, _ in gone} | set(less):
            assert ranks(after, where) < ranks(before, where), told
        for one in after:
            if one[1] >= 2 and not any(as_good(one, old) for old in before):
                assert one[0] in (*worse, *less), (one, told)


@pytest.mark.parametrize("seed", range(share(60)), ids=str)
def test_no_side_at_a_wall_is_shaved_and_no_narrow_strip_is_left_at_one(seed: int) -> None:
    """A part is 6 in wide or wider, and so is what is left of the old carpet between a side that is moved and the wall."""
    fitted = at_random(seed * EVERY + 3)
    for bargain in fitted.bargains.found if fitted.bargains.better else ():
        (change, *_), ((walls, ring),) = bargain.changes, ((job.rooms[0].ring, job.patches[0].ring) for job in [bargain.job])
        if change.kind.value in ("shave", "grow"):
            side = ("lower", "right", "upper", "left")[change.edge or 0]
            axis, end = int(side in ("lower", "upper")), max if side in ("right", "upper") else min
            left = abs(end(corner[axis] for corner in walls) - end(corner[axis] for corner in ring)) / INCH
            assert left > 5.999 or (left < 0.001 and change.kind.value == "grow"), bargain.sentence


@cache
def at_random(seed: int) -> Fitted:
    """A room with a doorway, a way that people walk, light or none, a patch in it and four pieces."""
    chance = random.Random(seed)
    across, along = chance.randint(70, 120), chance.randint(90, 140)
    lane = ((chance.randint(5, across - 5), 0), (chance.randint(5, across - 5), chance.randint(30, along)))
    around = room(
        across, along, doors=((0, 20, 32),), lanes=(lane,), light=chance.choice((None, 90.0)),
        hidden=((across - 20, along - 30, across, along),) if chance.random() < 0.4 else (),
    )  # fmt: skip
    wide, long = chance.randint(20, 36), chance.randint(24, 40)
    x, y = chance.choice((0, chance.randint(6, across - wide))), chance.choice((0, chance.randint(6, along - long)))
    edges = ("wall" if y == 0 else "seam", "seam", "seam", "wall" if x == 0 else "seam")
    lies = patch(wide, long, at=(x, y), edges=edges, style=LOOP, room="hall", parts=chance.choice((1, 2)))
    pieces = [
        piece(f"R-{n}", chance.randint(20, 70), chance.randint(30, 80), style=LOOP, lot=chance.choice(("L1", "L1", "L2")))
        for n in range(4)
    ]
    return ask(*pieces, patch=lies, rooms=(around,), held=(piece("H-1", 70, 80, style=LOOP),))


def seen(job: Job, plan: Plan) -> Iterator[Seen]:
    """All that is seen of a rectangle: which side each seam lies on, by its corners alone."""
    (ring,) = (each.ring for each in job.patches)
    left, right = min(x for x, _ in ring), max(x for x, _ in ring)
    low, high = min(y for _, y in ring), max(y for _, y in ring)
    for sight in plan.sights:
        if not sight.line:
            yield "carpet", sight.worst, sight.best, 0
            continue
        xs, ys = [x for x, _ in sight.line], [y for _, y in sight.line]
        sides = {"left": (xs, left), "right": (xs, right), "lower": (ys, low), "upper": (ys, high)}
        at = [name for name, (each, side) in sides.items() if all(abs(one - side) < 0.01 for one in each)]
        far = sum(math.dist(one, two) for one, two in pairwise(sight.line))
        yield at[0] if at else "inside", sight.worst, sight.best, round(far / INCH * 16)


def as_good(new: Seen, old: Seen) -> bool:
    """Whether a sight is no plainer and no longer than one that was there."""
    return new[0] == old[0] and new[1:3] <= old[1:3] and new[3] <= old[3]


def ranks(sights: list[Seen], where: str = "") -> list[tuple[int, int]]:
    """Grades at worst and best, the plainest first; of one place or of all."""
    return sorted(((worst, best) for at, worst, best, _ in sights if where in ("", at)), reverse=True)


def words(worst: int, best: int) -> str:
    return SEEN_WORDS[worst] if worst == best else f"{SEEN_WORDS[best]} to {SEEN_WORDS[worst]}"


SEAM = r"the seam (?:on the )?(left|right|upper|lower|inside)(?: side)?"


def told_gone(gain: str) -> list[tuple[str, str, int]]:
    """Each sight that is said to show no longer: where, and its grade and length before."""
    gone = "".join(re.findall(r"What then no longer shows: (.*?)\.(?: |$)", gain))
    found = [(where, grade, inches(length)) for where, length, grade in re.findall(SEAM + r" \(([^,()]+), ([^()]+)\)", gone)]
    return [*found, *(("carpet", grade, 0) for grade in re.findall(r"carpet of [\w, -]+ beside the floor \(([^()]+)\)", gone))]


def told_less(gain: str) -> list[str]:
    """Where something is said to show less than before, and still to show."""
    seams, carpets = re.findall(rf"Less shows: {SEAM} is ", gain), re.findall(r"Less shows: carpet of", gain)
    return [*seams, *("carpet" for _ in carpets)]


def told_worse(gain: str) -> list[str]:
    """Where something is said to show more than before."""
    seams, carpets = re.findall(rf"But {SEAM}", gain), re.findall(r"But carpet of", gain)
    return [*seams, *("carpet" for _ in carpets)]


def inches(text: str) -> int:
    """`26 1/2 in` as sixteenths."""
    whole, _, part = text.removesuffix(" in").partition(" ")
    over, _, under = (part or (whole if "/" in whole else "")).partition("/")
    return (0 if "/" in whole else int(whole) * 16) + (int(over) * 16 // int(under) if over else 0)
