"""What must still be told of a sentence before anything is answered: in plain words, with what tells it by one tap each."""

from collections.abc import Iterable, Mapping, Sequence

from remnants.exchange.sentence.carpet import NEW_STYLE
from remnants.exchange.sentence.clause import Clause, Said
from remnants.exchange.sentence.heard import Run, Tap, ToTell
from remnants.exchange.sentence.sides import Side
from remnants.model import Finish

__all__ = ["bearing_of", "edges_asked", "pile_asked", "said_twice", "size_asked", "unknown_asked"]

_PILES = ("up", "to the right", "down", "to the left")
_SIZE = "how large it is, such as 36 x 33, or circle of 14 in"
_PILE = "which way its pile lays, such as pile up, pile to the left, or pile to the door"
_ONCE = ("lot", "max_parts", "job", "count", "worn", "name")
_LABELS = {
    "lot": "the dye lot",
    "max_parts": "how many parts",
    "job": "the job",
    "count": "how many patches",
    "worn": "how worn it is",
    "name": "its name",
    "allowance": "the allowance",
}


def size_asked(key: str, label: str, clause: Clause) -> ToTell | None:
    """What is asked of a size; None where it is told."""
    shape = clause.shape
    if shape is None or clause.size is None:
        return ToTell(key, f"{label}: {_SIZE}")
    if len(clause.notches) > 1:
        return ToTell(key, f"{label}: one notch alone", _back(notch.words for notch in clause.notches))
    if not shape.lacking:
        return None
    old = clause.notches[0].words if clause.notches else clause.size
    return ToTell(key, f"{label}: {shape.lacking}", tuple(Tap(each, old.words, old.at) for each in shape.instead))


def pile_asked(key: str, label: str, clause: Clause, *, own: str = "") -> ToTell | None:
    """What is asked of a pile; None where it is told. Taps name the piece that it is `own` of."""
    before = f"{own} " if own else ""
    bearings = {pile.among(clause.landmarks) for pile, _ in clause.piles}
    if None in bearings:
        mark = next(pile.landmark for pile, _ in clause.piles if pile.among(clause.landmarks) is None)
        where = "are" if mark.endswith("s") else "is"
        if len(clause.landmarks.get(mark, ())) > 1:
            return ToTell(key, f"{label}: the {mark} {where} on more than one side: say the pile by a side", _piles(before))
        sides = tuple(Tap(f"{before}{mark} {where} {side.word}") for side in Side)
        return ToTell(key, f"{label}: which side the {mark} {where} on, for the pile", sides)
    if len(bearings) > 1:
        return ToTell(
            key,
            f"{label}: {_all(run for _, run in clause.piles)} are both said: take one back",
            _back(r for _, r in clause.piles),
        )
    return None if bearings else ToTell(key, f"{label}: {_PILE}", _piles(before))


def bearing_of(clause: Clause) -> float | None:
    """The way the pile lays, degrees; None where it isn't told, or told in two ways."""
    found = {pile.among(clause.landmarks) for pile, _ in clause.piles}
    return found.pop() if len(found) == 1 else None


def edges_asked(label: str, clause: Clause) -> ToTell | None:
    """Where sides are told in ways that can't all be; None where they can."""
    told: dict[str | Side, dict[Finish, Run]] = {}
    for edges, run in clause.edges:
        for side in ("all round",) if edges.general else edges.sides:
            told.setdefault(side, {}).setdefault(edges.finish, run)
    for finish, run in clause.rests:
        told.setdefault("the rest", {}).setdefault(finish, run)
    for side, finishes in told.items():
        if len(finishes) > 1:
            where = side.word if isinstance(side, Side) else str(side)
            both = " and ".join(finish.value for finish in finishes)
            return ToTell("edges", f"{label}: {where} is said to be {both}: take one back", _back(finishes.values()))
    if clause.shape and clause.shape.radius_mm and any(isinstance(side, Side) for side in told):
        runs = [run for edges, run in clause.edges if not edges.general]
        return ToTell("edges", f"{label}: a circle has one edge all round: say wall all round, or take it back", _back(runs))
    return None


def said_twice(clauses: Sequence[Clause], patch: Clause) -> list[ToTell]:
    """What is said of the job, or of one patch, in two ways."""
    asked: list[ToTell] = []
    whole = [each for clause in clauses for each in clause.said]
    own: Mapping[str, list[Said]] = {
        key: [each for each in (patch.said if key in ("count", "worn", "name") else whole) if each.key == key]
        for key in (*_ONCE, *dict.fromkeys(each.key for each in whole if each.key.startswith("allowance.")))
    }
    for key, found in own.items():
        if len({each.value for each in found}) > 1:
            plain = key.partition(".")[0]
            both = _all(each.run for each in found)
            asked.append(
                ToTell(plain, f"{_LABELS[plain]}: {both} are both said: take one back", _back(each.run for each in found))
            )
    used = {each.value: each for each in whole if each.key == "use"}
    for each in whole:
        if each.key == "avoid" and each.value in used:
            back = _back((used[each.value].run, each.run))
            asked.append(ToTell("use", f"{each.value} is to be used and left out: take one back", back))
    return asked


def unknown_asked(unread: Sequence[Run], offered: Iterable[Tap]) -> list[ToTell]:
    """What is asked about words that stand for nothing known: each could change what is cut."""
    if not unread:
        return []
    words = ", ".join(run.words for run in unread)
    taps = (*offered, *_back(unread))
    new = next((tap.put for tap in taps if tap.put.startswith(NEW_STYLE)), "")
    or_new = f", or say {new} for goods that aren't in stock" if new else ""
    return [ToTell("unread", f"what is meant by {words}: say it otherwise, or leave it out{or_new}", taps)]


def _piles(before: str) -> tuple[Tap, ...]:
    return tuple(Tap(f"{before}pile {way}") for way in _PILES)


def _back(runs: Iterable[Run]) -> tuple[Tap, ...]:
    return tuple(Tap("", run.words, run.at) for run in dict.fromkeys(runs))


def _all(runs: Iterable[Run]) -> str:
    return " and ".join(dict.fromkeys(run.words for run in runs))
