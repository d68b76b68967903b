"""Numbers said in words, as dictation writes them: `ten foot six`, `thirty one and a half`, `three quarters of an inch`."""

import re
from collections.abc import Callable, Sequence

__all__ = ["in_figures"]

_ONES = {
    word: value
    for value, word in enumerate(
        [
            "zero",
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ]
    )
}
_TENS = {
    word: 10 * value
    for value, word in enumerate(["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], start=2)
}
_PARTS = {"half": 2, "halves": 2, "quarter": 4, "quarters": 4, "eighth": 8, "eighths": 8, "sixteenth": 16, "sixteenths": 16}
"""What the marks of a tape are called."""
_ONE = frozenset({"a", "an", "one"})
_OF = frozenset({"a", "an", "of"})
_UNITS = frozenset({"inch", "foot", "yard", "metre", "meter"})
_TOKEN = re.compile(r"[a-z]+|[0-9]+|[^a-z0-9]+")
_MARK = re.compile(r"([,;:!?()\n]+|\.\s)")
"""No number goes on over such a mark."""
_Reader = Callable[[Sequence[str], int], tuple[int, int]]
_SAID = re.compile(rf"\b(?:{'|'.join((*_ONES, *_TENS, *_PARTS, 'an?'))})\b")


def in_figures(text: str) -> str:
    """The text (in lower case) with the numbers that it says in words as figures: `10 foot 6`, `31 1/2`, `3/4 inch`.

    What stands in figures, and every other word, stays as it is.
    """
    if not _SAID.search(text):
        return text
    return "".join(chunk if _MARK.fullmatch(chunk) else _figures(chunk) for chunk in _MARK.split(text))


def _figures(text: str) -> str:
    """The same of what no mark parts."""
    tokens = _TOKEN.findall(text)
    made: list[str] = []
    at = 0
    while at < len(tokens):
        said, after = _number(tokens, at)
        if after == at:
            said, after = tokens[at], at + 1
        made.append(said)
        at = after
    return "".join(made)


def _number(tokens: Sequence[str], at: int) -> tuple[str, int]:
    """The number that begins at a token, in figures, and where it ends: there, if none begins."""
    part, after = _fraction(tokens, at)
    if part:
        return part, after
    value, after = _whole(tokens, at)
    if after == at:
        if tokens[at] in _ONE and _word(tokens, at + 2) in _UNITS:
            return "1", at + 1
        return "", at
    if _word(tokens, after + 1) == "point" and (decimals := _digits(tokens, after + 3)):
        return f"{value}.{decimals}", after + 2 + 2 * len(decimals)
    if _word(tokens, after + 1) == "and":
        part, end = _fraction(tokens, after + 3)
        if part:
            return f"{value} {part}", end
    return ("", at) if tokens[at].isdigit() else (str(value), after)


def _fraction(tokens: Sequence[str], at: int) -> tuple[str, int]:
    """`half`, `a quarter`, `three eighths of an`, as 1/2 and so on, and where it ends."""
    if _word(tokens, at) in ("half", "quarter") and tokens[at] in _PARTS:
        top, end = 1, at
    elif tokens[at : at + 1] and tokens[at] in _ONE and _word(tokens, at + 2) in _PARTS:
        top, end = 1, at + 2
    else:
        top, after = _whole(tokens, at)
        if after == at or _word(tokens, after + 1) not in _PARTS:
            return "", at
        end = after + 1
    part = f"{top}/{_PARTS[tokens[end]]}"
    end += 1
    while _word(tokens, end + 1) in _OF:
        end += 2
    return part, end


def _whole(tokens: Sequence[str], at: int) -> tuple[int, int]:
    """A whole number in words or figures, and where it ends: there, if none stands here."""
    if at < len(tokens) and tokens[at].isdigit():
        return int(tokens[at]), at + 1
    value, after = _scaled(tokens, at, "hundred", 100, _below_hundred)
    if after > at and _word(tokens, after + 1) == "thousand":
        return _scaled(tokens, at, "thousand", 1000, lambda tokens, at: _scaled(tokens, at, "hundred", 100, _below_hundred))
    return value, after


def _scaled(tokens: Sequence[str], at: int, scale: str, times: int, below: _Reader) -> tuple[int, int]:
    """`two hundred and ten`: what stands before the word of a scale, times it, and what follows; without the word as it is."""
    value, after = below(tokens, at)
    if after == at or _word(tokens, after + 1) != scale:
        return value, after
    value, after = value * times, after + 2
    further = after + 3 if _word(tokens, after + 1) == "and" else after + 1
    rest, end = below(tokens, further)
    return (value + rest, end) if end > further and _word(tokens, end + 1) not in _PARTS else (value, after)


def _below_hundred(tokens: Sequence[str], at: int) -> tuple[int, int]:
    word = _word(tokens, at)
    if word in _TENS:
        unit = _ONES.get(_word(tokens, at + 2), 0)
        return (_TENS[word] + unit, at + 3) if 0 < unit < 10 else (_TENS[word], at + 1)
    return (_ONES[word], at + 1) if word in _ONES else (0, at)


def _digits(tokens: Sequence[str], at: int) -> str:
    """Figures said one by one after the point."""
    digits = ""
    while (value := _ONES.get(_word(tokens, at + 2 * len(digits)), 10)) < 10:
        digits += str(value)
    return digits


def _word(tokens: Sequence[str], at: int) -> str:
    """The word at a place; nothing past the end, or where what parts it from the word before is no blank or hyphen."""
    if at >= len(tokens) or (at and not _is_word(tokens[at - 1]) and tokens[at - 1].strip(" -")):
        return ""
    return tokens[at]


def _is_word(token: str) -> bool:
    return token.isalnum()
