"""Making a sound catalogue of what can still be read of a damaged one, and telling what is lost."""

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from remnants.actions.keep_safe import verify
from remnants.actions.rescue_sorting import Doubts, Sorted
from remnants.errors import CatalogueUnusable, Fault
from remnants.ledger import Signed
from remnants.model import Style
from remnants.store import Catalogue, jobs, open_catalogue, styles
from remnants.store.aside import drop
from remnants.store.ledger import put_entries
from remnants.store.rescue import TAKEN_OUT, TakenOut, every_row, put_pieces, put_rows, take_out, tell_store
from remnants.store.rows import time_text

__all__ = ["Rescue", "rescue"]

_WHO, _WHY = "catalogue", "taken out of a damaged file"
_ROUNDS = 6
_AS_THEY_WERE = (
    *("request", "shop_rule", "agreement", "job_photos_closed", "price_list", "kept_order", "promised_leftover"),
    "phone_calibration",
)
"""Tables whose rows nothing else bears on."""

_NAMED = re.compile(
    r"(?:(?P<kind>job's photograph|job|photograph|piece) (?P<name>.+)"
    r"|entry \d+(?: of |, (?:cut of )?)(?P<tag>.+?)(?:, \w.*)?)"
)


@dataclass(frozen=True)
class Rescue:
    """What was taken out of a damaged file, and what was not.

    `anew` are pieces that are there and whose entries begin anew; of those in `unsure` the last entries may be lacking. `lost`
    names what others refer to and could not be read, by kind; of the tables in `broken` more may be lost than can be told.
    From the entry `chained_from` on the chain of entries is another one (0: it is whole).
    """

    pieces: int
    entries: int
    lost_entries: int
    anew: tuple[str, ...]
    unsure: tuple[str, ...]
    lost: Mapping[str, tuple[str, ...]]
    broken: tuple[str, ...]
    chained_from: int


def rescue(damaged: Path, fresh: Path, *, now: datetime) -> Rescue:
    """A new catalogue `fresh` of what can be read of the file, proved sound. Copies that are needed meanwhile lie beside it.

    What the proof finds wrong is left out in turn. Raises CatalogueUnusable when nothing can be read, or it doesn't add up.
    """
    between = fresh.with_name("read.db")
    taken = take_out(damaged, between)
    with open_catalogue(between, write=True) as source:
        rows = {table: every_row(source, table) for table in TAKEN_OUT}
    doubts = Doubts()
    for _ in range(_ROUNDS):
        drop(fresh)
        found = Sorted(rows, doubts, Signed(_WHO, now, _WHY))
        with open_catalogue(fresh, write=True) as goal:
            with goal.atomic():
                _write(goal, found)
            faults = verify(goal).faults
        if not faults:
            return _told(found, taken)
        doubts, before = _doubts(faults, doubts), doubts
        if doubts == before:
            break
    raise CatalogueUnusable(f"{damaged}: what can be read doesn't add up ({faults[0]}); nothing was changed")


def _doubts(faults: Iterable[Fault], before: Doubts) -> Doubts:
    """What the proof found wrong, beside what it found before."""
    pieces, named_jobs, photos, of_jobs = set(before.pieces), set(before.jobs), set(before.photos), set(before.job_photos)
    for fault in faults:
        named = _NAMED.fullmatch(fault.where)
        if named and named["tag"]:
            pieces.add(named["tag"])
        elif named and named["kind"] == "photograph" and named["name"].isdigit():
            photos.add(int(named["name"]))
        elif named and named["kind"] == "job's photograph" and named["name"].isdigit():
            of_jobs.add(int(named["name"]))
        elif named and named["kind"] in ("piece", "job"):
            (pieces if named["kind"] == "piece" else named_jobs).add(named["name"])
    return Doubts(frozenset(pieces), frozenset(named_jobs), frozenset(photos), frozenset(of_jobs))


def _write(goal: Catalogue, found: Sorted) -> None:
    """Puts it all into the new catalogue. The caller holds the transaction."""
    standings = found.standings
    put_rows(goal, "style", found.rows["style"])
    styles.put_styles(goal, [Style(name) for name in _undescribed(found)])
    put_rows(goal, "customer", found.rows["customer"])
    put_rows(goal, "person", found.rows["person"])
    put_pieces(goal, standings)
    put_rows(goal, "entry", found.kept_entries)
    put_entries(goal, found.added)
    put_rows(goal, "photo", [*found.photos, *found.gone_photos()])
    put_rows(goal, "job", list(found.jobs.values()))
    known = {row["name"] for row in found.rows["style"]} | set(_undescribed(found))
    put_rows(goal, "style_rule", [row for row in found.rows["style_rule"] if row["style"] in known])
    for table in _AS_THEY_WERE:
        put_rows(goal, table, found.rows[table])
    for table in ("branch", "branch_place", "branch_distance", "branch_role"):
        put_rows(goal, table, _of_branches_there(found, table))
    put_rows(goal, "job_photo", [*found.job_photos, *found.gone_job_photos()])
    for name in sorted(found.unread_jobs):
        put_rows(goal, "job", [{"number": jobs.next_number(goal)} | _unread(name, found.signed)])
    tell_store(goal)


def _of_branches_there(found: Sorted, table: str) -> list[Mapping[str, Any]]:
    """Rows that name no branch which could not be read: its places are the first one's then, and no van is lost with it."""
    known = {row["number"] for row in found.rows["branch"]}
    rows: list[Mapping[str, Any]] = list(found.rows[table])
    if table == "branch_distance":
        return [row for row in rows if {row["one"], row["other"]} <= known]
    if table == "branch_role":
        people = {row["id"] for row in found.rows["person"]}
        return [row for row in rows if row["branch"] in known and row["person"] in people]
    if table == "branch_place":
        rows = [row if row["branch"] in known else {**row, "branch": None} for row in rows]
        return [row for row in rows if row["branch"] is not None or row["custodian"]]
    return rows


def _undescribed(found: Sorted) -> list[str]:
    return sorted({standing.piece.style for standing in found.standings} - {row["name"] for row in found.rows["style"]})


def _unread(name: str, signed: Signed) -> dict[str, Any]:
    """The row of a job for which something was cut and that could not be read: one that asks for nothing that is known."""
    patch = {"name": "could not be read", "style": "unknown", "width": 100, "length": 100, "pile": 0, "edges": "free"}
    file = {"unit": "mm", "job": name, "patches": [patch]}
    plan = {"unit": "mm", "job": name, "verdict": "none", "patches": []}
    texts = {"file": json.dumps(file), "plan": json.dumps(plan), "donors": "{}"}
    return {
        "name": name,
        "called": name,
        "stage": "cut",
        **texts,
        "hold_until": None,
        "who": signed.who,
        "at": time_text(signed.at),
    }


def _told(found: Sorted, taken: TakenOut) -> Rescue:
    """What is to be told of it."""
    tags = found.trusted.keys() | found.anew.keys()
    customers = {standing.piece.customer for standing in found.standings} - {""}
    away = {row["number"] for row in found.rows["photo"] if row["jpeg"] is None}
    lost = {
        "piece": found.named - tags - found.gone,
        "piece that was gone already": found.gone,
        "description of a style": _undescribed(found),
        "customer": customers - {row["reference"] for row in found.rows["customer"]},
        "job": found.lost_jobs,
        "photograph": {str(number) for number in found.lost_photos - away},
        "photograph of a job": {str(row["number"]) for row in found.lost_job_photos},
    }
    rowless = [tag for tag in found.trusted if found.lives[tag].row is None]
    return Rescue(
        pieces=len(tags),
        entries=len(found.kept_entries),
        lost_entries=found.lost_entries,
        anew=tuple(found.anew),
        unsure=tuple(sorted(rowless)) if found.lost_entries else (),
        lost={kind: tuple(sorted(names)) for kind, names in lost.items() if names},
        broken=tuple(sorted(taken.broken - {"piece", "entry"})),
        chained_from=found.anew_from,
    )
