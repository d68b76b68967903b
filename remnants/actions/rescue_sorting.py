"""What was taken out of a damaged catalogue, sorted: what can be trusted, what begins anew, what is lost."""

import hashlib
import json
from collections.abc import Collection, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

from remnants.ledger import (
    Change,
    Counted,
    Cut,
    Entry,
    Photographed,
    PhotoTakenAway,
    Received,
    Released,
    Signed,
    Stage,
    Standing,
    replay,
)
from remnants.ledger.states import ON_HAND
from remnants.ledger.trust import Life, trusted
from remnants.store.chaining import altered, chained_anew
from remnants.store.jobs import job_in
from remnants.store.ledger import entry_in
from remnants.store.prove_job_photos import file_is_told
from remnants.store.rows import standing_of, time_of, time_text

__all__ = ["Doubts", "Rows", "Sorted"]

Row = Mapping[str, Any]
Rows = Mapping[str, list[dict[str, Any]]]
"""The rows of each table that was taken out."""

_THERE = ON_HAND | {Stage.MISSING}


@dataclass(frozen=True)
class Doubts:
    """Tags of pieces, names of jobs, numbers of photographs and of jobs' photographs that the proof found wrong."""

    pieces: frozenset[str] = frozenset()
    jobs: frozenset[str] = frozenset()
    photos: frozenset[int] = frozenset()
    job_photos: frozenset[int] = frozenset()


class Sorted:
    """The rows, sorted; what is put in in place of what is lost is signed so."""

    def __init__(self, rows: Rows, doubts: Doubts, signed: Signed) -> None:
        self.rows, self._doubts, self.signed = rows, doubts, signed
        self.lives = {life.tag: life for life in _lives(rows["entry"], rows["piece"])}
        self.trusted = trusted(life for tag, life in self.lives.items() if tag not in doubts.pieces)
        known = {tag: life.last_known for tag, life in self.lives.items() if tag not in self.trusted}
        self.gone = frozenset(tag for tag, last in known.items() if last and last.stage not in _THERE)
        self.anew = {tag: last for tag, last in sorted(known.items()) if last and last.stage in _THERE}
        self.kept_entries = list(chained_anew(row for row in rows["entry"] if row["tag"] in self.trusted))
        last = (life.row.version for life in self.lives.values() if life.row)
        self._highest = max([0, *last, *(row["number"] for row in rows["entry"])])
        self.jobs = {row["name"]: row for row in rows["job"] if self._stands(row)}
        self.photos = [row for row in rows["photo"] if self._shows(row)]
        self.lost_photos = self._asked_for_photos() - {row["number"] for row in self.photos}
        self.added = list(self._added())
        numbers = {row["number"] for row in self.jobs.values()}
        self.job_photos = [row for row in rows["job_photo"] if row["jpeg"] is None or self._is_of(row, numbers)]

    @property
    def lost_entries(self) -> int:
        """How many entries there were at least that are not kept."""
        return int(self._highest) - len(self.kept_entries)

    @property
    def anew_from(self) -> int:
        """The number of the first entry that has another digest than it had; 0 where none has."""
        digests = {row["number"]: row["digest"] for row in self.rows["entry"]}
        return next((row["number"] for row in self.kept_entries if row["digest"] != digests[row["number"]]), 0)

    @property
    def standings(self) -> list[Standing]:
        """Where each piece stands that is taken over."""
        added = {tag: list(own) for tag, own in groupby(sorted(self.added, key=_tag), key=_tag)}
        ways = {tag: [*self.lives[tag].entries, *added.get(tag, ())] for tag in self.trusted}
        ways |= {tag: added[tag] for tag in self.anew}
        return [standing for entries in ways.values() if (standing := replay(entries).standing)]

    @property
    def lost_jobs(self) -> frozenset[str]:
        """Jobs for which something was held or cut, or whose rows don't stand, and that are not taken over."""
        held = {last.hold.job for last in (*self._stood(), *self.anew.values()) if last.hold}
        return frozenset(held | self._cut_for() | {str(row["name"]) for row in self.rows["job"]}) - self.jobs.keys()

    @property
    def unread_jobs(self) -> frozenset[str]:
        """Those of the lost jobs for which a piece was cut: the ledger goes on naming them."""
        return frozenset(self._cut_for() - self.jobs.keys())

    @property
    def named(self) -> frozenset[str]:
        """The tags of all pieces that anything names."""
        entries = (entry for life in self.lives.values() for entry in life.entries)
        offcuts = {tag for entry in entries if isinstance(entry.change, Cut) for tag in entry.change.offcuts}
        donors: set[str] = set()
        for row in self.rows["job"]:
            with suppress(ValueError, AttributeError):
                donors |= json.loads(row["donors"]).keys()
        return frozenset(offcuts | donors | {str(row["tag"]) for row in self.rows["photo"]} | self.lives.keys())

    def gone_photos(self) -> Iterator[dict[str, Any]]:
        """Rows of photographs that are lost, or were taken away: who put them there and who took them away."""
        for tag in self.trusted:
            for number, (put, gone) in self._photographs(tag).items():
                if number in self.lost_photos:
                    taken = gone.signed if gone else self.signed
                    told = next((row for row in self.rows["photo"] if row["number"] == number), {"across": 1, "down": 1})
                    size = {"across": told["across"], "down": told["down"]}
                    ends = {"gone_who": taken.who, "gone_at": time_text(taken.at)}
                    row = {"number": number, "tag": tag, "jpeg": None, "who": put.signed.who, "at": time_text(put.signed.at)}
                    yield row | size | ends

    @property
    def lost_job_photos(self) -> list[dict[str, Any]]:
        """Photographs of jobs that are not taken over: their file is another one, or their job is lost, and so whose they are."""
        return [row for row in self.rows["job_photo"] if row not in self.job_photos]

    def gone_job_photos(self) -> Iterator[dict[str, Any]]:
        """The rows that tell who put those there, without their file and words. No later photograph gets their number."""
        ends = {
            "jpeg": None,
            "words": "",
            "house": "",
            "customer": "",
            "gone_who": self.signed.who,
            "gone_at": time_text(self.signed.at),
        }
        yield from (row | ends for row in self.lost_job_photos)

    def _is_of(self, row: dict[str, Any], jobs: Collection[int]) -> bool:
        return row["job"] in jobs and row["number"] not in self._doubts.job_photos and file_is_told(row)

    def _stood(self) -> Iterator[Standing]:
        return (history.standing for history in self.trusted.values() if history.standing)

    def _cut_for(self) -> set[str]:
        entries = (entry for history in self.trusted.values() for entry, _ in history.counting)
        return {entry.signed.job for entry in entries if isinstance(entry.change, Cut)}

    def _stands(self, row: Row) -> bool:
        """Whether a job's row can be read and its donors have the entries that it names."""
        try:
            job = job_in(dict(row))
            by_number = {(entry.tag, entry.number): entry for tag in job.donors for entry in self._entries(tag)}
            named = [by_number.get((tag, version)) for tag, version in job.donors.items()]
        except Exception:  # whatever reading it raises, it can't be read
            return False
        return job.name not in self._doubts.jobs and all(entry is not None and entry.signed.job == job.name for entry in named)

    def _entries(self, tag: str) -> tuple[Entry, ...]:
        return self.lives[tag].entries if tag in self.trusted else ()

    def _photographs(self, tag: str) -> dict[int, tuple[Entry, Entry | None]]:
        """The photographs that a piece's entries tell of, by number: the entry that put it there, and that took it away."""
        found: dict[int, tuple[Entry, Entry | None]] = {}
        for entry in self._entries(tag):
            if isinstance(entry.change, Photographed):
                found[entry.change.photo] = entry, None
            elif isinstance(entry.change, PhotoTakenAway) and entry.change.photo in found:
                found[entry.change.photo] = found[entry.change.photo][0], entry
        return found

    def _asked_for_photos(self) -> set[int]:
        return {number for tag in self.trusted for number in self._photographs(tag)}

    def _shows(self, row: Row) -> bool:
        """Whether a photograph's row is taken over: its file is the one that its entry tells of, or its piece begins anew."""
        if row["number"] in self._doubts.photos or not row["jpeg"]:
            return False
        put, gone = self._photographs(row["tag"]).get(row["number"], (None, None))
        if put is None or not isinstance(put.change, Photographed):
            return row["tag"] in self.anew
        same = put.change.sha256 in ("", hashlib.sha256(row["jpeg"]).hexdigest()) and put.change.size_bytes == len(row["jpeg"])
        return same and gone is None and (row["who"], row["at"]) == (put.signed.who, time_text(put.signed.at))

    def _added(self) -> Iterator[Entry]:
        """What is written after the last entry: pieces that begin anew, holds and photographs that are lost."""
        number = self._highest + 1
        for tag in sorted(self.trusted.keys() | self.anew.keys()):
            booking = number
            for change, signed in self._changes(tag):
                yield Entry(number, booking, tag, change, signed)
                number += 1

    def _changes(self, tag: str) -> Iterator[tuple[Change, Signed]]:
        lost = replace(self.signed, why=f"{self.signed.why}; could not be read")
        if tag in self.anew:
            standing = self.anew[tag]
            since = f"; was cut from {standing.parent}" if standing.parent else ""
            yield Received(standing.piece), replace(self.signed, why=self.signed.why + since)
            if standing.stage is Stage.MISSING:
                yield Counted(standing.piece.place, seen=False), self.signed
            for row in self.photos:
                if row["tag"] == tag:
                    told = Photographed(row["number"], len(row["jpeg"]), hashlib.sha256(row["jpeg"]).hexdigest())
                    yield told, Signed(row["who"], time_of(row["at"]), self.signed.why)
            return
        held = self.trusted[tag].standing
        if held and held.hold and held.hold.job not in self.jobs:
            yield Released(), replace(self.signed, why=f"{self.signed.why}; the job {held.hold.job} could not be read")
        for photo, (_, gone) in self._photographs(tag).items():
            if photo in self.lost_photos and gone is None:
                yield PhotoTakenAway(photo), lost


def _tag(entry: Entry) -> str:
    return entry.tag


def _lives(entries: Collection[Row], pieces: Collection[Row]) -> Iterator[Life]:
    """What is left of each piece, by the rows that could be read."""
    rows: dict[str, Standing] = {}
    for row in pieces:
        with suppress(Exception):  # whatever reading it raises, it can't be read
            rows[row["tag"]] = standing_of(row)
    in_order = sorted(entries, key=lambda row: (row["tag"], row["number"]))
    wrong = set(altered(entries))
    by_tag = {tag: list(own) for tag, own in groupby(in_order, key=lambda row: row["tag"])}
    for tag in sorted(by_tag.keys() | rows.keys()):
        read = []
        for row in by_tag.get(tag, ()):
            with suppress(Exception):
                read += [] if row["number"] in wrong else [entry_in(dict(row))]
        yield Life(tag, tuple(read), whole=len(read) == len(by_tag.get(tag, ())), row=rows.get(tag))
