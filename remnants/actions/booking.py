"""How actions change the stock: entries and what they make of pieces, together, and each request once."""

import hashlib
import json
from collections.abc import Callable, Sequence
from typing import Any

from remnants.actions.branch_people import refuse_elsewhere
from remnants.errors import BadInput, Fault, NotFound, StockChanged
from remnants.ledger import BESIDE, Change, Entry, Signed, Standing, Undone, applied, replay
from remnants.store import Catalogue, ledger, pieces, requests

__all__ = ["answered", "as_seen", "book", "once", "refuse_unseen", "standing_of"]


def standing_of(catalogue: Catalogue, tag: str) -> Standing:
    """Where the piece with this tag stands. Raises NotFound."""
    standing = pieces.find_standing(catalogue, tag.strip())
    if standing is None:
        raise NotFound(f"no piece has the tag {tag!r}; `remnants find` looks pieces up by style, colour and lot")
    return standing


def refuse_unseen(catalogue: Catalogue, before: Standing, seen: int | None, *, own: str = "") -> None:
    """Refuses what somebody asked of a piece who saw it at the version `seen`, where more happened to it. None asks nothing.

    What the person named `own` did since is passed over. Raises StockChanged, telling what happened, by whom and when.
    """
    if seen is None or seen == before.version:
        return
    tag = before.piece.tag
    if seen > before.version:
        raise StockChanged(f"{tag} has no entry {seen}, so nothing was done; look at it again")
    since = [entry for entry in ledger.entries_since(catalogue, tag, seen) if entry.act not in BESIDE and entry.signed.who != own]
    if since:
        told = "; ".join(f"{entry.act.value} {entry.signed.words}" for entry in since)
        raise StockChanged(f"{tag} was {told} since you looked at it, so nothing was done; look at it again")


def as_seen(asked: list[Any], seen: int | None) -> list[Any]:
    """A request for `once`, with the version of the piece that was seen where there is one."""
    return asked if seen is None else [*asked, seen]


def book(catalogue: Catalogue, changes: Sequence[tuple[str, Change]], signed: Signed) -> tuple[Standing, ...]:
    """Writes entries about pieces that are there, as one booking, and gives where each piece stands then.

    Raises NotFound, NotAllowed where the table of moves or a hold forbids it, and NotPermitted where a piece lies at a branch
    at which who signs may only look; then nothing is written.
    """
    with catalogue.atomic():
        number = booking = ledger.next_number(catalogue)
        written: list[tuple[Entry, Standing]] = []
        steps: list[tuple[Standing, Change, Standing]] = []
        there = pieces.standings_tagged(catalogue, list(dict.fromkeys(tag for tag, _ in changes)))
        current: dict[str, Standing] = {}
        for tag, change in changes:
            before = current.get(tag) or there.get(tag) or standing_of(catalogue, tag)
            entry = Entry(number, booking, before.piece.tag, change, signed)
            after = _undone(catalogue, entry) if isinstance(change, Undone) else applied(before, entry)
            current[tag] = after
            written.append((entry, after))
            steps.append((before, change, after))
            number += 1
        refuse_elsewhere(catalogue, signed, steps)
        ledger.write(catalogue, written, there)
    return tuple(standing for _, standing in written)


def once(catalogue: Catalogue, key: str, asked: Any, signed: Signed, do: Callable[[], Any]) -> Any:
    """What `do` gives, in one transaction; for a `key` that was answered before, that answer again and nothing is done.

    `asked` is what the request was, as JSON values, and so is what `do` gives. Without a key it is simply done. Raises BadInput
    when the key was used for something else.
    """
    digest = hashlib.sha256(json.dumps(asked, sort_keys=True, default=str).encode()).hexdigest()
    with catalogue.atomic():
        known = requests.find(catalogue, key) if key else None
        if known is None:
            answer = do()
            if key:
                requests.add(catalogue, key, digest, answer, signed)
            return answer
    if known.asked != digest:
        raise BadInput([Fault("key", f"the key {key!r} was used for another request; take a new one")])
    return known.answer


def answered(catalogue: Catalogue, key: str) -> bool:
    """Whether a request with this key was done before: what it did need not be made out anew. Without a key, no."""
    return bool(key) and requests.find(catalogue, key) is not None


def _undone(catalogue: Catalogue, entry: Entry) -> Standing:
    standing = replay(ledger.entries_of(catalogue, entry.tag)).then(entry).standing
    assert standing is not None, "a piece that had entries stands somewhere"
    return standing
