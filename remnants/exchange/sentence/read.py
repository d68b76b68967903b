"""Reads a question in one line into the keys of a job file, and tells what each of its words was taken for.

Clauses end at a semicolon or a line's end. The first that tells a size is the patch, others with a size are pieces of carpet that
are there, and words without one name the carpet. Nothing is guessed in silence: what is missing, or said in two ways, or stands
for nothing known, is asked for.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from remnants.errors import BadInput, Fault
from remnants.exchange.figures import corners, degrees, figure
from remnants.exchange.sentence.asking import bearing_of, edges_asked, pile_asked, said_twice, size_asked, unknown_asked
from remnants.exchange.sentence.carpet import Carpet, as_written, carpet_of, offered_for
from remnants.exchange.sentence.clause import Clause, clauses_of
from remnants.exchange.sentence.heard import Heard, Names, Run, Sentence, Tap, ToTell
from remnants.exchange.sentence.naming import named, names_more, placed, run_name
from remnants.exchange.sentence.places import DONORS, plainly
from remnants.exchange.sentence.shapes import Shape
from remnants.exchange.sentence.sides import Side
from remnants.limits import SENTENCE
from remnants.model import Finish, Kind
from remnants.units import Unit

__all__ = ["read_sentence"]

_BEARINGS = {0: "up the drawing", 90: "to the right", 180: "down the drawing", 270: "to the left"}
_STYLE = "which carpet it is, by style and colour, or any carpet"
_MENDED = re.compile(r"\b(?:patch|fill|repair|mend|burn|burnt|stain|hole|tear|rip|damage|spot|mark)\b")
"""Words by which carpet in a closet is what must be mended, where nothing else is: common practice, no source."""


@dataclass
class _Parts:
    """The clauses by what they are about."""

    patch: Clause
    donors: list[Clause]
    others: list[Clause]
    too_many: list[Clause]


def read_sentence(text: str, unit: Unit, names: Names) -> Sentence:
    """What a sentence says; bare figures are in `unit`. Raises BadInput for one without words, or longer than any question."""
    if not text.strip():
        raise BadInput([Fault("", "say what must be filled and what carpet it is: hall 36 x 33, pile to the door; aldern twist")])
    if len(text) > SENTENCE:
        raise BadInput(
            [Fault("", f"the question has {len(text):,} characters, and at most {SENTENCE:,} are read: say it shorter")]
        )
    clauses = clauses_of(plainly(text), unit)
    carpet = carpet_of([run for clause in clauses for run in (clause.before, *clause.loose) if run], names)
    as_written(carpet, [(_as_typed(text, str(s.value)), s.run) for clause in clauses for s in clause.said if s.key == "style"])
    unread = [run for clause in clauses for run in clause.unread] + named(clauses, carpet, names)
    parts = _parted(clauses)
    labels = _labels(parts.donors)
    unread += _told_apart(parts, labels)
    job = _job(clauses, parts.patch, carpet, unit, text)
    of_all = carpet.wanted | ({"place": job["job"].partition(",")[0].strip()} if "job" in job else {})
    pieces = tuple(_piece(clause, of_all, unit) | {"tag": label} for clause, label in zip(parts.donors, labels, strict=True))
    unread.sort(key=lambda run: run.at)
    offered = [tap for run in unread for tap in offered_for(run, carpet, names)]
    to_tell = _to_tell(clauses, parts, labels, carpet) + unknown_asked(unread, offered)
    heard = [_in_full(each, clause, text) for clause in clauses for each in clause.heard] + carpet.heard
    heard.sort(key=lambda each: each.at)
    return Sentence(job, pieces, tuple(heard), tuple(run.words for run in unread), tuple(to_tell), carpet.could_be)


def _parted(clauses: Sequence[Clause]) -> _Parts:
    """Which clause is the patch, which are carpet that is there, a clause for each piece of it."""
    sized = [clause for clause in clauses if clause.shape]
    mended = [clause for clause in sized if clause.kind is None]
    if not mended and len(sized) == 1 and not _is_there(sized[0]):
        mended = sized
    if not mended and len(sized) > 1:
        mended = [next((clause for clause in sized if clause.before and _MENDED.search(clause.before.words)), sized[0])]
    there = [clause for clause in sized if clause.kind is not None and clause not in mended[:1]]
    rest = [clause for clause in clauses if not clause.shape]
    told = [clause for clause in rest if clause.piles or clause.edges]
    patch = mended[0] if mended else next(iter(told or [each for each in rest if each not in there]), Clause())
    donors = [clause for clause in there for _ in range(min(9, _count(clause)))]
    known = {clause.name for clause in donors}
    missing = {str(value): Clause(name=str(value)) for clause in clauses for value in clause.values("filled_by")}
    donors += [clause for name, clause in missing.items() if name not in known and not known]
    return _Parts(patch, donors, [clause for clause in rest if clause is not patch], mended[1:])


def _is_there(clause: Clause) -> bool:
    """Whether a clause that stands alone tells of carpet that is there, and not of what must be mended."""
    words = clause.before.words if clause.before else ""
    return clause.kind is not None and "under" not in clause.name.split() and not _MENDED.search(words)


def _count(clause: Clause) -> int:
    found = {int(str(value)) for value in clause.values("count")}
    return found.pop() if len(found) == 1 else 1


def _labels(donors: Sequence[Clause]) -> list[str]:
    """What each piece is called for want of a tag: its name, numbered from the second of one name on."""
    names = [clause.name for clause in donors]
    return [f"{name} {before + 1}" if (before := names[:at].count(name)) else name for at, name in enumerate(names)]


def _told_apart(parts: _Parts, labels: list[str]) -> list[Run]:
    """Sides and pile told in a clause of their own are those of the piece that it names, else the patch's; and the words of no
    piece.
    """
    unread: list[Run] = []
    by_name = {**dict(zip(reversed(labels), reversed(parts.donors), strict=True)), parts.patch.name: parts.patch}
    for clause in parts.others:
        called = " ".join(run_name(run) for run in clause.loose)
        of = by_name.get(called) if called else parts.patch
        if of is None and called.split()[0] in DONORS and not clause.empty:
            of = by_name[called] = Clause(name=called)
            parts.donors.append(of)
            labels.append(called)
        elif of is None and parts.patch.shape and names_more(called):
            of = parts.patch
            placed(of, clause.loose)
        elif of is None:
            unread += clause.loose
            of = parts.patch
        _taken_over(of, clause)
    for clause in (parts.patch, *parts.donors):
        unread += [run for run in clause.loose if run not in unread]
    return unread


def _taken_over(of: Clause, clause: Clause) -> None:
    of.landmarks = {
        mark: of.landmarks.get(mark, frozenset()) | clause.landmarks.get(mark, frozenset())
        for mark in (*of.landmarks, *clause.landmarks)
    }
    of.edges += clause.edges
    of.rests += clause.rests
    of.piles += clause.piles
    of.notches += clause.notches
    of.said += [each for each in clause.said if each.key in ("count", "worn", "name")]
    of.heard += clause.heard
    clause.heard = []
    clause.loose = []


def _to_tell(clauses: Sequence[Clause], parts: _Parts, labels: Sequence[str], carpet: Carpet) -> list[ToTell]:
    patch = parts.patch
    label = patch.name or "patch"
    asked = [size_asked("size", label, patch), pile_asked("pile", label, patch), edges_asked(label, patch)]
    told = list(filter(None, asked)) + said_twice(clauses, patch)
    anything = [each for clause in clauses for each in clause.said if each.key == "any"]
    styles = [each for each in carpet.to_tell if each.key == "style"]
    if anything and carpet.wanted.get("style"):
        back = tuple(Tap("", each.run.words, each.run.at) for each in anything)
        told.append(ToTell("style", f"the carpet: {carpet.wanted['style']} and any carpet are both said: take one back", back))
    elif "style" not in carpet.wanted and not styles and parts.donors:
        told.append(ToTell("style", f"the carpet of the {labels[0]}: which it is, by style and colour"))
    elif not anything and "style" not in carpet.wanted and not styles:
        told.append(ToTell("style", f"the carpet: {_STYLE}", (Tap("any carpet"),)))
    told += carpet.to_tell
    for index, (clause, own) in enumerate(zip(parts.donors, labels, strict=True)):
        told += filter(None, [size_asked(f"pieces[{index}].size", own, clause)])
        told += filter(None, [pile_asked(f"pieces[{index}].pile", own, clause, own=own)])
    for clause in parts.too_many:
        assert clause.size, "it tells a size"
        words = clause.size.words
        taps = tuple(Tap(f"{kind} {words}", words, clause.size.at) for kind in ("closet", "offcut", "remnant"))
        what = f"{clause.name} {words}".strip()
        told.append(ToTell("patches", f"what {what} is: carpet that is there, or another patch, which is asked by itself", taps))
    return told


def _job(clauses: Sequence[Clause], patch: Clause, carpet: Carpet, unit: Unit, text: str) -> dict[str, Any]:
    said = {each.key: each.value for clause in clauses for each in clause.said}
    own: dict[str, Any] = {key: said[key] for key in ("max_parts", "turns", "lot", "job") if key in said}
    own |= {"turns": [0, 180]} if "turns" in own else {}
    own |= {"job": _as_typed(text, own["job"])} if "job" in own else {}
    for key in ("use", "avoid"):
        tags = [value for clause in clauses for value in clause.values(key)]
        own |= {key: list(dict.fromkeys(tags))} if tags else {}
    allowance = {key.removeprefix("allowance."): figure(value, unit) for key, value in said.items() if "allowance." in key}  # type: ignore[arg-type]  # lengths alone
    entry: dict[str, Any] = {"name": patch.name or "patch"}
    if patch.shape:
        entry |= _size(patch.shape, unit) | {"edges": _edges(patch)}
    if (bearing := bearing_of(patch)) is not None:
        entry["pile"] = degrees(bearing)
    entry |= {"count": _count(patch)} if _count(patch) > 1 else {}
    entry |= {"worn": worn} if (worn := next(patch.values("worn"), None)) is not None else {}
    return {"unit": unit.value, **own, **carpet.wanted, **({"allowance": allowance} if allowance else {}), "patches": [entry]}


def _as_typed(text: str, words: str) -> str:
    """Words in the capitals that they were typed in."""
    at = text.casefold().find(words)
    return words if at < 0 else text[at : at + len(words)]


def _in_full(heard: Heard, clause: Clause, text: str) -> Heard:
    """What was heard of a clause, with its name, of a job as it was typed, and of a pile the way that it lays in the drawing."""
    heard = replace(heard, where=clause.name, told=_as_typed(text, heard.told) if heard.key == "job" else heard.told)
    if heard.key != "pile":
        return heard
    pile = next((pile for pile, run in clause.piles if run.at == heard.at), None)
    bearing = pile.among(clause.landmarks) if pile else None
    if pile is None or bearing is None:
        return replace(heard, told=f"which side the {pile.landmark if pile else 'pile'} is on isn't told")
    way = _BEARINGS.get(round(bearing), f"{bearing:g} degrees from up the drawing")
    assumed = pile.landmark == "door" and "door" not in clause.landmarks
    return replace(heard, told=f"{way}, the door drawn at the bottom" if assumed else way)


def _size(shape: Shape, unit: Unit) -> dict[str, Any]:
    if shape.lacking:
        return {}
    if shape.outline:
        return {"outline": corners(shape.outline, unit)}
    if shape.radius_mm:
        radius = figure(shape.radius_mm, unit)
        return {"centre": [radius, radius], "radius": radius}
    return {"width": figure(shape.width_mm, unit), "length": figure(shape.length_mm, unit)}


def _edges(clause: Clause) -> Any:
    """The finish of each edge, counter-clockwise from the bottom; one word where all are alike."""
    shape = clause.shape
    assert shape, "only a patch with a shape has edges"
    rest = next(
        (edges.finish for edges, _ in clause.edges if edges.general), next((each for each, _ in clause.rests), Finish.SEAM)
    )
    if shape.radius_mm:
        return rest.value
    found = [rest] * len(_faces(shape))
    for edges in (each for each, _ in clause.edges if not each.general):
        found = [edges.finish if face in edges.sides else old for face, old in zip(_faces(shape), found, strict=True)]
    return found[0].value if len(set(found)) == 1 else [finish.value for finish in found]


def _faces(shape: Shape) -> list[Side]:
    """The side that each edge looks to, the corners running counter-clockwise."""
    if not shape.outline:
        return [Side.BOTTOM, Side.RIGHT, Side.TOP, Side.LEFT]
    ends = zip(shape.outline, (*shape.outline[1:], shape.outline[0]), strict=True)
    return [_face(end[0] - start[0], end[1] - start[1]) for start, end in ends]


def _face(dx: float, dy: float) -> Side:
    if abs(dx) > abs(dy):
        return Side.BOTTOM if dx > 0 else Side.TOP
    return Side.RIGHT if dy > 0 else Side.LEFT


def _piece(clause: Clause, of_all: dict[str, Any], unit: Unit) -> dict[str, Any]:
    """The keys of a piece in a stock file, as far as the clause tells them; it is of the carpet and in the house of the job."""
    kind = clause.kind or Kind.LAID
    told: dict[str, Any] = {"kind": kind.value, "room": clause.name, **(_size(clause.shape, unit) if clause.shape else {})}
    told |= {"hidden": True} if kind is Kind.LAID else {}
    told |= {"worn": worn} if (worn := next(clause.values("worn"), None)) is not None else {}
    theirs = ("place",) if kind in (Kind.LAID, Kind.KEPT) else ()
    same = {key: of_all[key] for key in ("style", "colour", *theirs) if key in of_all}
    bearing = bearing_of(clause)
    return told | same | ({} if bearing is None else {"pile": degrees(bearing)})
