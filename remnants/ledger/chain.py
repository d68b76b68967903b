"""The digest that each entry carries: over what it says and over the digest before it, so that no change stays hidden.

What may be erased about a person goes in under a cover: a SHA-256 of a random salt and the words. While the words are there their
salt is kept, so that they can be proved; when they are erased the salt goes too and the cover alone is kept. So the chain stays
whole, and nobody can try words until one fits, since they would have to guess 128 random bits with them.
"""

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

__all__ = ["CHAINED", "HEAD_LETTERS", "SALT_LETTERS", "Head", "covers_kept", "digest_of", "erased_salts", "linked"]

CHAINED = ("number", "booking", "tag", "act", "facts", "who", "at", "why", "job")
"""What of an entry's row goes into its digest, in this order; `facts` and `why` with what may be erased under covers."""

SALT_LETTERS = 32
"""Of a salt, hexadecimal; a cover has twice as many."""

HEAD_LETTERS = 8
"""How much of a digest stands on paper."""

_PRIVATE = frozenset({"customer", "place", "room"})
"""Facts that may be erased, wherever they stand; with them the reason, `why`."""

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Head:
    """The newest entry at some moment and its digest (hexadecimal): it stands for every entry up to it."""

    number: int
    digest: str

    @property
    def text(self) -> str:
        """As it stands on paper: `214-7C1F90AB`."""
        return f"{self.number}-{self.digest[:HEAD_LETTERS].upper()}"


def linked(before: str, row: Row, salt: Callable[[], str]) -> tuple[dict[str, str], str]:
    """A new salt for each thing in an entry's row that may be erased, by where it stands: `why`, `place`, `piece.room`; and the
    row's digest with them, as `digest_of` gives it. The facts are read once for both.

    `facts` is JSON text; `salt` gives SALT_LETTERS random hexadecimal digits.
    """
    facts = _facts(row)
    salts = {path: salt() for path, _ in _private(facts, row["why"])}
    return salts, _digest(before, row, facts, salts)


def digest_of(before: str, row: Row, salts: Mapping[str, str]) -> str:
    """The digest (hexadecimal SHA-256) of an entry's row after the one with the digest `before`; "" for the first.

    `salts` are those of `linked`, or covers where words were erased. Raises ValueError where they don't go with the facts, or
    these are no JSON object.
    """
    return _digest(before, row, _facts(row), salts)


def _digest(before: str, row: Row, told: Mapping[str, Any], salts: Mapping[str, str]) -> str:
    left = dict(salts)
    facts = _covered(told, left)
    why = _cover(left.pop("why"), row["why"]) if "why" in left else row["why"]
    if left:
        raise ValueError(f"it has no {', '.join(sorted(left))}, which its digest was made over")
    covered = {"facts": facts, "why": why}
    content = _written([before, *(covered[column] if column in covered else row[column] for column in CHAINED)])
    return hashlib.sha256(content.encode()).hexdigest()


def erased_salts(row: Row, salts: Mapping[str, str], *, facts: str, why: str) -> dict[str, str]:
    """The salts of an entry whose facts and reason become others: a cover in place of the salt wherever words went."""
    before, after = (dict(_private(_facts(each), each["why"])) for each in (row, {"facts": facts, "why": why}))
    kept = {path: _hash(salt, before[path]) for path, salt in salts.items() if path in before and len(salt) == SALT_LETTERS}
    return {path: kept[path] if before.get(path) != after.get(path) and path in kept else salt for path, salt in salts.items()}


def covers_kept(row: Row, salts: Mapping[str, str]) -> Iterator[tuple[str, Any]]:
    """Where words of an entry were erased, and what stands there now."""
    kept = [path for path, salt in salts.items() if len(salt) != SALT_LETTERS]
    there = dict(_private(_facts(row), row["why"])) if kept else {}
    yield from ((path, there.get(path, "")) for path in kept)


def _facts(row: Row) -> dict[str, Any]:
    facts = _read(row["facts"])
    if not isinstance(facts, dict):
        raise ValueError("its facts are no JSON object")
    return facts


def _each_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError("its facts tell something twice")
    return found


_written = json.JSONEncoder(sort_keys=True, separators=(",", ":")).encode
_read = json.JSONDecoder(object_pairs_hook=_each_once).decode
"""Made once: `json.dumps` and `json.loads` with such wishes make theirs anew for each entry."""


def _private(facts: Mapping[str, Any], why: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    for key, value in facts.items():
        if isinstance(value, dict):
            yield from _private(value, "", f"{path}{key}.")
        elif key in _PRIVATE and value:
            yield f"{path}{key}", value
    if why:
        yield "why", why


def _covered(facts: Mapping[str, Any], salts: dict[str, str], path: str = "") -> dict[str, Any]:
    """The facts with covers; the salts that were used are taken out."""
    found = {}
    for key, value in facts.items():
        own = f"{path}{key}"
        if isinstance(value, dict):
            found[key] = _covered(value, salts, f"{own}.")
        else:
            found[key] = _cover(salts.pop(own), value) if key in _PRIVATE and own in salts else value
    return found


def _cover(salt: str, words: Any) -> dict[str, str]:
    """What stands for words in the digest; of erased ones what was kept."""
    return {"salted": _hash(salt, words) if len(salt) == SALT_LETTERS else salt}


def _hash(salt: str, words: Any) -> str:
    return hashlib.sha256(f"{salt}{json.dumps(words)}".encode()).hexdigest()
