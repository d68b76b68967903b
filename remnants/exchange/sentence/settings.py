"""What is told of the whole job, or of how many and how worn, in a few fixed words."""

import re
from collections.abc import Callable
from re import Match

from remnants.exchange.sentence.places import DONORS
from remnants.exchange.sentence.scan import Scan
from remnants.model.piece import WORN_STEPS, WORN_WORDS

__all__ = ["setting_in"]

_TAG = r"([a-z]+-\d+)\b"
_STEPS = r"(?:stair\s*)?(?:steps|stairs|treads)\b"
_PLURALS = "|".join(word for word in DONORS if word.endswith("s"))
_NOWHERE = r"(?!\s+(?:on|at|to|along|by|in|the|left|right|top|bottom|up|down|near|far|back|front|all|allowance|a?round)\b)"
"""No seam at all, not one of a side."""
_SIZED = r"(?:x|by|in|ft|feet|foot|cm|mm|m|['\"])(?![a-z])"
_ALLOWANCE = re.compile(r"(seam|wall|transition)\s+allowance\b(?:\s+(?:of|is)\b)*")
_CAN = re.compile(
    rf"(?:can|could|will|would|does|is)\s+(?:the\s+|my\s+|our\s+)?({'|'.join(DONORS)})\s+(?:carpet\s+|piece\s+)?(?:be\s+)?"
    r"(?:patch|fill|do|make|mend|repair|cover|be\s+enough|enough)\b(?:\s+(?:for|the|in|up)\b)*"
)
_SETTINGS: tuple[tuple[re.Pattern[str], Callable[[Match[str]], tuple[str, object, str]]], ...] = (
    (re.compile(r"(?:the\s+)?(?:pile|nap)\s+either\s+way\b"), lambda _: ("turns", True, "the pile may lay either way")),
    (
        re.compile(rf"([1-9]\d{{0,2}})\s+(?:(?:patches|times|of\s+(?:them|these))\b|(?={_STEPS})|(?=(?:{_PLURALS})\b))"),
        lambda found: ("count", int(found[1]), f"{found[1]} of these"),
    ),
    (
        re.compile(rf"(?:worn\s+([0-4])|({'|'.join(sorted(WORN_STEPS, key=len, reverse=True))}))\b"),
        lambda found: _worn(int(found[1]) if found[1] else WORN_STEPS[found[2]]),
    ),
    (
        re.compile(r"(?:(?:dye\s*)lot\s+(?:is\s+|number\s+)?|lot\s+number\s+|lot\s+(?:is\s+)?(?=[^\s,;]*\d))([^\s,;]+)"),
        lambda found: ("lot", found[1].upper(), found[1].upper()),
    ),
    (
        re.compile(rf"(?:(?:all\s+)?in\s+(?:one|1)\s+piece|(?:no|without(?:\s+a|\s+any)?)\s+seams?(?:\s+in\s+it)?{_NOWHERE})\b"),
        lambda _: ("max_parts", 1, "one part, no seam in the patch"),
    ),
    (
        re.compile(r"(?:(?:in|of|from)\s+)?(?:up\s+to|at\s+most)\s+(\d)\s+(?:parts?|pieces?)\b"),
        lambda found: ("max_parts", int(found[1]), f"joined from up to {found[1]} parts"),
    ),
    (re.compile(rf"(?:use|from)\s+{_TAG}"), lambda found: ("use", found[1].upper(), f"cut from {found[1].upper()}")),
    (
        re.compile(rf"(?:not|avoid|without)\s+(?:from\s+)?{_TAG}"),
        lambda found: ("avoid", found[1].upper(), f"cut nothing from {found[1].upper()}"),
    ),
    (re.compile(r"any\s+(?:carpet|style)\b"), lambda _: ("any", True, "any carpet in stock")),
    (re.compile(r"(?:job|house)\s+([^,;\n]+)"), lambda found: ("job", found[1].strip(), found[1].strip())),
    (
        re.compile(r"style\s+(?:called|named)\s+([^,;\n]+?)(?=\s*(?:[,;\n]|$))"),
        lambda found: ("style", found[1].strip(), "the style, as it is written"),
    ),
    (
        re.compile(rf"(?:called|named)\s+([^,;\n]+?)(?=[,;\n]|$|\s+\d+\s*{_SIZED})"),
        lambda found: ("name", found[1].strip(), "its name"),
    ),
    (_CAN, lambda found: ("filled_by", found[1], f"whether the {found[1]} fills it")),
)


def setting_in(scan: Scan) -> tuple[str, object, str] | None:
    """The key, the value and what it is taken for, where such a phrase stands here."""
    for pattern, of in _SETTINGS:
        if found := scan.takes(pattern):
            return of(found)
    return _allowance(scan)


def _worn(step: int) -> tuple[str, object, str]:
    return "worn", step, WORN_WORDS[step]


def _allowance(scan: Scan) -> tuple[str, object, str] | None:
    before = scan.at
    begun = scan.takes(_ALLOWANCE)
    length_mm = scan.takes_length() if begun else None
    if not begun or length_mm is None:
        scan.at = before
        return None
    return f"allowance.{begun[1]}", length_mm, f"the {begun[1]} allowance of this job"
