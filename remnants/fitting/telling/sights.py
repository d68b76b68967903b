"""What will be seen of a plan, as a customer can be told it: each shade and each seam with its grade and why.

And how exactly a pattern must be measured to meet along a seam.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from remnants.fitting.patch.look import carpet_of, grounds_along, grounds_of_segment, inner_runs
from remnants.fitting.patch.made import Made
from remnants.fitting.patch.question import Ask
from remnants.fitting.rules import FitRules
from remnants.geometry.outline import Point
from remnants.geometry.turn import turned_point, whole_turn
from remnants.model.plan import SeamKind, Show
from remnants.model.sight import FLOOR_SEAM, INNER_SEAM, MOST_SEEN, SEEN_WORDS, Sight, SightKind
from remnants.model.style import Style
from remnants.sights import Grounds, View, grade_of, points_in, show_of
from remnants.units import Unit, write_length

__all__ = ["listed", "pattern_words", "sentence_of", "sights_of"]


LEAST_TOLD_MM = 1.0
"""Less of a seam than this under furniture is not told."""


def sights_of(ask: Ask, made: Made, unit: Unit) -> tuple[Sight, ...]:
    """The sights of one patch: its carpets beside the floor, the seams round it, those inside. Lines in room axes (mm)."""
    return (*_shades(ask, made), *_round(ask, made, unit), *_inside(ask, made, unit))


def _shades(ask: Ask, made: Made) -> Iterator[Sight]:
    found: dict[tuple[tuple[str, str, str], tuple[int, int], str], list[str]] = {}
    for leaf in made.parts:
        match = leaf.donor.candidate.match
        found.setdefault((carpet_of(leaf.donor).name, match.shade, match.sentence), []).append(leaf.donor.tag)
    for (_, (worst, best), sentence), tags in found.items():
        grades = min(best, MOST_SEEN), min(worst, MOST_SEEN)
        why = sentence[:1].upper() + sentence[1:]
        if ask.patch.wanted.worn is None and "wear" not in sentence:  # or nobody would see where the worst case comes from
            why += "; the room's wear not stated"
        told = f"Carpet of {listed(dict.fromkeys(tags))} beside the floor: {_range(*grades)}. {why}."
        yield Sight(SightKind.SHADE, ask.patch.name, *grades, told)


def _round(ask: Ask, made: Made, unit: Unit) -> Iterator[Sight]:
    for run in ask.runs:
        worst = max(grounds_along(ask, run, made.parts), key=points_in, default=[])
        views = [ask.view_of(stretch.line) for stretch in run.stretches]
        yield _seam(ask, worst, run.line, views=views, what=FLOOR_SEAM, unit=unit)


def _inside(ask: Ask, made: Made, unit: Unit) -> Iterator[Sight]:
    for _, _, segments in inner_runs(ask, made.layout):
        worst = max((grounds_of_segment(ask, each, made.parts) for each in segments), key=points_in)
        views = [ask.view_of(each.line) for each in segments]
        line = (segments[0].line[0], segments[-1].line[1])
        yield replace(_seam(ask, worst, line, views=views, what=INNER_SEAM, unit=unit), inside=True)


def _seam(ask: Ask, grounds: Grounds, line: Sequence[Point], *, views: Sequence[View], what: str, unit: Unit) -> Sight:
    grade = grade_of(points_in(grounds))
    length_mm, hidden_mm = sum(view.length_mm for view in views), sum(view.hidden_mm for view in views)
    if all(view.is_hidden for view in views):
        why = ": furniture covers it"
    else:
        why = f": {listed(words for _, words in grounds)}" if grounds else ": it runs with the pile; no seam is invisible"
        why += f"; furniture covers {write_length(hidden_mm, unit)} of it" if hidden_mm > LEAST_TOLD_MM else ""
    told = f"{what}, {write_length(length_mm, unit)}: {SEEN_WORDS[grade]}{why}."
    pile = whole_turn(ask.patch.pile_deg)
    return Sight(SightKind.SEAM, ask.patch.name, grade, grade, told, tuple(turned_point(point, pile) for point in line))


def _range(best: int, worst: int) -> str:
    return SEEN_WORDS[best] if best == worst else f"{SEEN_WORDS[best]} at best, {SEEN_WORDS[worst]} at worst"


def sentence_of(kind: SeamKind, grounds: Grounds, view: View) -> str:
    """One sentence for the customer, of a seam of which so much is seen."""
    name = {SeamKind.SIDE: "side seam", SeamKind.CROSS: "cross seam", SeamKind.ANGLED: "angled seam"}[kind]
    show = show_of(points_in(grounds))
    if view.is_hidden:
        return f"This {name} lies under furniture."
    if show is Show.HARDLY:
        return f"This {name} runs with the pile and should hardly show; no seam is invisible."
    why = listed(words for _, words in grounds)
    strength = {Show.SLIGHTLY: "will show slightly", Show.CLEARLY: "will show", Show.STRONGLY: "will show strongly"}[show]
    return f"This {name} {strength}: {why}."


def pattern_words(style: Style, kind: SeamKind, length_mm: float, unit: Unit, rules: FitRules) -> str:
    """How far a measured repeat may be off before the pattern no longer meets over the whole seam; "" for plain goods.

    Over n repeats an error of e a repeat adds up to n times e. What may be out at the end is `rules.pattern_out_mm`. No industry
    tolerance for bow, skew or elongation exists (CRI 2011 §19.1); the rules hold the limits of trade bodies and makers. Side by
    side, skew and stretch put a pattern out; end to end, skew and bow do.
    """
    if style.repeat is None:
        return ""
    repeat = style.repeat.along_mm if kind is SeamKind.SIDE else style.repeat.across_mm
    count = max(length_mm / repeat, 1.0)
    slack = write_length(rules.pattern_out_mm / count, unit, fraction=32)
    skew = write_length(length_mm * rules.skew_share, unit)
    other, share = ("stretch", rules.stretch_share) if kind is SeamKind.SIDE else ("bow", rules.bow_share)
    second = write_length(length_mm * share, unit)
    most = write_length(rules.pattern_out_mm, unit)
    return (
        f"The pattern repeats {count:.1f} times along it: measure the repeat of both pieces, which may differ by {slack} at most "
        f"to stay within {most} at its end; within the trade's limits skew can put "
        f"it out by {skew}, {other} by {second}."
    )


def listed(words: Iterable[str]) -> str:
    """`a, b and c`."""
    items = list(words)
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"
