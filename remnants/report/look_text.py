"""What was foretold of a repair and what was seen of it, in words: for one job, and how well the shop foretells."""

from collections.abc import Sequence

from remnants.days import day_words
from remnants.geometry.outline import bounds
from remnants.ledger.looks import KeptLook, SightLooked
from remnants.model.look import LookBy, LookKind, grades_words
from remnants.model.tally import FEW, Foretold, Tally

__all__ = ["KNEW", "foretold_lines", "look_words", "looked_lines", "seam_drawn", "side_of", "tally_title", "tally_words"]

KNEW = (
    "Whoever looked had read what was foretold, and eyes see what they were told. What was foretold from one grade to another "
    "comes as foretold more easily. Repairs that nobody looked at are not counted."
)
"""What to keep in mind of all these figures."""

_AROUND = 0.08
"""Room round a patch on its drawing, as a share of its longer side."""

NEAR_MM = 1.0
"""Less than this no tape tells."""

_MANY = {
    LookKind.FLOOR_SEAM: "seams with the floor",
    LookKind.INNER_SEAM: "seams inside a patch",
    LookKind.SHADE: "shades",
}


def look_words(kept: KeptLook) -> str:
    """`by eye: seen, worse than foretold (Wim, 4 May 2031)`; a measured one with its step and how far off that may be."""
    look = kept.look
    assert look.seen is not None, "what was taken back is not told"
    step = f", ΔE00 {look.step[0]:.1f} ± {look.step[1]:.1f}" if look.step else ""
    told = f"by {look.by}: {grades_words(look.seen)}{step}, {look.word}"
    return f"{told} ({kept.signed.who}, {day_words(kept.signed.at)})"


def looked_lines(sights: Sequence[SightLooked]) -> tuple[str, ...]:
    """Each sight with its number, as it was foretold, and below it what was seen."""
    lines = []
    for each in sights:
        what = ", ".join(filter(None, (each.sight.patch, side_of(each))))
        lines.append(f"{each.number}. {what}{': ' if what else ''}{each.sight.sentence}")
        lines += [f"   {look_words(kept)}" for kept in each.looks] or ["   nobody told yet what is seen"]
    return tuple(lines)


def side_of(each: SightLooked) -> str:
    """On which side of its patch a seam lies, as the patch is drawn: `left side`; empty of any other sight."""
    if not (each.sight.line and each.ring):
        return ""
    left, lower, right, upper = bounds(each.ring)
    for axis, at, word in ((0, left, "left"), (0, right, "right"), (1, lower, "lower"), (1, upper, "upper")):
        if all(abs(point[axis] - at) < NEAR_MM for point in each.sight.line):
            return f"{word} side"
    return ""


def seam_drawn(each: SightLooked) -> tuple[str, str, str] | None:
    """The patch and its seam as a small drawing: the view, the patch's points, the seam's (y down); None without a seam."""
    if not (each.sight.line and each.ring):
        return None
    left, lower, right, upper = bounds(each.ring)
    around = _AROUND * max(right - left, upper - lower)
    view = f"{left - around:.1f} {-upper - around:.1f} {right - left + 2 * around:.1f} {upper - lower + 2 * around:.1f}"
    ring, line = (" ".join(f"{x:.1f},{-y:.1f}" for x, y in points) for points in (each.ring, each.sight.line))
    return view, ring, line


def foretold_lines(told: Foretold) -> tuple[str, ...]:
    """How well it is foretold, by kind and way, each with how many were looked at; and what to keep in mind of it."""
    if not told.tallies:
        return (
            f"Nobody has told yet what is seen of a repair; {_jobs(told.cut_jobs)} cut."
            " Tell it on the job's page, or by `remnants look-back`.",
        )
    lines = [f"{tally_title(each)}: {tally_words(each)}" for each in told.tallies]
    return (f"Looked at in {told.jobs} of {told.cut_jobs} jobs that are cut.", *lines, KNEW)


def tally_title(tally: Tally) -> str:
    """`Seams with the floor, by eye`."""
    return f"{_MANY[tally.kind].capitalize()}, {'measured in a photograph' if tally.by is LookBy.PHOTOGRAPH else 'by eye'}"


def tally_words(tally: Tally) -> str:
    """How many of how many came as foretold, better and worse; what that says of the next; a word where they are few."""
    low, high = (round(100 * share) for share in tally.share)
    loose = f" {tally.loose} of the {tally.count} {'was' if tally.loose == 1 else 'were'} foretold from one grade to another."
    few = f" Fewer than {FEW} say little." if tally.count < FEW else ""
    return (
        f"{tally.count} looked at, {tally.as_foretold} as foretold, {tally.better} better, {tally.worse} worse."
        f" By that, between {low} and {high} of 100 come as foretold.{loose if tally.loose else ''}{few}"
    )


def _jobs(count: int) -> str:
    return "1 job is" if count == 1 else f"{count} jobs are"
