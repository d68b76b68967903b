"""Is this typed name that known name? A careful yes or no with the reason: a near name of another carpet is not a match.

The rules are ours, from how names go wrong on phones and tags (common practice, no source): a slip is one letter, vowels get
dropped, words get abbreviated, swapped or run together. Figures in a name must agree, and so must a first letter unless
the key beside it was hit.
"""

from dataclasses import dataclass
from functools import lru_cache

from rapidfuzz.distance import OSA

from remnants.matching.words import NOISE, PLAIN, fold, reading, skeleton, words_of

__all__ = ["LEAST_ALIKE", "MOST_COST", "SLIP", "Likeness", "likeness", "word_cost"]

MOST_COST = 3.0
"""Dearer than this, a name is another name."""

SLIP = 1.0
SHORTENED = 0.5
REORDERED = 0.2
LEFT_OUT = 0.8

LEAST_ALIKE = 0.55
"""Words less alike than this share nothing."""

LONG = 10
"""From this many letters a word may have two wrong."""
LONGISH = 8
"""From this many letters, one may be any other."""
LIKE_SOUNDS = ("aeiouy", "ckq", "sz", "cs", "mn", "fv", "bp", "dt")
KEY_ROWS = ("qwertyuiop", "asdfghjkl", "zxcvbnm")


@dataclass(frozen=True, slots=True)
class Likeness:
    """What it costs to take one name for the other (0 the same), and the reason in words ("" when the same)."""

    cost: float
    reason: str = ""


@lru_cache(maxsize=65_536)  # the same few names are compared for each lot of each question
def likeness(typed: str, name: str) -> Likeness | None:
    """How the typed text can stand for the name, or None when it can't."""
    if fold(typed).split() == fold(name).split():
        return Likeness(0.0)
    given, known = words_of(typed), words_of(name)
    if not given or not known:
        return None
    if given == known:
        return Likeness(0.1, "spelled or abbreviated otherwise")
    pared = tuple(word for word in given if word not in NOISE or word in known)
    ways = (_paired(pared, known), _run_together(pared, known))
    return min((way for way in ways if way), key=lambda way: way.cost, default=None)


def _run_together(given: tuple[str, ...], known: tuple[str, ...]) -> Likeness | None:
    """`velderloop` or `vel derlop` for `Velder Loop`."""
    typed, name = "".join(given), "".join(known)
    if typed == name:
        return Likeness(REORDERED, "written together or apart")
    cost = word_cost(typed, name)
    if cost is None or cost > SLIP or len(given) == len(known):
        return None
    return Likeness(cost + REORDERED, "written together or apart, and " + _counted(round(cost) or 1))


def _paired(given: tuple[str, ...], known: tuple[str, ...]) -> Likeness | None:
    """Each typed word stands for one word of the name; of the name, only words on how it is made may be left out."""
    pairs = _pairs(given, known)
    if pairs is None:
        return None
    left_out = [word for index, word in enumerate(known) if index not in {there for _, there, _ in pairs}]
    if any(word not in PLAIN for word in left_out) or (all(known[there] in PLAIN for _, there, _ in pairs) and left_out):
        return None
    swapped = [there for _, there, _ in pairs] != sorted(there for _, there, _ in pairs)
    cost = sum(cost for _, _, cost in pairs) + REORDERED * swapped + LEFT_OUT * len(left_out)
    if cost > MOST_COST:
        return None
    return Likeness(cost, _reason([cost for _, _, cost in pairs], swapped, left_out))


def _pairs(given: tuple[str, ...], known: tuple[str, ...]) -> list[tuple[int, int, float]] | None:
    """(typed index, name index, cost), cheapest first come; None when a typed word is left without a partner."""
    if not given or len(given) > len(known):
        return None
    costs = sorted(
        (cost, abs(here - there), here, there)
        for here, word in enumerate(given)
        for there, other in enumerate(known)
        if (cost := word_cost(word, other)) is not None
    )
    pairs: dict[int, tuple[int, float]] = {}
    for cost, _, here, there in costs:
        if here not in pairs and there not in {taken for taken, _ in pairs.values()}:
            pairs[here] = there, cost
    if len(pairs) < len(given):
        return None
    return [(here, *pairs[here]) for here in sorted(pairs)]


def _reason(costs: list[float], swapped: bool, left_out: list[str]) -> str:
    letters = sum(round(cost) for cost in costs if cost >= SLIP)
    parts = [
        _counted(letters) if letters else "",
        "shortened" if any(0 < cost < SLIP for cost in costs) else "",
        "words in another order" if swapped else "",
        f"without {' and '.join(repr(word) for word in left_out)}" if left_out else "",
    ]
    return ", ".join(part for part in parts if part)


def _counted(letters: int) -> str:
    return "1 letter differs" if letters == 1 else f"{letters} letters differ"


@lru_cache(maxsize=65536)
def word_cost(typed: str, word: str) -> float | None:
    """What it costs to take one folded word for the other: 0 the same, 1 a letter; None when it is another word."""
    if typed == word:
        return 0.0
    if any(mark.isdigit() for mark in typed + word):
        return SHORTENED if reading(typed) == reading(word) else None
    if _shortened(typed, word):
        return SHORTENED
    letters = OSA.distance(typed, word, score_cutoff=2)
    shorter = min(len(typed), len(word))
    if letters > (0 if shorter < 3 else 1 if shorter < LONG else 2) or not _same_start(typed, word):
        return None
    if letters == 1 and len(typed) == len(word) and not _likely_change(typed, word):
        return None
    return SLIP * letters


def _likely_change(typed: str, word: str) -> bool:
    """Whether one letter of a word may well have been typed for another: letters swapped, a key beside it, a like sound.

    Any letter counts in a long word, and in a short one that says how the carpet is made. Else in a word of four letters
    none does: pine and pink, sand and sane are two words.
    """
    if sorted(typed) == sorted(word) or len(word) >= LONGISH or (word in PLAIN and typed not in PLAIN):
        return True
    one, other = next((one, other) for one, other in zip(typed, word, strict=True) if one != other)
    return len(word) > 4 and (_beside(one, other) or any(one in group and other in group for group in LIKE_SOUNDS))


def _beside(one: str, other: str) -> bool:
    """Whether two keys touch on the common keyboard (ISO/IEC 9995-2 letters, QWERTY)."""
    places = [(row, keys.find(key)) for key in (one, other) for row, keys in enumerate(KEY_ROWS) if key in keys]
    if len(places) < 2:
        return False
    (row1, place1), (row2, place2) = places
    return abs(row1 - row2) + abs(place1 - place2) <= 1 or (row2 - row1, place2 - place1) in ((1, -1), (-1, 1))


def _shortened(typed: str, word: str) -> bool:
    """`vldr`, `twst`: the word with its vowels dropped. (A word broken off is no sign: sand is not sandstone.)"""
    if len(typed) < 3 or len(word) - len(typed) < 2 or set(typed[1:]) & set("aeiou"):
        return False
    return skeleton(typed) == skeleton(word)


def _same_start(typed: str, word: str) -> bool:
    """The first letters agree, or were swapped with the second, or lie beside each other on the keyboard in a long word."""
    if typed[0] == word[0] or typed[:2] == word[1::-1]:
        return True
    return min(len(typed), len(word)) >= 6 and _beside(typed[0], word[0])
