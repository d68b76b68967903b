"""Names made up from a seed, and the ways in which people get them wrong: for tests and benchmarks."""

import random

__all__ = ["COLOURS", "labels", "noisy", "styles"]

STARTS = ["Vel", "Har", "Mar", "Al", "Bra", "Cor", "Dun", "El", "Fen", "Gal", "Hol", "Il", "Kes", "Lor", "Mon", "Nor", "Os",
          "Pen", "Quar", "Ro", "Sel", "Tam", "Ul", "Wen", "Yar", "Zel", "Ash", "Bir", "Cal", "Den"]  # fmt: skip
MIDDLES = ["d", "l", "m", "n", "r", "st", "th", "v", "w", "b", "ck", "g"]
ENDS = ["er", "on", "ey", "ow", "and", "ish", "ide", "um", "ell", "aby", "ock", "ine"]
MAKES = ["Loop", "Twist", "Berber", "Plush", "Saxony", "Frieze", "Velvet", "Weave"]
COLOURS = ["Oatmeal", "Sand", "Slate", "Charcoal", "Ivory", "Taupe", "Moss", "Rust", "Denim", "Pewter", "Walnut", "Linen",
           "Graphite", "Heather", "Claret", "Teal", "Mustard", "Fog", "Pebble", "Espresso"]  # fmt: skip
SHADES = ["", "Light ", "Dark ", "Warm ", "Cool "]
KEYS = ["qwertyuiop", "asdfghjkl", "zxcvbnm"]
SHORT = {"loop": "lp", "berber": "bbr", "twist": "twst", "dark": "dk", "light": "lt", "plush": "plsh", "frieze": "frz"}
CONFUSED = {"0": "O", "O": "0", "1": "l", "I": "1", "5": "S", "S": "5", "8": "B", "B": "8"}


def styles(count: int) -> list[str]:
    """That many different style names, such as `Velder Loop`."""
    words = [start + middle + end for end in ENDS for middle in MIDDLES for start in STARTS]
    return [f"{word} {make}" for make in MAKES for word in words][:count]


def labels(count: int, rng: random.Random) -> list[tuple[str, str, str]]:
    """That many different (style, colour, lot)."""
    names = styles(max(8, count // 25))
    found: dict[tuple[str, str, str], None] = {}
    while len(found) < count:
        colour = rng.choice(SHADES) + rng.choice(COLOURS)
        found[rng.choice(names), colour, f"{rng.randrange(1000, 10_000)}-{rng.choice('ABCDISOL')}"] = None
    return list(found)


def noisy(text: str, rng: random.Random, slips: int = 1) -> str:
    """The text with that many things wrong with it, each of another kind."""
    for way in rng.sample([_slip, _no_vowels, _swap_words, _swap_letters, _drop, _shorten, _join], slips):
        text = way(text, rng)
    return text.lower() if rng.random() < 0.5 else text


def confused(lot: str, rng: random.Random) -> str:
    """The lot with one character read as another; as it was when it has none that is misread."""
    at = [index for index, mark in enumerate(lot) if mark in CONFUSED]
    if not at:
        return lot
    index = rng.choice(at)
    return lot[:index] + CONFUSED[lot[index]] + lot[index + 1 :]


def _letters(text: str) -> list[int]:
    return [index for index, mark in enumerate(text) if mark.isalpha() and index and text[index - 1] != " "]


def _slip(text: str, rng: random.Random) -> str:
    at = rng.choice(_letters(text))
    row = next(row for row in KEYS if text[at].lower() in row)
    place = row.index(text[at].lower())
    return text[:at] + row[max(0, place - 1) if rng.random() < 0.5 else min(len(row) - 1, place + 1)] + text[at + 1 :]


def _no_vowels(text: str, rng: random.Random) -> str:
    words = text.split()
    at = rng.randrange(len(words))
    words[at] = words[at][0] + "".join(mark for mark in words[at][1:] if mark not in "aeiou")
    return " ".join(words)


def _swap_words(text: str, rng: random.Random) -> str:
    words = text.split()
    rng.shuffle(words)
    return " ".join(words)


def _swap_letters(text: str, rng: random.Random) -> str:
    at = rng.choice([index for index in _letters(text) if index + 1 < len(text) and text[index + 1] != " "] or [1])
    return text[:at] + text[at + 1] + text[at] + text[at + 2 :]


def _drop(text: str, rng: random.Random) -> str:
    at = rng.choice(_letters(text))
    return text[:at] + text[at + 1 :]


def _shorten(text: str, rng: random.Random) -> str:
    return " ".join(SHORT.get(word.lower(), word) for word in text.split())


def _join(text: str, rng: random.Random) -> str:
    words = text.split()
    at = rng.randrange(len(words))
    return " ".join([*words[:at], "".join(words[at : at + 2]), *words[at + 2 :]])
