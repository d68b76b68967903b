"""How a seam will show: a stated rule of trade habit (common practice, no source), not a measurement.

Each ground for showing counts points; the points make the grade: 0 hardly, 1 slightly, 2 or 3 clearly, 4 and more strongly.
That a seam runs with the pile rather than across it, with traffic along it and light not across it, is asked for by the
installation standards (CRI 2011 §6.2); that two dye lots make a visible side match is in the trade's glossaries.
"""

from collections.abc import Iterable

from remnants.fitting.rules import Rules
from remnants.geometry.turn import between
from remnants.model.match import Candidate
from remnants.model.patch import Patch
from remnants.model.plan import SeamKind, Show
from remnants.model.style import Construction, Style
from remnants.units import Unit, write_length

__all__ = ["pattern_words", "points_of", "sentence_of", "show_of"]

Grounds = list[tuple[int, str]]


def points_of(
    kind: SeamKind, one: Candidate, two: Candidate, *, patch: Patch | None = None, reversed_pile: bool = False
) -> Grounds:
    """The grounds on which a seam between two candidates shows: (points, plain words), most points first."""
    grounds: Grounds = []
    if kind is SeamKind.CROSS:
        grounds.append((1, "it runs across the pile"))
    elif kind is SeamKind.ANGLED:
        grounds.append((2, "it runs at an angle to the pile"))
    looped = {Construction.LOOP, Construction.CUT_AND_LOOP} & {one.style.construction, two.style.construction}
    if looped and kind is not SeamKind.SIDE:
        grounds.append((2, "the loops are cut across their rows"))
    elif {one.style.construction, two.style.construction} & {Construction.WOVEN, Construction.NEEDLED} or looped:
        grounds.append((1, f"a {one.style.construction} pile hides a seam less than a dense cut pile"))
    if one.style.repeat is not None or two.style.repeat is not None:
        grounds.append((1, "the pattern crosses it"))
    grounds += _differences(one, two)
    if reversed_pile:
        grounds.append((3, "the pile lies the other way on its far side"))
    if patch is not None:
        grounds += _room(kind, patch)
    return sorted(grounds, key=lambda ground: (-ground[0], ground[1]))


def show_of(grounds: Grounds) -> Show:
    """The grade of showing for these grounds."""
    points = sum(weight for weight, _ in grounds)
    if points == 0:
        return Show.HARDLY
    if points == 1:
        return Show.SLIGHTLY
    return Show.CLEARLY if points <= 3 else Show.STRONGLY


def sentence_of(kind: SeamKind, grounds: Grounds) -> str:
    """One sentence for the customer."""
    name = {SeamKind.SIDE: "side seam", SeamKind.CROSS: "cross seam", SeamKind.ANGLED: "angled seam"}[kind]
    show = show_of(grounds)
    if show is Show.HARDLY:
        return f"This {name} runs with the pile and should hardly show; no seam is invisible."
    why = _listed(words for _, words in grounds)
    strength = {Show.SLIGHTLY: "will show slightly", Show.CLEARLY: "will show", Show.STRONGLY: "will show strongly"}[show]
    return f"This {name} {strength}: {why}."


def pattern_words(style: Style, kind: SeamKind, length_mm: float, unit: Unit, rules: Rules) -> str:
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


def _differences(one: Candidate, two: Candidate) -> Grounds:
    """Grounds in the two pieces themselves."""
    grounds: Grounds = []
    if (one.piece.style, one.piece.colour) != (two.piece.style, two.piece.colour):
        grounds.append((3, "the two sides are different carpets"))
    elif one.piece.lot != two.piece.lot:
        grounds.append((2, "its two sides come from different dye lots"))
    step = abs(one.piece.worn - two.piece.worn)
    if step:
        grounds.append((step, "one side is more worn than the other"))
    return grounds


def _room(kind: SeamKind, patch: Patch) -> Grounds:
    """Grounds in the room: traffic and light across the seam, where the job states their bearings."""
    grounds: Grounds = []
    along = patch.pile_deg + (0.0 if kind is SeamKind.SIDE else 90.0)
    for bearing, words in ((patch.traffic_deg, "people walk across it"), (patch.light_deg, "window light strikes across it")):
        if bearing is not None and kind is not SeamKind.ANGLED and _crosses(along, bearing):
            grounds.append((1, words))
    return grounds


def _crosses(along_deg: float, bearing_deg: float) -> bool:
    """True if a bearing runs more across than along a line."""
    apart = between(along_deg, bearing_deg) % 180.0
    return 45.0 < apart < 135.0


def _listed(words: Iterable[str]) -> str:
    """`a, b and c`."""
    items = list(words)
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"
