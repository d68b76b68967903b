"""Which place is meant by its words, where a shop has several branches: each may have a `Bay 3` of its own."""

from dataclasses import dataclass

from remnants.actions.count_place import place_named
from remnants.actions.transfers import place_at
from remnants.errors import BadInput, Fault
from remnants.model.branches import Branches
from remnants.store import Catalogue, pieces
from remnants.store.branches import all_branches

__all__ = ["PlaceMeant", "place_meant", "the_place", "unmistaken"]


@dataclass(frozen=True, slots=True)
class PlaceMeant:
    """The place that words mean, as the books write it or would; `there` says whether something lies at it.

    `others` are places called alike at other branches or in vans, each with whose it is. Where one of these may be meant as well,
    it `asks` which.
    """

    place: str
    there: bool
    others: tuple[tuple[str, str], ...] = ()
    asks: bool = False

    @property
    def question(self) -> str:
        """`which branch? Bay 3 is at South (Bay 3) and at North (North Bay 3)`."""
        told = " and ".join(f"at {whose} ({place!r})" for whose, place in self.others)
        return f"which branch is meant? {self.place!r} is {told}"


def place_meant(catalogue: Catalogue, text: str, *, own: str = "") -> PlaceMeant:
    """The place that is meant by `text`, said by somebody who works from the branch or van `own` ("": none in particular).

    Words that begin with a branch's or a van's own are its place. Other words mean the place that is called so at `own`; without
    it the one that is called so anywhere, and where that is so at several, it is asked. Of a shop with one branch, or none, it is
    the place itself.
    """
    ours, bare = all_branches(catalogue), " ".join(text.split())
    if not ours.several:
        place = text if text and pieces.count_at(catalogue, text) else place_named(catalogue, text)
        return PlaceMeant(place, bool(place and pieces.count_at(catalogue, place)))
    whose, called = ours.told_there(bare)
    told = ((*ours.told_there(known), known) for known in pieces.places(catalogue))
    alike_named = [(each, known) for each, name, known in told if name == called]
    if ours.words_of(bare):
        return _at(alike_named, whose, bare, text)
    if own:
        return _at(alike_named, ours.named(own) or own, bare, place_at(ours, ours.named(own) or own, bare))
    if len({each for each, _ in alike_named}) > 1:
        return PlaceMeant(bare, True, _in_order(alike_named, ours), asks=True)
    return _at(alike_named, whose, bare, bare)


def the_place(catalogue: Catalogue, text: str, *, own: str = "", where: str = "place") -> str:
    """The place that is meant, as `place_meant`, of a shop with one branch or none the text itself.

    Raises BadInput at the field or option `where` with the question which is meant.
    """
    if not all_branches(catalogue).several:
        return text
    found = place_meant(catalogue, text, own=own)
    if found.asks:
        raise BadInput([Fault(where, f"{found.question}; begin it with the branch's name, such as {found.others[0][0]!r}")])
    return found.place


def unmistaken(catalogue: Catalogue, place: str, *, own: str = "") -> str:
    """A place as the books have it, in words that mean it to who works from `own`: with its branch's name where these need it."""
    ours = all_branches(catalogue)
    if not place or not ours.several or ours.words_of(place):
        return place
    meant = place_meant(catalogue, place, own=own)
    return place if meant.place == place and not meant.asks else f"{ours.branch_of(place)} {place}"


def _at(alike_named: list[tuple[str, str]], whose: str, bare: str, unknown: str) -> PlaceMeant:
    """The place of that branch or van: as the books write it where they have it, the one written just so before others."""
    mine = sorted((known for each, known in alike_named if each == whose), key=lambda known: (known != bare, known))
    others = tuple((each, known) for each, known in alike_named if each != whose)
    return PlaceMeant(mine[0] if mine else unknown, bool(mine), others)


def _in_order(alike_named: list[tuple[str, str]], ours: Branches) -> tuple[tuple[str, str], ...]:
    """By branch in the shop's order, then vans."""
    order = [branch.name for branch in ours.branches] + [van.name for van in ours.vans]
    return tuple(sorted(alike_named, key=lambda each: (order.index(each[0]), each[1])))
