"""Sides of what is drawn, what they are finished with, and where the pile lays. Up the drawing is 0 degrees, right is 90.

A door whose side isn't told is drawn at the bottom, as one stands in it and looks in.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum

from remnants.exchange.sentence.scan import Scan
from remnants.model import Finish

__all__ = ["Pile", "Side", "all_of_finish", "landmark_in", "lost_pile_in", "pile_in", "sides_in"]


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

    def among(self, landmarks: Mapping[str, Side]) -> float | None:
        """The bearing, degrees, or None while the side of its landmark isn't known."""
        if self.bearing_deg is not None:
            return self.bearing_deg
        side = landmarks.get(self.landmark, Side.BOTTOM if self.landmark == "door" else None)
        return None if side is None else float((side + 180 * self.away) % 360)


_SIDES = {
    **dict.fromkeys(("left",), Side.LEFT),
    **dict.fromkeys(("right",), Side.RIGHT),
    **dict.fromkeys(("top", "up", "upper", "upwards", "far", "back"), Side.TOP),
    **dict.fromkeys(("bottom", "down", "lower", "downwards", "near", "front"), Side.BOTTOM),
}
_FINISHES = {
    **dict.fromkeys(("wall", "walls", "skirting", "skirtings"), Finish.WALL),
    **dict.fromkeys(("seam", "seams", "joined", "join", "joins"), Finish.SEAM),
    **dict.fromkeys(("transition", "transitions", "threshold", "other floor", "tile", "tiles"), Finish.TRANSITION),
    **dict.fromkeys(("free", "open"), Finish.FREE),
}
_LANDMARKS = {"door": "door", "doorway": "door", "doors": "door", "window": "window", "windows": "window"}
_DEGREES = re.compile(r"(\d{1,3})\s*(?:degrees?|deg|°)")
_LINK = r"(?:(?:is|are|at|on|to|along|the|in|side|sides)\s+)*"
_SIDE = rf"(?:{'|'.join(_SIDES)})\b(?:\s+(?:side|sides|edge|hand|end))?"
_ONE_SIDE = re.compile(rf"\b({'|'.join(_SIDES)})\b")
_SOME = rf"{_SIDE}(?:\s*(?:,|and|&|,\s*and)\s*(?:the\s+)?{_SIDE})*"
_ALL = r"(?:all\s+(?:a?round|sides|four sides|edges)|a?round|everywhere|on all sides)\b"
_FINISH = rf"(?:{'|'.join(sorted(_FINISHES, key=len, reverse=True))})\b"
_LANDMARK = rf"(?:{'|'.join(sorted(_LANDMARKS, key=len, reverse=True))})\b"
_FINISH_FIRST = re.compile(rf"({_FINISH})\s*{_LINK}({_SOME}|{_ALL})")
_SIDES_FIRST = re.compile(rf"(?:the\s+)?({_SOME})\s+(?:(?:is|are|a|an|the)\s+)*({_FINISH})")
_ALL_FIRST = re.compile(rf"(?:all|the rest|the others|other sides|rest)\s+(?:(?:is|are|a|an|of|sides)\s+)*({_FINISH})")
_MARK_FIRST = re.compile(rf"({_LANDMARK})\s*{_LINK}({_SIDE})")
_SIDE_MARK = re.compile(rf"(?:the\s+)?({_SIDE})\s+({_LANDMARK})")
_PILE = re.compile(
    rf"(?:the\s+)?(?:pile|nap)\s+(?:(?:is|lays?|lies|laying|runs?|running|goes|going|leans|leaning|points?|pointing)\s+)*"
    rf"(?P<away>away\s+from\s+)?(?:(?:to|towards?|at|the|on)\s+)*"
    rf"(?:(?P<degrees>{_DEGREES.pattern})|(?P<mark>{_LANDMARK})|(?P<side>{_SIDE})(?:\s+(?:wall|walls)\b)?)"
)
_LOST_PILE = re.compile(
    r"(?:the\s+)?(?:pile|nap)\s+(?:\S+\s+)?(?:away\s+from|to|towards?|at|into|out\s+of)\s+(?:the\s+)?[^\s,;.]+"
)


def lost_pile_in(scan: Scan) -> str:
    """A pile told by something whose side isn't known here, as by the stairs: its words, "" where none is."""
    found = scan.takes(_LOST_PILE)
    return found[0] if found else ""


def sides_in(scan: Scan) -> tuple[str, Finish, tuple[Side, ...]] | None:
    """Sides and their finish where such a phrase stands here: the words, the finish, the sides (all of them for `all round`)."""
    found = scan.takes(_FINISH_FIRST)
    if found:
        return found[0], _FINISHES[found[1]], _sides(found[2])
    found = scan.takes(_SIDES_FIRST)
    return (found[0], _FINISHES[found[2]], _sides(found[1])) if found else None


def all_of_finish(scan: Scan) -> tuple[str, Finish] | None:
    """The finish of all sides not told of: `the rest seams`."""
    found = scan.takes(_ALL_FIRST)
    return (found[0], _FINISHES[found[1]]) if found else None


def landmark_in(scan: Scan) -> tuple[str, str, Side] | None:
    """A door or window and the side that it is on: the words, `door` or `window`, the side."""
    found = scan.takes(_MARK_FIRST)
    if found:
        return found[0], _LANDMARKS[found[1]], _sides(found[2])[0]
    found = scan.takes(_SIDE_MARK)
    return (found[0], _LANDMARKS[found[2]], _sides(found[1])[0]) if found else None


def pile_in(scan: Scan) -> tuple[str, Pile] | None:
    """The way the pile lays, where it is told here, and the words."""
    found = scan.takes(_PILE)
    if not found:
        return None
    away = found["away"] is not None
    if found["degrees"]:
        bearing = float(found["degrees"].rstrip("°degrs ")) % 360
        return found[0], Pile((bearing + 180 * away) % 360)
    if found["mark"]:
        return found[0], Pile(landmark=_LANDMARKS[found["mark"]], away=away)
    return found[0], Pile((_sides(found["side"])[0] + 180.0 * away) % 360)


def _sides(text: str) -> tuple[Side, ...]:
    return tuple(dict.fromkeys(_SIDES[word] for word in _ONE_SIDE.findall(text))) or tuple(Side)
