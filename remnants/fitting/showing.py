"""What a seam's grounds for showing come to in words, and how exactly a pattern must be measured to meet along it."""

from collections.abc import Iterable

from remnants.fitting.rules import Rules
from remnants.model.plan import SeamKind, Show
from remnants.model.style import Style
from remnants.sights import Grounds, points_in, show_of
from remnants.units import Unit, write_length

__all__ = ["listed", "pattern_words", "sentence_of"]


def sentence_of(kind: SeamKind, grounds: Grounds) -> str:
    """One sentence for the customer."""
    name = {SeamKind.SIDE: "side seam", SeamKind.CROSS: "cross seam", SeamKind.ANGLED: "angled seam"}[kind]
    show = show_of(points_in(grounds))
    if show is Show.HARDLY:
        return f"This {name} runs with the pile and should hardly show; no seam is invisible."
    why = listed(words for _, words in grounds)
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


def listed(words: Iterable[str]) -> str:
    """`a, b and c`."""
    items = list(words)
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"
