"""One clause of a sentence: what it tells of one patch, or of one piece of carpet."""

import re
from dataclasses import dataclass, field

from remnants.exchange.sentence.heard import Heard
from remnants.exchange.sentence.scan import Scan
from remnants.exchange.sentence.shapes import Shape, shape_in
from remnants.exchange.sentence.sides import Pile, Side, all_of_finish, landmark_in, lost_pile_in, pile_in, sides_in
from remnants.model import Finish, Kind
from remnants.model.piece import WORN_STEPS, WORN_WORDS
from remnants.units import Unit

__all__ = ["DONORS", "Clause", "clauses_of"]

DONORS = {
    **dict.fromkeys(("closet", "closets", "cupboard", "wardrobe", "pantry", "under"), Kind.LAID),
    **dict.fromkeys(("attic", "loft", "basement", "cellar", "garage", "shed", "kept"), Kind.KEPT),
    **dict.fromkeys(("offcut", "offcuts"), Kind.OFFCUT),
    **dict.fromkeys(("remnant", "remnants"), Kind.REMNANT),
}
"""Words that open a clause about carpet that is there, and what kind of piece it is: common practice, no source."""

_END = re.compile(r"[;\n]|(?<!in)(?<!ft)(?<!cm)(?<!mm)(?<!\bm)\.\s+(?=[a-z])")
"""A semicolon, a new line, or the full stop of a sentence; not that of `ft.`"""
_LOT = re.compile(r"(?:dye\s*)?lot\s+(?:is\s+|number\s+)?([^\s,;]+)")
_WHOLE = re.compile(r"(?:in\s+(?:one|1)\s+piece|no\s+seams?|without\s+(?:a\s+)?seams?)\b")
_PARTS = re.compile(r"(?:up\s+to|at\s+most)\s+(\d)\s+(?:parts?|pieces?)\b")
_EITHER = re.compile(r"(?:the\s+)?pile\s+either\s+way\b")
_USE = re.compile(r"(?:use|from)\s+([a-z]+-\d+)\b")
_AVOID = re.compile(r"(?:not|avoid|without)\s+(?:from\s+)?([a-z]+-\d+)\b")
_ALLOWANCE = re.compile(r"(seam|wall|transition)\s+allowance\b(?:\s+(?:of|is))*")
_ANY = re.compile(r"any\s+(?:carpet|style)\b")
_JOB = re.compile(r"(?:job|house)\s+([^,;\n]+)")
_NOISE = re.compile(
    r"(?:a|an|the|with|and|there|is|are|it|its|of|for|has|have|from|i|we|need|needs|got|please|patch|piece|then|to|fill|in)\b"
)
_MOST_WORDS = 6
_COUNT = re.compile(r"(\d{1,3})\s+(?:patches|steps|stairs|treads|times|of\s+(?:them|these))\b")
_WORN = re.compile(rf"(?:worn\s+([0-4])|({'|'.join(sorted(WORN_STEPS, key=len, reverse=True))}))\b")


@dataclass
class Clause:
    """What a clause told so far; `name` are the words before its size, `loose` those that stand for nothing yet."""

    name: str = ""
    shape: Shape | None = None
    pile: Pile | None = None
    finishes: list[tuple[tuple[Side, ...], Finish]] = field(default_factory=list)
    rest: Finish | None = None
    landmarks: dict[str, Side] = field(default_factory=dict)
    count: int = 1
    worn: int | None = None
    settings: dict[str, object] = field(default_factory=dict)
    loose: list[str] = field(default_factory=list)
    heard: list[Heard] = field(default_factory=list)

    @property
    def kind(self) -> Kind | None:
        """The kind of piece that its name speaks of, None where it speaks of no carpet that is there."""
        return next((DONORS[word] for word in self.name.split() if word in DONORS), None)

    def note(self, words: str, key: str, told: str) -> None:
        """Keeps what some words are taken for."""
        self.heard.append(Heard(words.strip(" ,."), key, told, self.name))


def clauses_of(text: str, unit: Unit) -> list[Clause]:
    """The clauses of a sentence in plain marks, bare figures in `unit`: they end at a semicolon, a full stop or a line's end, and
    where carpet that is there is named after a size.
    """
    found: list[Clause] = []
    for part in _END.split(text):
        scan = Scan(part, unit)
        while not scan.ended:
            found.append(_clause(scan))
    return found


def _clause(scan: Scan) -> Clause:
    clause, words, start = Clause(), list[str](), scan.at
    while not scan.ended:
        before = scan.at
        if clause.shape and _opens_another(scan):
            break
        if not clause.shape and (told := shape_in(scan)):
            words = words or (clause.loose.pop().split() if clause.loose else [])
            _put_by(clause, words[:-_MOST_WORDS])
            clause.name, words = _name(words[-_MOST_WORDS:]), []
            clause.shape = told[1]
            clause.note(told[0], "size", told[1].told)
            clause.finishes += [(told[1].walls, Finish.WALL)] if told[1].walls else []
        elif _phrase(scan, clause):
            words = _put_by(clause, words)
        elif not (scan.takes(_NOISE) and (clause.shape or not words)):
            scan.at = before
            words += filter(None, [scan.takes_word()])
        if scan.text[before : scan.at].rstrip().endswith(","):
            words = _put_by(clause, words)
    _put_by(clause, words)
    assert scan.at > start, "a clause takes something"
    return clause


def _name(words: list[str]) -> str:
    """What stands before a size, without the words around it: `the hall is` is the hall."""
    named = list(words)
    while named and _NOISE.fullmatch(named[-1]):
        named.pop()
    while named and _NOISE.fullmatch(named[0]):
        named.pop(0)
    return " ".join(named)


def _put_by(clause: Clause, words: list[str]) -> list[str]:
    """Keeps words that stand for nothing yet as one run, and begins the next."""
    if words:
        clause.loose.append(" ".join(words))
    return []


def _opens_another(scan: Scan) -> bool:
    """Whether carpet that is there is named next, with a size of its own."""
    ahead = Scan(scan.text, scan.unit)
    ahead.at = scan.at
    while ahead.takes(_NOISE):
        pass
    return ahead.takes_word() in DONORS


def _phrase(scan: Scan, clause: Clause) -> bool:
    """Reads one phrase into the clause, if one stands here."""
    if either := scan.takes(_EITHER):
        clause.settings["turns"] = [0, 180]
        clause.note(either[0], "turns", "the pile may lay either way")
    elif pile := pile_in(scan):
        clause.pile = pile[1]
        clause.note(pile[0], "pile", "")
    elif lost := lost_pile_in(scan):
        clause.loose.append(lost.strip(" ,."))
    elif _allowance(scan, clause) or _setting(scan, clause):
        pass
    elif edges := sides_in(scan):
        clause.finishes.append((edges[2], edges[1]))
        clause.note(edges[0], "edges", f"{edges[1].value} {_sides_told(edges[2])}")
    elif mark := landmark_in(scan):
        clause.landmarks[mark[1]] = mark[2]
        clause.note(mark[0], "edges", f"the {mark[1]} is at the {mark[2].word} of the drawing")
    elif rest := all_of_finish(scan):
        clause.rest = rest[1]
        clause.note(rest[0], "edges", f"{rest[1].value} on all other sides")
    else:
        return False
    return True


def _sides_told(sides: tuple[Side, ...]) -> str:
    return "all round" if len(sides) == len(Side) else " and ".join(side.word for side in sides)


def _allowance(scan: Scan, clause: Clause) -> bool:
    before = scan.at
    begun = scan.takes(_ALLOWANCE)
    length_mm = scan.takes_length() if begun else None
    if not begun or length_mm is None:
        scan.at = before
        return False
    clause.settings[f"allowance.{begun[1]}"] = length_mm
    clause.note(scan.text[before : scan.at], "allowance", f"the {begun[1]} allowance of this job")
    return True


def _setting(scan: Scan, clause: Clause) -> bool:
    """What is told of the whole job in a few fixed words."""
    if found := scan.takes(_COUNT):
        clause.count = max(1, int(found[1]))
        clause.note(found[0], "count", f"{clause.count} of these")
    elif found := scan.takes(_WORN):
        clause.worn = int(found[1]) if found[1] else WORN_STEPS[found[2]]
        clause.note(found[0], "worn", WORN_WORDS[clause.worn])
    elif found := scan.takes(_LOT):
        clause.settings["lot"] = found[1].upper()
        clause.note(found[0], "lot", found[1].upper())
    elif found := scan.takes(_WHOLE):
        clause.settings["max_parts"] = 1
        clause.note(found[0], "max_parts", "one part, no seam in the patch")
    elif found := scan.takes(_PARTS):
        clause.settings["max_parts"] = int(found[1])
        clause.note(found[0], "max_parts", f"joined from up to {found[1]} parts")
    elif found := scan.takes(_USE):
        clause.settings["use"] = [*_tags(clause, "use"), found[1].upper()]
        clause.note(found[0], "use", f"cut from {found[1].upper()}")
    elif found := scan.takes(_AVOID):
        clause.settings["avoid"] = [*_tags(clause, "avoid"), found[1].upper()]
        clause.note(found[0], "avoid", f"cut nothing from {found[1].upper()}")
    elif found := scan.takes(_ANY):
        clause.settings["any"] = True
        clause.note(found[0], "style", "any carpet in stock")
    elif found := scan.takes(_JOB):
        clause.settings["job"] = found[1].strip()
        clause.note(found[0], "job", found[1].strip())
    else:
        return False
    return True


def _tags(clause: Clause, key: str) -> list[str]:
    told = clause.settings.get(key, [])
    assert isinstance(told, list)
    return told
