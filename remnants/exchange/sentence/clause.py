"""One clause of a sentence: what it tells of one patch, or of one piece of carpet."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from remnants.exchange.sentence.ells import ELL, Notch, ell, notch_in
from remnants.exchange.sentence.heard import Heard, Run
from remnants.exchange.sentence.places import DONORS, NOISE, PLACES, SIDEWORDS
from remnants.exchange.sentence.scan import Scan
from remnants.exchange.sentence.settings import setting_in
from remnants.exchange.sentence.shapes import Shape, shape_in
from remnants.exchange.sentence.sides import Edges, Pile, Side, landmark_in, pile_in, rest_in, sides_in
from remnants.model import Finish, Kind
from remnants.units import Unit

__all__ = ["Clause", "Said", "clauses_of"]

_END = re.compile(r"[;\n]|(?<!in)(?<!ft)(?<!cm)(?<!mm)(?<!\bm)\.\s+(?=[a-z])")
"""A semicolon, a new line, or the full stop of a sentence; not that of `ft.`"""
_IDLE = "|".join(sorted(map(re.escape, NOISE - DONORS.keys()), key=len, reverse=True))
_NOISE = re.compile(rf"(?:{_IDLE})(?![\w'])")
_NOT = re.compile(
    r"(?:no|not|never|without|except|but|unless|only|nor|neither|don't|doesn't|isn't|aren't|instead|rather)\b[^,;.?!]*"
)
"""What turns round what follows, where no phrase reads it: it is put by whole, so that nothing is read as its opposite."""
_LOST_PILE = re.compile(
    r"(?:the\s+)?(?:pile|nap)\b(?:\s+[^\s,;.]+){0,3}?\s+(?:from|to|towards?|toward|at|into|of)\s+(?:the\s+)?[^\s,;.]+"
)
"""A pile told by what isn't known here: it stays together."""
_DONOR = re.compile(
    rf"(?:(?:{_IDLE})\s+)*(?:\d{{1,2}}\s+)?"
    rf"(?:{'|'.join(DONORS)})\b(?=(?:\s+[^\s;,]+){{0,6}}?[\s,]+[\d.])"
)
"""Carpet that is there is named next, with a size of its own."""
_ROOMS = sorted(map(re.escape, PLACES - SIDEWORDS - DONORS.keys()), key=len, reverse=True)
_PLACE = re.compile(
    rf"(?:(?:the|and|a|an)\s+)*(?:{'|'.join(_ROOMS)})\b"
    r"(?:\s+[^\s;,]+){0,3}?[\s,]+[\d.]"
)
"""After carpet that is there, a place is named with a size of its own."""


@dataclass(frozen=True, slots=True)
class Said:
    """One thing that is said: its `key` in a job file, the value, the words, and what of."""

    key: str
    value: object
    run: Run


@dataclass
class Clause:
    """What a clause told so far; `before` are the words before its size, `loose` runs of words that stand for nothing
    yet, `unread` those that can stand for nothing.
    """

    name: str = ""
    before: Run | None = None
    fresh: bool = True
    shape: Shape | None = None
    size: Run | None = None
    is_ell: bool = False
    notches: list[Notch] = field(default_factory=list)
    piles: list[tuple[Pile, Run]] = field(default_factory=list)
    edges: list[tuple[Edges, Run]] = field(default_factory=list)
    rests: list[tuple[Finish, Run]] = field(default_factory=list)
    landmarks: dict[str, frozenset[Side]] = field(default_factory=dict)
    said: list[Said] = field(default_factory=list)
    loose: list[Run] = field(default_factory=list)
    unread: list[Run] = field(default_factory=list)
    heard: list[Heard] = field(default_factory=list)

    @property
    def kind(self) -> Kind | None:
        """The kind of piece that its name speaks of, None where it speaks of no carpet that is there."""
        return next((DONORS[word] for word in self.name.split() if word in DONORS), None)

    @property
    def empty(self) -> bool:
        """Whether it tells nothing of a patch or a piece."""
        return not (self.shape or self.piles or self.edges or self.rests or self.landmarks)

    def values(self, key: str) -> Iterator[object]:
        """What is said of a key, in turn."""
        return (each.value for each in self.said if each.key == key)

    def note(self, run: Run, key: str, told: str) -> None:
        """Keeps what some words are taken for."""
        self.heard.append(Heard(run.words, key, told, at=run.at))


def clauses_of(text: str, unit: Unit) -> list[Clause]:
    """The clauses of a sentence in plain marks, bare figures in `unit`: they end at a semicolon, a full stop or a line's end, and
    where carpet that is there is named after a size.
    """
    found: list[Clause] = []
    start = 0
    for end in (*(mark.span() for mark in _END.finditer(text)), (len(text), len(text))):
        scan = Scan(text[start : end[0]], unit, start)
        while not scan.ended:
            found.append(_clause(scan))
        start = end[1]
    return found


def _clause(scan: Scan) -> Clause:
    clause, begun, fresh, start = Clause(), -1, True, scan.at
    while not scan.ended:
        before = scan.at
        if clause.shape and (scan.sees(_DONOR) or (fresh and begun < 0 and _is_there(clause) and scan.sees(_PLACE))):
            clause.loose += [_run(scan, begun, before)] if begun >= 0 else []
            break
        told = None if clause.shape else shape_in(scan)
        phrase = bool(told) or _phrase(scan, clause)
        if not phrase and not (scan.takes(_NOISE) and begun < 0):
            begun = before if begun < 0 else begun
            scan.takes_word() if scan.at == before else None
        parted = scan.parted(before)
        if begun >= 0 and (phrase or parted or scan.ended):
            run = _run(scan, begun, before if phrase else scan.at)
            if told:
                clause.before, clause.fresh = run, fresh
            else:
                clause.loose.append(run)
            begun = -1
        if told:
            clause.size, clause.shape = told
        fresh = parted if phrase or parted else fresh
    _finished(clause, scan.unit)
    assert scan.at > start, "a clause takes something"
    return clause


def _is_there(clause: Clause) -> bool:
    return clause.before is not None and any(word in DONORS for word in clause.before.words.split())


def _run(scan: Scan, start: int, end: int) -> Run:
    words = scan.text[start:end].strip(" \t,.?!")
    return Run(words, scan.base + start)


def _finished(clause: Clause, unit: Unit) -> None:
    """Puts the notch to the size, and tells what the size is taken for."""
    if clause.shape and clause.size:
        if clause.is_ell or clause.notches:
            clause.shape = ell(clause.shape, clause.notches[0] if clause.notches else None, unit)
        clause.note(clause.size, "size", clause.shape.told)
    for notch in clause.notches:
        clause.note(notch.words, "size", "the notch of the L" if notch is clause.notches[0] else "a second notch")
    if clause.shape and clause.size and clause.shape.walls:
        clause.edges.insert(0, (Edges(clause.shape.walls, Finish.WALL), clause.size))


def _phrase(scan: Scan, clause: Clause) -> bool:
    """Reads one phrase into the clause, if one stands here."""
    before = scan.at
    if said := setting_in(scan):
        key, value, told = said
        run = scan.since(before)
        clause.said.append(Said(key, value, run))
        clause.note(run, key.partition(".")[0], told)
    elif notch := notch_in(scan):
        clause.notches.append(notch)
    elif scan.takes(ELL):
        clause.is_ell = True
        clause.note(scan.since(before), "size", "an L")
    elif pile := pile_in(scan):
        clause.piles.append((pile, scan.since(before)))
        clause.note(scan.since(before), "pile", "")
    elif scan.takes(_LOST_PILE):
        clause.unread.append(scan.since(before))
    else:
        return _sides(scan, clause)
    return True


def _sides(scan: Scan, clause: Clause) -> bool:
    before = scan.at
    if rest := rest_in(scan):
        clause.rests.append((rest, scan.since(before)))
        clause.note(scan.since(before), "edges", f"{rest.value} on all other sides")
    elif edges := sides_in(scan):
        clause.edges += [(each, scan.since(before)) for each in edges]
        clause.note(scan.since(before), "edges", ", ".join(each.told for each in edges))
    elif mark := landmark_in(scan):
        clause.landmarks[mark[0]] = clause.landmarks.get(mark[0], frozenset()) | {mark[1]}
        clause.note(scan.since(before), "edges", f"the {mark[0]} is at the {mark[1].word} of the drawing")
    elif scan.takes(_NOT):
        clause.unread.append(scan.since(before))
    else:
        return False
    return True
