"""Makes `stock.json`: the stock of a shop that doesn't exist, the same each time.

Style names, lots, places and customers are invented. Lengths are inches. Run it from anywhere; it writes beside itself,
and the same for the pages' invented shop (`remnants serve --demo`), which an installed program brings along.
"""

import json
import random
from pathlib import Path
from typing import Any

OUT = (Path(__file__).with_name("stock.json"), Path(__file__).parent.parent / "web" / "remnants_web" / "demo" / "stock.json")
NOTE = "Invented data: the styles, suppliers, lots, places and customers of this shop do not exist."

STYLES = [
    {"name": "Velder Loop", "construction": "loop", "roll_width": 144, "row": 0.25},
    {"name": "Aldern Twist", "construction": "cut", "roll_width": 144},
    {"name": "Quillam Plush", "construction": "cut", "roll_width": "15'"},
    {
        "name": "Tarn Hollow",
        "construction": "cut-and-loop",
        "roll_width": 144,
        "repeat": {"across": 12, "along": 18, "drop": 0.5},
    },
    {"name": "Sedgeby Weave", "construction": "woven", "roll_width": "4 m", "repeat": {"across": 9, "along": 9, "drop": 0}},
    {"name": "Brackle Cord", "construction": "needled", "roll_width": "2 m"},
]
COLOURS: dict[str, dict[str, tuple[str, ...]]] = {
    "Velder Loop": {"Oatmeal": ("4471-B", "4502-A"), "Slate": ("4488-C",), "Moss": ("4490-A", "4490-D")},
    "Aldern Twist": {"Wheat": ("7703",), "Ash Grey": ("7710", "7741"), "Claret": ("7725",)},
    "Quillam Plush": {"Dove": ("Q118", "Q121"), "Ink": ("Q204",)},
    "Tarn Hollow": {"Heather": ("31-208", "31-215"), "Reed": ("31-240",)},
    "Sedgeby Weave": {"Flax": ("S-66",), "Charcoal": ("S-71", "S-72")},
    "Brackle Cord": {"Graphite": ("B09",), "Rust": ("B12",)},
}
BOUGHT = {
    "Velder Loop": ("Sallowby Mills", "18.50 EUR per m2"),
    "Aldern Twist": ("Sallowby Mills", "27 EUR per m2"),
    "Quillam Plush": ("Nether Quill Weavers", "34.50 EUR per m2"),
    "Tarn Hollow": ("Nether Quill Weavers", "41 EUR per m2"),
    "Sedgeby Weave": ("Nether Quill Weavers", "58 EUR per m2"),
    "Brackle Cord": ("Marrowfen Floors", "9.80 EUR per m2"),
}
"""Of whom each style is bought, and for how much."""
REPEATS = {"Tarn Hollow": (12, 18), "Sedgeby Weave": (9, 9)}
CUSTOMERS = ("Alder Court 7", "Fennel Row 12", "Tollgate Yard 3", "Millrace House", "Plover Close 21")
SETTLED = ("Aldern Twist", "Wheat")
"""The hallway's carpet: its few pieces are told by hand below, so that none but the closet's can help."""

BY_HAND: list[dict[str, Any]] = [
    {
        "tag": "L-0101", "kind": "laid", "style": "Aldern Twist", "colour": "Wheat", "lot": "7703", "width": 84, "length": 31.5,
        "cutouts": [[[81, 0], [84, 0], [84, 3], [81, 3]]], "pile": 0, "place": "Tollgate Yard 3, hall closet", "worn": 1,
    },
    {
        "tag": "K-0031", "kind": "kept", "style": "Aldern Twist", "colour": "Wheat", "lot": "7703", "width": 22, "length": 26,
        "pile": 0, "place": "Tollgate Yard 3, attic", "worn": 0,
    },
    {
        "tag": "R-0188", "kind": "remnant", "style": "Aldern Twist", "colour": "Wheat", "lot": "7688", "width": 144,
        "length": 17.5, "pile": 0, "place": "Bay 2", "worn": 0,
    },
    {
        "tag": "O-0140", "kind": "offcut", "style": "Aldern Twist", "colour": "Wheat", "lot": "7688", "width": 30, "length": 96,
        "pile": 0, "place": "Bay 2", "worn": 0,
    },
    {
        "tag": "R-0142", "kind": "remnant", "style": "Velder Loop", "colour": "Oatmeal", "lot": "4471-B", "width": 40,
        "length": 66, "cutouts": [[[3, 3], [9, 3], [9, 9], [3, 9]]], "pile": 0, "place": "Bay 3", "worn": 1,
    },
    {
        "tag": "K-0044", "kind": "kept", "style": "Velder Loop", "colour": "Oatmeal", "lot": "4471-B",
        "outline": [[0, 0], [52, 0], [52, 20], [18, 20], [18, 47], [0, 47]], "pile": 37,
        "place": "Alder Court 7, under the stairs", "worn": 0,
    },
    {
        "tag": "O-0152", "kind": "offcut", "style": "Quillam Plush", "colour": "Ink", "lot": "Q204", "width": "9' 4 1/2\"",
        "length": "5' 2\"", "pile": 180, "place": "Bay 6", "worn": 0,
    },
    {
        "tag": "R-0160", "kind": "remnant", "style": "Sedgeby Weave", "colour": "Flax", "lot": "S-66", "width": "4 m",
        "length": "1,35 m", "pile": 0, "motif": ["10 cm", "12 cm"], "place": "Bay 8", "worn": 0,
    },
]  # fmt: skip

STRIPS: list[dict[str, Any]] = [
    {
        "tag": f"R-02{number:02}", "kind": "remnant", "style": "Brackle Cord", "colour": "Graphite", "lot": "B09",
        "width": 79 - number, "length": 7.5 + number / 2, "pile": 0, "place": "Bay 9", "worn": 0,
    }
    for number in range(1, 8)
]  # fmt: skip
"""Squared off the ends of rolls: each too narrow to keep."""

KINDS = {
    "remnant": ("R", 40, (36, 144), (24, 160)),
    "offcut": ("O", 42, (14, 72), (14, 96)),
    "kept": ("K", 18, (18, 60), (18, 84)),
    "laid": ("L", 12, (24, 96), (22, 48)),
}
"""Tag letter, how many, range of widths and lengths (in)."""


def half_inch(source: random.Random, least: float, most: float) -> float:
    """A figure from `least` to `most` in half inches; whole ones without a point."""
    figure = source.randint(round(least * 2), round(most * 2)) / 2
    return int(figure) if figure == int(figure) else figure


def shape(source: random.Random, width: float, length: float) -> dict[str, Any]:
    """Mostly a rectangle; else an L, a slanted end or a stepped one (in)."""
    kind = source.random()
    if kind < 0.7:
        return {"width": width, "length": length}
    inner, shoulder = half_inch(source, width * 0.35, width * 0.7), half_inch(source, length * 0.35, length * 0.7)
    if kind < 0.85:
        return {"outline": [[0, 0], [width, 0], [width, shoulder], [inner, shoulder], [inner, length], [0, length]]}
    if kind < 0.95:
        return {"outline": [[0, 0], [width, 0], [width, shoulder], [0, length]]}
    step = half_inch(source, shoulder * 0.3, shoulder * 0.6)
    return {"outline": [[0, 0], [width, 0], [width, length], [inner, length], [inner, shoulder], [0, shoulder - step]]}


def cutouts(source: random.Random, width: float, length: float) -> dict[str, Any]:
    """Now and then a burn, a stain or the hole of a pipe near the first corner, which every shape has (in)."""
    if source.random() > 0.2:
        return {}
    side = half_inch(source, 2, min(6, width * 0.2, length * 0.15))
    x, y = half_inch(source, 1, width * 0.3 - side * 0.5), half_inch(source, 1, length * 0.2)
    return {"cutouts": [[[x, y], [x + side, y], [x + side, y + side], [x, y + side]]]}


def place(source: random.Random, kind: str) -> str:
    """Where a piece of this kind lies."""
    match kind:
        case "kept":
            return f"{source.choice(CUSTOMERS)}, {source.choice(('attic', 'garage', 'cellar'))}"
        case "laid":
            return f"{source.choice(CUSTOMERS)}, {source.choice(('bedroom closet', 'hall closet', 'under the sideboard'))}"
        case _:
            return f"Bay {source.randint(1, 9)}"


def piece(source: random.Random, kind: str, tag: str) -> dict[str, Any]:
    """One made-up piece (in)."""
    _, _, widths, lengths = KINDS[kind]
    width, length = half_inch(source, *widths), half_inch(source, *lengths)
    colourways = [(style, colour) for style, colours in COLOURS.items() for colour in colours if (style, colour) != SETTLED]
    style, colour = source.choice(colourways)
    made: dict[str, Any] = {"tag": tag, "kind": kind, "style": style, "colour": colour}
    made["lot"] = source.choice(COLOURS[style][colour])
    made |= shape(source, width, length) | cutouts(source, width, length)
    made["pile"] = source.choices((0, 180, 90, 270, 15, 348.5), (60, 12, 10, 6, 1, 1))[0]
    if style in REPEATS:
        across, along = REPEATS[style]
        made["motif"] = [half_inch(source, 0, across), half_inch(source, 0, along)]
    made["place"] = place(source, kind)
    made["worn"] = (
        source.choices((0, 1, 2, 3), (50, 30, 15, 5))[0] if kind in ("remnant", "offcut", "kept") else source.randint(1, 3)
    )
    return made


def stock() -> dict[str, Any]:
    """The whole stock file."""
    source = random.Random("a shop that does not exist")
    taken = {made["tag"] for made in BY_HAND}
    pieces = list(BY_HAND)
    for kind, (letter, count, _, _) in KINDS.items():
        tags = (f"{letter}-{number:04d}" for number in range(101, 1000))
        free = (tag for tag in tags if tag not in taken)
        pieces += [piece(source, kind, next(free)) for _ in range(count)]
    there = sorted([*pieces, *STRIPS], key=lambda made: made["tag"])
    return {"note": NOTE, "unit": "in", "styles": STYLES, "pieces": [bought(made, number) for number, made in enumerate(there)]}


def bought(made: dict[str, Any], number: int) -> dict[str, Any]:
    """What is in store with its supplier and, but for one piece in six, its cost, which nobody told of those."""
    if made["kind"] not in ("remnant", "offcut"):
        return made
    supplier, cost = BOUGHT[made["style"]]
    return made | {"supplier": supplier} | ({"cost": cost} if number % 6 else {})


def written() -> str:
    """The file's text: a line each style and piece, so that it can be read and compared."""
    made = stock()
    lines = {key: ",\n  ".join(json.dumps(one, ensure_ascii=False) for one in made[key]) for key in ("styles", "pieces")}
    head = f'"note": {json.dumps(made["note"])},\n "unit": "in"'
    return f'{{{head},\n "styles": [\n  {lines["styles"]}],\n "pieces": [\n  {lines["pieces"]}]}}\n'


if __name__ == "__main__":
    for out in OUT:
        out.write_text(written(), encoding="utf-8")
