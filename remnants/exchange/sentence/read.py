"""Reads a question in one line into the keys of a job file, and tells what each of its words was taken for.

Clauses end at a semicolon or a line's end. The first that tells a size is the patch, others with a size are pieces of carpet that
are there, and words without one name the carpet. Nothing is guessed in silence: what is missing stands in `ask`, what stands for
nothing known in `unread`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from remnants.errors import BadInput, Fault
from remnants.exchange.figures import corners, degrees, figure
from remnants.exchange.sentence.clause import Clause, clauses_of
from remnants.exchange.sentence.heard import Heard, Names, Sentence
from remnants.exchange.sentence.shapes import Shape
from remnants.exchange.sentence.sides import Side
from remnants.limits import NAME_CHARACTERS, SENTENCE
from remnants.matching.names import Taken, Untaken
from remnants.model import Finish, Kind
from remnants.units import Unit, in_plain_marks

__all__ = ["read_sentence"]

MOST_WORDS = 8
"""No name of a style has more words; what follows them is looked up as its colour."""

_BEARINGS = {0: "up the drawing", 90: "to the right", 180: "down the drawing", 270: "to the left"}


def read_sentence(text: str, unit: Unit, names: Names) -> Sentence:
    """What a sentence says; bare figures are in `unit`. Raises BadInput for one without words, or longer than any question."""
    if not text.strip():
        raise BadInput([Fault("", "say what must be filled and what carpet it is: hall 36 x 33, pile to the door; aldern twist")])
    if len(text) > SENTENCE:
        raise BadInput(
            [Fault("", f"the question has {len(text):,} characters, and at most {SENTENCE:,} are read: say it shorter")]
        )
    clauses = clauses_of(in_plain_marks(text), unit)
    for clause in clauses:
        if "job" in clause.settings:
            clause.settings["job"] = _as_typed(text, str(clause.settings["job"]))
    sized = [clause for clause in clauses if clause.shape]
    patch = next((clause for clause in sized if clause.kind is None), sized[0] if sized else _first(clauses))
    donors = [clause for clause in sized if clause is not patch]
    _told_apart(patch, donors, [clause for clause in clauses if not clause.shape and clause is not patch])
    carpet = _carpet(clauses, patch, names)
    job, ask = _job(clauses, patch, carpet, unit)
    of_all = carpet.wanted | ({"place": job["job"].partition(",")[0].strip()} if "job" in job else {})
    pieces = tuple(_piece(clause, of_all, unit) for clause in donors)
    pieces = tuple(piece | {"tag": tag} for piece, tag in zip(pieces, _told_by(pieces), strict=True))
    for index, clause in enumerate(donors):
        ask += [f"pieces[{index}].{key}" for key in _lacking(clause)]
    heard = [_with_bearing(each, clause) for clause in clauses for each in clause.heard] + carpet.heard
    return Sentence(job, pieces, tuple(heard), tuple(carpet.unread), tuple(ask), carpet.could_be)


def _as_typed(text: str, words: str) -> str:
    """Words in the capitals that they were typed in."""
    at = text.casefold().find(words)
    return words if at < 0 else text[at : at + len(words)]


def _first(clauses: Sequence[Clause]) -> Clause:
    """The clause that stands for the patch where none tells a size: the first that tells a side or a pile."""
    return next((clause for clause in clauses if clause.pile or clause.finishes), clauses[0] if clauses else Clause())


def _told_apart(patch: Clause, donors: Sequence[Clause], others: Sequence[Clause]) -> None:
    """Sides and pile told in a clause of their own are those of the piece that it names, else the patch's."""
    for clause in others:
        named = " ".join(clause.loose)
        of = next((each for each in (*donors, patch) if named and each.name == named), patch)
        if of.name == named:
            clause.loose = []
        of.landmarks |= clause.landmarks
        of.finishes += clause.finishes
        of.rest = of.rest or clause.rest
        of.pile = of.pile or clause.pile
        clause.landmarks = of.landmarks
        clause.heard = [replace(each, where=of.name) for each in clause.heard]


def _job(clauses: Sequence[Clause], patch: Clause, carpet: "_Carpet", unit: Unit) -> tuple[dict[str, Any], list[str]]:
    settings: dict[str, Any] = {}
    for clause in clauses:
        settings |= clause.settings
    allowance = {key.removeprefix("allowance."): figure(value, unit) for key, value in settings.items() if "allowance." in key}
    own: dict[str, Any] = {key: settings[key] for key in ("max_parts", "turns", "lot", "use", "avoid", "job") if key in settings}
    ask = _lacking(patch)
    if "style" not in carpet.wanted and not settings.get("any"):
        ask.append("style")
    entry: dict[str, Any] = {"name": patch.name or "patch"}
    if patch.shape:
        entry |= _size(patch.shape, unit) | {"edges": _edges(patch)}
    if (bearing := _bearing(patch)) is not None:
        entry["pile"] = degrees(bearing)
    entry |= {"count": patch.count} if patch.count > 1 else {}
    entry |= {"worn": patch.worn} if patch.worn is not None else {}
    job: dict[str, Any] = {
        "unit": unit.value,
        **own,
        **carpet.wanted,
        **({"allowance": allowance} if allowance else {}),
        "patches": [entry],
    }
    return job, ask


def _lacking(clause: Clause) -> list[str]:
    """The keys that a patch or piece must have, and the clause doesn't tell."""
    size = not clause.shape or bool(clause.shape.lacking)
    return ["size"] * size + ["pile"] * (_bearing(clause) is None)


def _bearing(clause: Clause) -> float | None:
    return clause.pile.among(clause.landmarks) if clause.pile else None


def _with_bearing(heard: Heard, clause: Clause) -> Heard:
    """What was heard of a pile, with the way that it lays in the drawing."""
    if heard.key != "pile" or clause.pile is None:
        return heard
    bearing = _bearing(clause)
    if bearing is None:
        return replace(heard, told=f"which side the {clause.pile.landmark} is on isn't told")
    way = _BEARINGS.get(round(bearing), f"{bearing:g} degrees from up the drawing")
    assumed = clause.pile.landmark == "door" and "door" not in clause.landmarks
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
    rest = clause.rest or Finish.SEAM
    if shape.radius_mm:
        return next((finish for _, finish in clause.finishes), rest).value
    faces = _faces(shape)
    found = [rest] * len(faces)
    for sides, finish in clause.finishes:
        found = [finish if face in sides else old for face, old in zip(faces, found, strict=True)]
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


def _told_by(pieces: Sequence[Mapping[str, Any]]) -> list[str]:
    """What each piece is called for want of a tag: its name, numbered from the second of one name on."""
    names = [str(piece["room"]) for piece in pieces]
    return [f"{name} {before + 1}" if (before := names[:at].count(name)) else name for at, name in enumerate(names)]


def _piece(clause: Clause, of_all: dict[str, Any], unit: Unit) -> dict[str, Any]:
    """The keys of a piece in a stock file, as far as the clause tells them; it is of the carpet and in the house of the job."""
    assert clause.shape, "a piece is told by its size"
    bearing = _bearing(clause)
    name = clause.name or "carpet that is there"
    told: dict[str, Any] = {"kind": (clause.kind or Kind.LAID).value, "room": name, **_size(clause.shape, unit)}
    told |= {"hidden": True} if clause.kind is Kind.LAID else {}
    told |= {"worn": clause.worn} if clause.worn is not None else {}
    same = {key: of_all[key] for key in ("style", "colour", "place") if key in of_all}
    return told | same | ({} if bearing is None else {"pile": degrees(bearing)})


class _Carpet:
    """The carpet that the loose words name."""

    def __init__(self) -> None:
        self.wanted: dict[str, Any] = {}
        self.heard: list[Heard] = []
        self.unread: list[str] = []
        self.could_be: tuple[str, ...] = ()


def _carpet(clauses: Sequence[Clause], patch: Clause, names: Names) -> _Carpet:
    """The style and colour among the words that stand for nothing else; those of the patch's name if no others name one."""
    carpet = _Carpet()
    for clause in clauses:
        for run in clause.loose:
            if "style" in carpet.wanted or not _named(run, names, carpet):
                carpet.unread.append(run)
    if "style" not in carpet.wanted and patch.name and _named(patch.name, names, carpet):
        patch.name = ""
    return carpet


def _named(run: str, names: Names, carpet: _Carpet) -> bool:
    """Takes a style, and a colour after it, out of a run of words; what is left of it is unread."""
    words = run.split()
    for count in range(min(len(words), MOST_WORDS), 0, -1):
        typed, rest = " ".join(words[:count]), " ".join(words[count:])
        style = names.take_style(typed) if len(typed) <= NAME_CHARACTERS else Untaken(typed)
        if not isinstance(style, Taken):
            carpet.could_be = carpet.could_be or style.could_be
            continue
        carpet.wanted["style"] = style.name
        carpet.heard.append(Heard(typed, "style", style.name))
        colour = names.take_colour(rest, style.name) if 0 < len(rest) <= NAME_CHARACTERS else Untaken(rest)
        if isinstance(colour, Taken):
            carpet.wanted["colour"] = colour.name
            carpet.heard.append(Heard(rest, "colour", colour.name))
        elif rest:
            carpet.unread.append(rest)
        return True
    return False
