"""Why a label scores as it does, in words: `style: 1 letter differs; colour: same; lot: other`."""

from collections.abc import Sequence

from rapidfuzz.distance import OSA

from remnants.matching.likeness import LEAST_ALIKE
from remnants.matching.stock_names import Label
from remnants.matching.words import skeleton, words_of

__all__ = ["explain"]


def explain(typed: Sequence[str], label: Label, lot: str = "", *, colour: bool = True) -> str:
    """The reason, of the typed words (folded) against the label's; `lot` is the sentence on the lot, if any.

    Without `colour` the label's colour is left out: the sentence tells of it.
    """
    used: set[str] = set()
    names = (("style", label.style), ("colour", label.colour))[: 2 if colour else 1]
    parts = [f"{what}: {told}" for what, name in names if (told := _of(typed, name, used))]
    unused = [word for word in typed if word not in used]
    if unused and typed:
        parts.append(f"not on it: {', '.join(unused)}")
    return "; ".join([*parts, *([lot] if lot else [])])


def _of(typed: Sequence[str], name: str, used: set[str]) -> str:
    """How the typed words cover a name; "" when none of them is meant for it. Adds the words it uses to `used`."""
    known = words_of(name)
    letters, covered, ways = 0, 0, dict.fromkeys(("vowels dropped", "broken off"), False)
    for word in known:
        best = max(typed, key=lambda other: _alike(other, word), default="")
        if not best or _alike(best, word) < LEAST_ALIKE:
            continue
        used.add(best)
        covered += 1
        differ = OSA.distance(best, word)
        bare, begun = skeleton(best) == skeleton(word), word.startswith(best)
        if differ > 1 and (bare or begun):
            ways["vowels dropped" if bare else "broken off"] = True
        else:
            letters += differ
    if not covered:
        return ""
    told = ["1 letter differs" if letters == 1 else f"{letters} letters differ"] * (letters > 0)
    told += [way for way, is_so in ways.items() if is_so]
    told += [f"{covered} of {len(known)} words"] * (covered < len(known))
    return ", ".join(told) or "same"


def _alike(typed: str, word: str) -> float:
    if skeleton(typed) == skeleton(word) or (len(typed) > 2 and word.startswith(typed)):
        return 1.0 if typed == word else 0.9
    return OSA.normalized_similarity(typed, word)
