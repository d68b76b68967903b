"""Reading branches, vans and what is on the way between them out of a stock file; `stock` writes them."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Annotated

from pydantic import Field

from remnants.errors import BadInput, Fault
from remnants.exchange.entries import Entry, Name, PieceEntry, Text
from remnants.exchange.reading import Reading
from remnants.limits import PERSON_CHARACTERS, PIECES
from remnants.model.branches import Branch, Branches, Van, alike, pair_of
from remnants.model.distance import Distance, read_distance

__all__ = ["BRANCH_KEYS", "BranchEntry", "VanEntry", "WayEntry", "read_branches", "ways_read"]

BRANCH_KEYS = ("branches", "vans", "on_the_way")
"""The keys of a stock file that are read here."""

MOST = 1_000
"""Branches that a file may list, and vans."""

Called = Annotated[Name, Field(max_length=PERSON_CHARACTERS)]


class BranchEntry(Entry):
    """A branch: the words with which its places begin beside its name, and how far others of the file are from it."""

    name: Called
    places: tuple[Called, ...] = ()
    away: Mapping[str, Text] = Field(default_factory=dict)


class VanEntry(Entry):
    """A van: who answers for what lies in it, and of which branch it is."""

    name: Called
    custodian: Called
    branch: Text = ""


class WayEntry(Entry):
    """A piece on the way, its `place` that where it lay; which branch or van it left and goes to, and when it should be there."""

    piece: PieceEntry
    sent_from: Text = ""
    sent_to: Name
    expected: date


def read_branches(reading: Reading) -> Branches:
    """What a file tells of branches and vans; what is wrong with it is noted as the reading's faults."""
    entries = [
        (f"branches[{index}]", entry)
        for index, raw in enumerate(reading.items("branches", MOST, needed=False))
        if (entry := reading.entry(BranchEntry, raw, f"branches[{index}]"))
    ]
    found = Branches()
    for place, entry in entries:
        found = _with_branch(reading, found, place, entry)
    for index, raw in enumerate(reading.items("vans", MOST, needed=False)):
        van = reading.entry(VanEntry, raw, f"vans[{index}]")
        if van:
            found = _with_van(reading, found, f"vans[{index}]", van)
    return replace(found, distances=_distances(reading, found, entries))


def ways_read(reading: Reading) -> list[tuple[str, WayEntry]]:
    """Each piece on the way with its place in the file, `on_the_way[0]`."""
    read = enumerate(reading.items("on_the_way", PIECES, needed=False))
    told = ((f"on_the_way[{index}]", reading.entry(WayEntry, raw, f"on_the_way[{index}]")) for index, raw in read)
    return [(place, entry) for place, entry in told if entry]


def _with_branch(reading: Reading, found: Branches, place: str, entry: BranchEntry) -> Branches:
    words = {alike(entry.name): entry.name, **{alike(each): each for each in entry.places}}
    for each in words.values():
        _refuse_twice(reading, found, place, each)
    own = tuple(each for key, each in words.items() if key != alike(entry.name))
    return replace(found, branches=(*found.branches, Branch(" ".join(entry.name.split()), own)))


def _with_van(reading: Reading, found: Branches, place: str, entry: VanEntry) -> Branches:
    _refuse_twice(reading, found, place, entry.name)
    branch = found.branch_named(entry.branch) if entry.branch.strip() else None
    if entry.branch.strip() and branch is None:
        reading.faults.append(Fault(f"{place}.branch", f"no branch of this file is called {entry.branch!r}"))
    van = Van(" ".join(entry.name.split()), " ".join(entry.custodian.split()), branch.name if branch else "")
    return replace(found, vans=tuple(sorted((*found.vans, van), key=lambda each: alike(each.name))))


def _refuse_twice(reading: Reading, found: Branches, place: str, words: str) -> None:
    if owner := found.owner_of(words):
        reading.faults.append(Fault(place, f"{words!r} is {owner} already; two that are read alike would be mixed up"))


def _distances(reading: Reading, found: Branches, entries: list[tuple[str, BranchEntry]]) -> Mapping[frozenset[str], Distance]:
    distances: dict[frozenset[str], Distance] = {}
    for place, entry in entries:
        for name, text in entry.away.items():
            other = found.branch_named(name)
            if other is None or alike(name) == alike(entry.name):
                reading.faults.append(Fault(f"{place}.away", f"no other branch of this file is called {name[:80]!r}"))
                continue
            try:
                distances[pair_of(entry.name, other.name)] = read_distance(text, f"{place}.away")
            except BadInput as error:
                reading.faults += error.faults
    return distances
