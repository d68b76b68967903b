"""Texts as people type them, brought to one form: case, accents, abbreviations, and characters that are misread."""

import re
import unicodedata
from functools import lru_cache
from itertools import product

from remnants.errors import BadInput
from remnants.limits import WORDS_CHARACTERS

__all__ = [
    "NOISE",
    "PLAIN",
    "SPELLED",
    "checked",
    "fold",
    "lot_key",
    "lot_reading",
    "misreadings",
    "reading",
    "skeleton",
    "words_of",
]

UNDECOMPOSED = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "æ": "ae", "œ": "oe", "ı": "i"})
MISREAD = str.maketrans({"o": "0", "i": "1", "l": "1", "s": "5", "b": "8"})
READ_ALIKE = ("0O", "1IL", "5S", "8B")
VOWELS = frozenset("aeiouy")
WORD = re.compile(r"[^\W_]+")
APOSTROPHE = re.compile(r"['’ʼ`]")

SPELLED = {
    "bbr": "berber", "berb": "berber", "brbr": "berber", "lp": "loop", "lps": "loop", "loops": "loop", "twst": "twist",
    "tw": "twist", "plsh": "plush", "pls": "plush", "sax": "saxony", "frz": "frieze", "vlvt": "velvet", "txt": "texture",
    "ptn": "pattern", "patt": "pattern", "dk": "dark", "drk": "dark", "lt": "light", "lgt": "light", "med": "medium",
    "md": "medium", "gray": "grey", "gry": "grey", "gy": "grey", "bge": "beige", "bg": "beige", "brn": "brown", "blk": "black",
    "bk": "black", "wht": "white", "grn": "green", "gn": "green", "blu": "blue", "bl": "blue", "rd": "red", "crm": "cream",
    "ivry": "ivory", "nat": "natural", "natl": "natural", "hthr": "heather", "htr": "heather", "oatml": "oatmeal",
    "chr": "charcoal", "charc": "charcoal", "tpe": "taupe", "slt": "slate", "snd": "sand",
}  # fmt: skip
"""Abbreviations of carpet words on tags and in messages: common practice, no source."""

PLAIN = frozenset({
    "loop", "twist", "berber", "plush", "saxony", "frieze", "velvet", "cut", "pile", "tufted", "woven", "needled", "needlefelt",
    "texture", "textured", "broadloom", "wool", "nylon",
})  # fmt: skip
"""Words that say how a carpet is made: many styles have them, so they alone name none."""

NOISE = frozenset({
    "carpet", "carpets", "carpeting", "rug", "style", "colour", "color", "lot", "batch", "dye", "dyelot", "the", "in", "of",
    "and",
})  # fmt: skip
"""Words around a name that are not part of it."""


def checked(text: str, what: str = "the words") -> str:
    """The text, trimmed. Raises BadInput when it is longer than any name."""
    if len(text) > WORDS_CHARACTERS:
        raise BadInput(f"{what} are {len(text):,} characters long; give at most {WORDS_CHARACTERS}: style, colour, lot or tag")
    return text.strip()


@lru_cache(maxsize=65536)
def fold(text: str) -> str:
    """Lower case without accents: `Crème Brûlée` and `creme brulee` are one."""
    plain = text.casefold().translate(UNDECOMPOSED)
    if plain.isascii():
        return plain
    return "".join(mark for mark in unicodedata.normalize("NFKD", plain) if not unicodedata.combining(mark))


def words_of(text: str) -> tuple[str, ...]:
    """The words of a text, folded, abbreviations written out: `Dk. Oat LP` gives dark, oat, loop."""
    return tuple(SPELLED.get(word, word) for word in WORD.findall(APOSTROPHE.sub("", fold(text))))


@lru_cache(maxsize=65536)
def skeleton(word: str) -> str:
    """A word without its vowels (the first letter stays), doubled letters once: what is left when vowels are dropped."""
    kept = [mark for index, mark in enumerate(word) if index == 0 or mark not in VOWELS]
    return "".join(mark for index, mark in enumerate(kept) if index == 0 or mark != kept[index - 1])


def lot_key(text: str) -> str:
    """A lot or tag without case, spaces and dashes: `4471-B`, `4471 b` and `4471b` are one."""
    return "".join(WORD.findall(fold(text)))


def reading(word: str) -> str:
    """A folded code with O/0, I/l/1, S/5 and B/8 read as the digit."""
    return word.translate(MISREAD)


def lot_reading(text: str) -> str:
    """The lot key with O/0, I/l/1, S/5 and B/8 read as one: two lots of one reading are the same on a torn tag."""
    return reading(lot_key(text))


def misreadings(code: str, *, most_places: int = 6) -> tuple[str, ...]:
    """The ways to write a tag or lot (upper case) that are read like it; only itself when too many places can be misread."""
    text = code.strip().upper()
    kinds = [next((kind for kind in READ_ALIKE if mark in kind), mark) for mark in text]
    if sum(len(kind) > 1 for kind in kinds) > most_places:
        return (text,)
    return tuple(dict.fromkeys((text, *map("".join, product(*kinds)))))
