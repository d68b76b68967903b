"""Pieces of a style as fitting asks for them: thousands at a time, again and again, few of them changed in between.

A row's mark is renewed by each write, and is nobody else's; so a piece that was read under a mark is kept with it in this process
and not read again. What is asked each time is only which marks are on the shelf now.
"""

from collections.abc import Iterator, Sequence
from itertools import islice
from threading import Lock
from typing import NamedTuple

from remnants.ledger import Standing
from remnants.store.catalogue import Catalogue
from remnants.store.rows import ALL_BUT, TOLD_COLUMNS, rings_of, staircase_in, standing_of

__all__ = ["Shelved", "fill", "on_shelf"]

MOST_KEPT = 120_000
"""Pieces kept in this process, some 3 KB each; past that the half that was read first is let go."""

_AT_ONCE = 500
_ON_HAND = "stage IN ('in stock', 'held')"


class Shelved(NamedTuple):
    """A piece, where it stands, and its packed staircase (`geometry.staircase`); None for a plain rectangle."""

    standing: Standing
    staircase: bytes | None


_KEPT: dict[bytes, Shelved] = {}
"""Pieces by the mark that they were read under, in the order in which they were read."""
_KEEPING = Lock()


def on_shelf(catalogue: Catalogue, styles: Sequence[str] | None = None) -> list[Shelved]:
    """Pieces that are there to be cut (held ones too), or those of some styles, in the order of tags."""
    if styles is not None and not styles:
        return []
    among = "" if styles is None else f"style IN ({', '.join('?' * len(styles))}) AND"
    listed = catalogue.execute(f"SELECT tag, touched FROM piece WHERE {among} {_ON_HAND}", list(styles or ())).fetchall()
    listed.sort()
    kept = [_KEPT.get(mark) for _, mark in listed]
    if None not in kept:
        return [each for each in kept if each is not None]
    fresh = dict(_read(catalogue, [tag for (tag, _), each in zip(listed, kept, strict=True) if each is None]))
    found = (each or fresh.get(tag) for (tag, _), each in zip(listed, kept, strict=True))
    return [each for each in found if each is not None]


def _read(catalogue: Catalogue, tags: Sequence[str]) -> Iterator[tuple[str, Shelved]]:
    """The pieces with these tags as they are now, those that are no longer there left out; all are kept."""
    for start in range(0, len(tags), _AT_ONCE):
        some = list(tags[start : start + _AT_ONCE])
        sql = f"SELECT {TOLD_COLUMNS}, staircase, touched FROM piece WHERE tag IN ({', '.join('?' * len(some))}) AND {_ON_HAND}"
        for row in catalogue.query(sql, some):
            shelved = Shelved(standing_of(row), row["staircase"])
            _keep(row["touched"], shelved)
            yield row["tag"], shelved


def _keep(mark: bytes, shelved: Shelved) -> None:
    with _KEEPING:
        if len(_KEPT) >= MOST_KEPT:
            for old in list(islice(_KEPT, MOST_KEPT // 2)):
                del _KEPT[old]
        _KEPT[mark] = shelved


def fill(catalogue: Catalogue) -> None:
    """Works out the staircases of odd pieces that have none yet."""
    sql = "SELECT id, rings, pile_deg FROM piece WHERE staircase IS NULL AND area_mm2 < across_mm * along_mm * ?"
    waiting = iter(catalogue.execute(sql, [ALL_BUT]).fetchall())
    while some := list(islice(waiting, _AT_ONCE)):
        filled = [(staircase_in(rings_of(rings), pile_deg), number) for number, rings, pile_deg in some]
        with catalogue.atomic():
            catalogue.many("UPDATE piece SET staircase = ? WHERE id = ?", filled)
