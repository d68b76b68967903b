"""What an entry says, as JSON in its row and back. Lengths mm, areas mm²."""

import json
from collections.abc import Sequence
from datetime import date
from typing import Any

from remnants.geometry import Outline
from remnants.ledger import (
    Act,
    CalledBack,
    Change,
    Corrected,
    Counted,
    Cut,
    CutCost,
    Discarded,
    Held,
    LookedAt,
    Moved,
    Photographed,
    PhotoTakenAway,
    Received,
    Released,
    Sent,
    TakenIn,
    Undone,
)
from remnants.model import Piece
from remnants.model.look import Look, LookBy, LookKind
from remnants.model.money import money_of
from remnants.store.rows import DERIVED_COLUMNS, PIECE_COLUMNS, UNTOLD, piece_of, piece_row, rings_of, rings_text

__all__ = ["change_of", "facts_of", "facts_of_received"]

_TOLD = tuple((place, column) for place, column in enumerate(PIECE_COLUMNS) if column not in DERIVED_COLUMNS)
_written = json.JSONEncoder(separators=(",", ":")).encode


def facts_of(change: Change) -> str:
    """The JSON text that goes with the entry."""
    return _written(_facts(change))


def facts_of_received(row: Sequence[Any], parent: str) -> str:
    """The facts of a piece that came in, from its row (the values of PIECE_COLUMNS, and others after them)."""
    return _written({"parent": parent, "piece": _facts_in(row)})


def _facts(change: Change) -> dict[str, Any]:  # noqa: PLR0911, PLR0912 - one line a kind of entry
    match change:
        case Received(piece, parent):
            return {"parent": parent, "piece": _piece_facts(piece)}
        case Corrected(piece):
            return {"piece": _piece_facts(piece)}
        case Held(job, until):
            return {"job": job, "until": until.isoformat()}
        case Cut(remaining, taken_mm2, waste_mm2, offcuts, cost):
            rings = rings_text(remaining) if remaining else None
            told = {"remaining": rings, "taken_mm2": taken_mm2, "waste_mm2": waste_mm2, "offcuts": list(offcuts)}
            return told | ({"cost": [cost.left.written, cost.taken.written, cost.waste.written]} if cost else {})
        case Moved(place, room, customer, until, back):
            loan = ({"until": until.isoformat()} if until else {}) | ({"back": True} if back else {})
            return {"place": place, "room": room, "customer": customer} | loan
        case Counted(place, seen, room, customer):
            told = {"room": room, "customer": customer}
            return {"place": place, "seen": seen} | {key: value for key, value in told.items() if value is not None}
        case Sent(start, goal, expected):
            return {"start": start, "goal": goal, "expected": expected.isoformat()}
        case TakenIn(place):
            return {"place": place}
        case Undone(number):
            return {"number": number}
        case Photographed(photo, size_bytes, sha256):
            return {"photo": photo, "size_bytes": size_bytes, "sha256": sha256}
        case PhotoTakenAway(photo):
            return {"photo": photo}
        case LookedAt(look):
            return _look_facts(look)
        case Released() | CalledBack() | Discarded():
            return {}


def change_of(act: Act, text: str) -> Change:  # noqa: PLR0911, PLR0912 - one line a kind of entry
    """The change that `facts_of` wrote for an entry of this act, now or before a fact was kept: that is then UNTOLD."""
    facts = json.loads(text)
    match act:
        case Act.RECEIVED:
            return Received(_piece(facts["piece"]), facts["parent"])
        case Act.CORRECTED:
            return Corrected(_piece(facts["piece"]))
        case Act.HELD:
            return Held(facts["job"], date.fromisoformat(facts["until"]))
        case Act.RELEASED:
            return Released()
        case Act.CUT:
            cost = CutCost(*map(money_of, facts["cost"])) if facts.get("cost") else None
            return Cut(_outline(facts["remaining"]), facts["taken_mm2"], facts["waste_mm2"], tuple(facts["offcuts"]), cost)
        case Act.MOVED:
            until = date.fromisoformat(facts["until"]) if facts.get("until") else None
            back = facts.get("back", False)
            return Moved(facts["place"], facts.get("room", ""), facts.get("customer", ""), until, back)
        case Act.COUNTED:
            return Counted(facts["place"], facts["seen"], facts.get("room"), facts.get("customer"))
        case Act.SENT:
            return Sent(facts["start"], facts["goal"], date.fromisoformat(facts["expected"]))
        case Act.TAKEN_IN:
            return TakenIn(facts["place"])
        case Act.CALLED_BACK:
            return CalledBack()
        case Act.DISCARDED:
            return Discarded()
        case Act.UNDONE:
            return Undone(facts["number"])
        case Act.PHOTOGRAPHED:
            return Photographed(facts["photo"], facts["size_bytes"], facts.get("sha256", ""))
        case Act.PHOTO_TAKEN_AWAY:
            return PhotoTakenAway(facts["photo"])
        case Act.LOOKED_AT:
            return LookedAt(_look(facts))


def _look_facts(look: Look) -> dict[str, Any]:
    told = {"sight": look.sight, "kind": look.kind.value, "foretold": list(look.foretold), "by": look.by.value}
    seen = {} if look.seen is None else {"seen": list(look.seen)}
    return told | seen | ({} if look.step is None else {"step": list(look.step)})


def _look(facts: dict[str, Any]) -> Look:
    (best, worst), seen, step = facts["foretold"], facts.get("seen"), facts.get("step")
    told = facts["sight"], LookKind(facts["kind"]), (best, worst), LookBy(facts["by"])
    return Look(*told, (seen[0], seen[1]) if seen else None, (step[0], step[1], step[2], step[3]) if step else None)


def _piece_facts(piece: Piece) -> dict[str, Any]:
    return _facts_in(piece_row(piece))


def _facts_in(row: Sequence[Any]) -> dict[str, Any]:
    """The columns of a piece's row that are not worked out from others."""
    return {column: row[place] for place, column in _TOLD}


def _piece(facts: dict[str, Any]) -> Piece:
    return piece_of({**UNTOLD, **facts})


def _outline(rings: str | None) -> Outline | None:
    return rings_of(rings) if rings else None
