"""Sides of what is drawn, what they are finished with, and where the pile lays. Up the drawing is 0 degrees, right is 90.

A door whose side isn't told is drawn at the bottom, as one stands in it and looks in.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum

from remnants.exchange.sentence.scan import Scan
from remnants.model import Finish

__all__ = ["LANDMARKS", "ROOMS", "Edges", "Pile", "Side", "landmark_in", "pile_in", "rest_in", "sides_in"]


class Side(IntEnum):
    """A side, by the bearing on which it lies."""

    TOP = 0
    RIGHT = 90
    BOTTOM = 180
    LEFT = 270

    @property
    def word(self) -> str:
        """`top`, `left`."""
        return self.name.lower()


@dataclass(frozen=True, slots=True)
class Pile:
    """The way the pile lays: a bearing in degrees, or to (or `away` from) a landmark whose side is told elsewhere."""

    bearing_deg: float | None = None
    landmark: str = ""
    away: bool = False

    def among(self, landmarks: Mapping[str, frozenset[Side]]) -> float | None:
        """The bearing, degrees, or None while the one side of its landmark isn't known."""
        if self.bearing_deg is not None:
            return self.bearing_deg
        told = landmarks.get(self.landmark, frozenset({Side.BOTTOM}) if self.landmark == "door" else frozenset())
        return float((min(told) + 180 * self.away) % 360) if len(told) == 1 else None


@dataclass(frozen=True, slots=True)
class Edges:
    """Sides and their finish; `general` where all round is said, which a side named by itself overrules."""

    sides: tuple[Side, ...]
    finish: Finish
    general: bool = False

    @property
    def told(self) -> str:
        """`wall left and right`."""
        where = "all round" if len(self.sides) == len(Side) else " and ".join(side.word for side in self.sides)
        return f"{self.finish.value} {where}"


_SIDES = {
    **dict.fromkeys(("left",), Side.LEFT),
    **dict.fromkeys(("right",), Side.RIGHT),
    **dict.fromkeys(("top", "up", "upper", "upwards", "far", "back"), Side.TOP),
    **dict.fromkeys(("bottom", "down", "lower", "downwards", "near", "front"), Side.BOTTOM),
}
_FINISHES = {
    **dict.fromkeys(("wall", "walls", "skirting", "skirtings", "baseboard", "baseboards"), Finish.WALL),
    **dict.fromkeys(("seam", "seams", "seamed", "joined", "join", "joins"), Finish.SEAM),
    **dict.fromkeys(("transition", "transitions", "threshold", "other floor", "tile", "tiles"), Finish.TRANSITION),
    **dict.fromkeys(("free", "open"), Finish.FREE),
}
_DOORS = dict.fromkeys(("door", "doorway", "doors", "entrance"), "door")
_WINDOWS = dict.fromkeys(("window", "windows"), "window")
_STAIRS = dict.fromkeys(("stairs", "staircase"), "stairs")
_THINGS = {word: word for word in ("fireplace", "hearth", "radiator", "sofa", "bed", "desk", "chimney", "balcony", "street")}
ROOMS = {word: word for word in ("closet", "cupboard", "kitchen", "bathroom", "bedroom", "landing", "hall", "garden")}
LANDMARKS = _DOORS | _WINDOWS | _STAIRS | _THINGS | ROOMS
"""What the pile or a side is told by, and what it is called."""
_DEGREES = re.compile(r"(\d{1,3})\s*(?:degrees?|deg|°)")
_WORDS_OF = r"is|are|at|on|to|along|against|the|in|side|sides|of|it"
_LINK = rf"(?:(?:{_WORDS_OF})\s+)*"
_SIDE = rf"(?:{'|'.join(_SIDES)})\b(?!\s+to\s+\d)(?:[\s-]+(?:side|sides|edges?|hand|end)\b)*"
_ONE_SIDE = re.compile(rf"\b({'|'.join(_SIDES)})\b")
_AND = r"(?:\s*,?\s*(?:and|&)\s+|\s*,\s*|\s+)(?:(?:at|on|to|along|the)\s+)*"
_SOME = rf"{_SIDE}(?:{_AND}{_SIDE}(?!\s+(?:FINISH|MARK)))*"
_ALL = (
    r"(?:all\s+(?:the\s+way\s+)?(?:a?round|(?:the\s+|four\s+|4\s+)?(?:sides|edges))|a?round|everywhere|(?:on\s+)?every\s+side)\b"
)
_FINISH = rf"(?:{'|'.join(sorted(_FINISHES, key=len, reverse=True))})\b"
_LANDMARK = rf"(?:{'|'.join(sorted(LANDMARKS, key=len, reverse=True))})\b"
_MARK = rf"(?:{'|'.join(sorted(LANDMARKS.keys() - ROOMS.keys(), key=len, reverse=True))})\b"
"""What is a landmark beside any side; a room is one where it `is` at a side, as it names places too."""
_MANY = _SOME.replace("FINISH", _FINISH).replace("MARK", _LANDMARK)
_BUT = rf"(?:\s*,?\s*(?:except|but(?:\s+not)?|save)\s+(?:for\s+)?{_LINK}(?P<but>{_MANY}))?"
_MEETS = r"(?:(?:is|are|a|an|the|at|by|against|to|it|has|meets?|touch(?:es)?|runs?|along|joins|goes|up|in)\s+)*"
_FINISH_FIRST = re.compile(rf"(?P<finish>{_FINISH})\s*{_LINK}(?:(?P<all>{_ALL}){_BUT}|(?P<some>{_MANY})(?:\s+only\b)?)")
_SIDES_FIRST = re.compile(rf"(?:the\s+)?(?P<some>{_MANY})\s+{_MEETS}(?P<finish>{_FINISH})")
_ALL_FIRST = re.compile(rf"(?P<all>{_ALL})\s+{_MEETS}(?P<finish>{_FINISH}){_BUT}")
_REST = re.compile(
    rf"(?:(?:the\s+)?(?:rest|others|other\s+(?:sides|edges)|remaining\s+(?:sides|edges))|all|everything\s+else)\s+"
    rf"(?:(?:is|are|a|an|of|sides|others?)\s+)*(?P<finish>{_FINISH})"
)
_REST_AFTER = re.compile(rf"(?P<finish>{_FINISH})\s+(?:on\s+|at\s+)?(?:the\s+)?(?:rest|others?|other\s+(?:sides|edges))\b")
_MARK_FIRST = re.compile(rf"((?:{_MARK}|{_LANDMARK}(?=\s+(?:is|are)\b)))\s*{_LINK}({_SIDE})(?!\s+{_FINISH})")
_SIDE_MARK = re.compile(rf"(?:the\s+)?({_SIDE})\s+({_MARK})")
_RUNS = (
    r"(?:(?:is|lays?|lies|lay|laid|laying|lying|runs?|running|goes|going|leans|leaning|points?|pointing|flat"
    r"|(?:up|down|over)(?=\s+to\b))\s+)*"
)
_PILE = re.compile(
    rf"(?:the\s+)?(?:pile|nap)\s+(?:direction\s+)?{_RUNS}"
    rf"(?P<away>away\s+from\s+)?(?:(?:to|towards?|toward|at|the|on|in)\s+)*"
    rf"(?:(?P<degrees>{_DEGREES.pattern})|(?P<mark>{_LANDMARK})"
    rf"|(?P<side>{_SIDE})(?:(?:\s+the)?\s+(?:drawing|stairs)\b|\s+wall\b(?!\s*{_LINK}{_SIDE}|\s*{_LINK}{_ALL}))?)"
    rf"(?!\s+(?:and|or|to)\s+(?:the\s+)?{_SIDE}(?!\s+(?:(?:edge|side|end|hand)\s+)*{_MEETS}(?:{_FINISH}|{_LANDMARK})))"
)


def sides_in(scan: Scan) -> tuple[Edges, ...]:
    """Sides and their finish where such a phrase stands here; two where some sides are excepted from the rest."""
    for pattern in (_FINISH_FIRST, _SIDES_FIRST, _ALL_FIRST):
        found = scan.takes(pattern)
        if found:
            break
    else:
        return ()
    finish, parts = _FINISHES[found["finish"]], found.groupdict()
    if some := parts.get("some"):
        return (Edges(_sides(some), finish),)
    if but := parts.get("but"):
        kept = _sides(but)
        return (Edges(tuple(side for side in Side if side not in kept), finish),)
    return (Edges(tuple(Side), finish, general=True),)


def rest_in(scan: Scan) -> Finish | None:
    """The finish of all sides not told of: `the rest seams`."""
    found = scan.takes(_REST) or scan.takes(_REST_AFTER)
    return _FINISHES[found["finish"]] if found else None


def landmark_in(scan: Scan) -> tuple[str, Side] | None:
    """A door, window or the like and the side that it is on."""
    found = scan.takes(_MARK_FIRST)
    if found:
        return LANDMARKS[found[1]], _sides(found[2])[0]
    found = scan.takes(_SIDE_MARK)
    return (LANDMARKS[found[2]], _sides(found[1])[0]) if found else None


def pile_in(scan: Scan) -> Pile | None:
    """The way the pile lays, where it is told here."""
    found = scan.takes(_PILE)
    if not found:
        return None
    away = found["away"] is not None
    if found["degrees"]:
        bearing = float(found["degrees"].rstrip("°degrs ")) % 360
        return Pile((bearing + 180 * away) % 360)
    if found["mark"]:
        return Pile(landmark=LANDMARKS[found["mark"]], away=away)
    return Pile((_sides(found["side"])[0] + 180.0 * away) % 360)


def _sides(text: str) -> tuple[Side, ...]:
    return tuple(dict.fromkeys(_SIDES[word] for word in _ONE_SIDE.findall(text)))
