"""Well-formed questions in one line, built of parts, said in several wordings, with what they must come to."""

import random
from dataclasses import dataclass, field
from typing import Any

from remnants.matching.stock_names import Label, StockNames
from remnants.units import Unit

__all__ = ["NAMES", "NONSENSE", "Spoken", "spoken"]

NAMES = StockNames(
    [
        Label("Aldern Twist", "Wheat", "4471-B"),
        Label("Aldern Twist", "Oak"),
        Label("Velder Loop", "Oatmeal"),
        Label("Velder Loop", "Slate"),
        Label("Harrow Saxony"),
    ],
    {},
)
NONSENSE = ("zxqv", "blorptix", "wug", "qumfle", "dragonfruit")

_SIDES = ("bottom", "right", "top", "left")
_BEARINGS = {"up": 0, "right": 90, "down": 180, "left": 270}
_PILES = {
    "up": ("pile up", "the pile runs up", "pile away from the door, door at the bottom", "pile to the top"),
    "right": ("pile right", "pile to the right", "the pile lays to the right", "door on the right, pile to the door"),
    "down": ("pile down", "the pile is down", "pile to the bottom wall", "pile runs towards the window, window at the bottom"),
    "left": ("pile left", "nap to the left side", "the pile leans left", "left window, pile to the window"),
}
_PLACES = ("hall", "landing", "the spare bedroom", "burn by the sofa", "study")
_CLOSETS = {"closet": "laid", "pantry": "laid", "attic": "kept", "offcut": "offcut"}


@dataclass
class Spoken:
    """A question: its phrases, each a list of words that go together, and what it must be read as."""

    phrases: list[str]
    unit: Unit
    job: dict[str, Any]
    patch: dict[str, Any]
    pieces: list[dict[str, Any]] = field(default_factory=list)

    @property
    def text(self) -> str:
        """As it is said."""
        return "; ".join(self.phrases)


def spoken(rng: random.Random) -> Spoken:
    """A well-formed question by chance."""
    unit = rng.choice((Unit.IN, Unit.CM, Unit.MM))
    size, patch = _size(rng, unit)
    name = rng.choice(_PLACES)
    way = rng.choice(tuple(_PILES))
    edges, told = ("seam", "") if "radius" in patch else _edges(rng)
    patch |= {"name": name.removeprefix("the "), "pile": _BEARINGS[way]}
    patch |= {"edges": edges} if "outline" not in patch else {}
    about = [told] if told and "outline" not in patch else []
    about.append(rng.choice(_PILES[way]))
    count, worn = rng.choice((1, 1, 2, 3)), rng.choice((None, None, 1, 2))
    if count > 1:
        patch["count"] = count
        about.append(f"{count} of them")
    if worn is not None:
        patch["worn"] = worn
        about.append(rng.choice((f"worn {worn}", "hardly worn" if worn == 1 else "worn 2")))
    rng.shuffle(about)
    joint = rng.choice((", ", " and ", ", and "))
    first = f"{rng.choice(('', 'the ', 'please fill the '))}{name.removeprefix('the ')} {size}{joint}{joint.join(about)}"
    carpet, job = _carpet(rng)
    phrases = [first, carpet, *_settings(rng, job)]
    pieces = []
    for room in rng.sample(tuple(_CLOSETS), rng.choice((0, 1, 1, 2))):
        said, piece = _closet(rng, room, unit)
        pieces.append(piece)
        phrases.append(said)
    rng.shuffle(phrases)
    order = sorted(pieces, key=lambda piece: next(at for at, each in enumerate(phrases) if str(piece["room"]) in each.split()))
    return Spoken(phrases, unit, job, patch, order)


def _length(rng: random.Random, unit: Unit) -> tuple[str, float]:
    """A length of some size and its figure in `unit`, said in one of several ways."""
    if unit is Unit.IN:
        whole, half = rng.randint(20, 70), rng.choice((0, 0.5))
        plain = f"{whole} 1/2" if half else str(whole)
        feet, inches = divmod(whole, 12)
        rest = f"{inches} 1/2" if half else str(inches)
        ways = (plain, f"{plain} in", f'{plain}"', f"{feet} ft {rest} in", f"{feet}' {rest}\"", f"{plain} inches")
        return rng.choice(ways), whole + half
    per = 10 if unit is Unit.CM else 1
    mm = rng.randint(50, 180) * 10
    metric = [f"{mm / per:g} {unit}", f"{mm} mm", f"{mm / 10:g} cm", f"{mm / 10:.1f} cm".replace(".", ",")]
    return rng.choice(metric), mm / per


def _size(rng: random.Random, unit: Unit) -> tuple[str, dict[str, Any]]:
    (one, width), (other, length) = _length(rng, unit), _length(rng, unit)
    kind = rng.choice(("plain", "plain", "labels", "circle", "ell", "step"))
    if kind == "circle":
        said = rng.choice((f"circle of {one}", f"{one} circle", f"round, {one} across", f"circle {one} in diameter"))
        if unit is Unit.IN and "diameter" in said:
            said = f"circle of {one}"
        return said, {"radius": width / 2}
    if kind == "labels":
        wide, long = rng.choice(("wide", "across")), rng.choice(("long", "deep"))
        ways = (f"{one} {wide} {other} {long}", f"{other} {long} by {one} {wide}", f"{one} {wide} and {other} {long}")
        return rng.choice(ways), {"width": width, "length": length}
    if kind == "ell":
        corner = rng.choice(("upper left", "upper right", "bottom left", "lower right"))
        notch = rng.choice((f"notch 20 cm x 20 cm {corner}", f"a 20 cm x 20 cm notch at the {corner}"))
        return f"L-shaped, {one} x {other}, {notch}", {"outline": (width, length, corner)}
    if kind == "step":
        return f"stair step tread {one}, riser {other}, 90 cm wide", {"width": _in(900, unit), "length": width + length}
    by = rng.choice((" x ", " by ", "×" if not one.endswith('"') else " x "))
    return f"{one}{by}{other}", {"width": width, "length": length}


def _in(length_mm: float, unit: Unit) -> float:
    return length_mm / {Unit.IN: 25.4, Unit.CM: 10, Unit.MM: 1}[unit]


def _edges(rng: random.Random) -> tuple[Any, str]:
    kind = rng.choice(("none", "all", "some", "rest", "but"))
    if kind == "none":
        return "seam", ""
    if kind == "all":
        return "wall", rng.choice(("walls all round", "wall on all sides", "all sides are walls"))
    one, other = rng.sample(_SIDES, 2)
    if kind == "but":
        return [("seam" if side == one else "wall") for side in _SIDES], f"wall on all sides except the {one}"
    finish = rng.choice(("wall", "transition"))
    told = rng.choice((f"{finish} {one}", f"{finish} at the {one}", f"{one} edge is {finish}", f"the {one} side meets {finish}"))
    edges = [(finish if side == one else "seam") for side in _SIDES]
    if kind == "rest":
        told, edges = f"{told}, the rest free", ["free" if each == "seam" else each for each in edges]
    elif rng.random() < 0.5:
        told, edges = f"{finish} {one} and {other}", [(finish if side in (one, other) else "seam") for side in _SIDES]
    return edges, told


def _carpet(rng: random.Random) -> tuple[str, dict[str, Any]]:
    style, colour = rng.choice((("Aldern Twist", "Wheat"), ("Velder Loop", "Slate"), ("Harrow Saxony", ""), ("Aldern Twist", "")))
    both = f"{style} {colour}".strip()
    said = rng.choice((both, both.lower(), f"it is {both} carpet", f"the carpet is {style} in {colour}" if colour else both))
    return said, {"style": style} | ({"colour": colour} if colour else {})


def _settings(rng: random.Random, job: dict[str, Any]) -> list[str]:
    told = []
    if rng.random() < 0.3:
        job["lot"] = "4471-B"
        told.append(rng.choice(("lot 4471-b", "dye lot 4471-B")))
    if rng.random() < 0.3:
        parts = rng.choice((1, 2, 3))
        job["max_parts"] = parts
        told.append(f"up to {parts} parts" if parts > 1 else rng.choice(("in one piece", "no seams")))
    if rng.random() < 0.2:
        job["avoid"] = ["R-0188"]
        told.append("not R-0188")
    if rng.random() < 0.2:
        job["job"] = "Alder Court 7"
        told.append("job Alder Court 7")
    return told


def _closet(rng: random.Random, room: str, unit: Unit) -> tuple[str, dict[str, Any]]:
    (one, width), (other, length) = _length(rng, unit), _length(rng, unit)
    way = rng.choice(tuple(_BEARINGS))
    said = rng.choice(
        (f"{room} {one} x {other} pile {way}", f"the {room} is {one} by {other}, with the pile to the {_SAME[way]}")
    )
    return said, {"room": room, "kind": _CLOSETS[room], "width": width, "length": length, "pile": _BEARINGS[way]}


_SAME = {"up": "top", "right": "right", "down": "bottom", "left": "left"}
