"""Rectangles laid whole on plain donors by packing: many at once, where a search patch by patch finds no room without seams.

It knows no seam, pattern or cutout: what has others keep them, and what it leaves out is made from the rest. A plan of it is
proved like every other; what it leaves out is no proof that it can't be.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Leaf
from remnants.fitting.patch.made import Made, settled
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.patch.same_donor_layouts import Option
from remnants.fitting.sharing.merit import carpet_name, rooms_of
from remnants.geometry.outline import Outline, Point, Ring, bounds
from remnants.geometry.tolerances import DUST_MM
from remnants.packing import Donor as Packed
from remnants.packing import DonorPacking, DonorProblem, Part, Watch, pack_donors

__all__ = ["FEW", "FEWEST", "MOST_DONORS", "MOST_PATCHES", "lay_rectangles", "likely_donors", "rectangles_of", "tries_for"]

FEWEST = 4
"""Patches from which on it pays: of fewer the other ways find the best."""

MOST_PATCHES, MOST_DONORS = 200, 200
"""Patches, the largest first, and donors that are packed at once: what is beyond them is left to the other ways."""

QUICK_TRIES = 25
"""Plans of the packing for a search that should answer at once: about what one change to a plan of patches takes."""

MOST_TRIES, FEW = 1500, 40
"""Plans of the packing at most, some 5 seconds where it finds no place for all: of more patches than these few, each of which
takes longer, as many fewer as the square of their number is greater."""

THOROUGH = 10
"""Tries of a search from which on it isn't one that should answer at once."""

MICRONS = 1000
SQUARE_DECIMETRE = 10**10
"""Square micrometres: what a donor costs is its area, in these."""

Sized = tuple[int, int, Donor]
"""A donor with its width and length, micrometres."""


@dataclass(frozen=True)
class _Guest:
    """A patch to be laid, its size in micrometres, and the donors (by tag) that look as the best for it does."""

    index: int
    width: int
    length: int
    able: dict[str, Donor]


def tries_for(tries: float) -> tuple[int, ...]:
    """How many plans of the packing so many tries of a search are worth, for one packing after the other."""
    if tries < 1:
        return ()
    return (QUICK_TRIES,) if tries < THOROUGH else (QUICK_TRIES, MOST_TRIES)


def rectangles_of(asks: Sequence[Ask], alone: Sequence[Made | None]) -> list[int]:
    """The rectangular patches that are whole when made alone, the largest first and no more than are packed."""
    found = [i for i, own in enumerate(alone) if own is not None and len(own.parts) == 1 and asks[i].shape.is_rectangle]
    found.sort(key=lambda i: (-math.prod(_size(asks[i].shape.cut)), i))
    return found[:MOST_PATCHES]


def lay_rectangles(
    asks: Sequence[Ask],
    fields: Sequence[Field],
    alone: Sequence[Made | None],
    best: Sequence[Made | None],
    *,
    watch: Watch,
    tries: int,
    seed: int,
) -> Iterator[list[Made | None]]:
    """Plans in which rectangular patches lie whole on donors as good for each as the one that it had alone; None for the rest.

    All other patches stay as they are in the `best` plan, and what is left of their donors isn't looked at. Where some patches
    lie in one room each carpet that has area for all of them comes first by itself, then all together, until one plan leaves
    out nothing. It ends after so many `tries`, fewer of more than `FEW` patches, which makes it the same on any machine; the time
    of the `watch` only ends it sooner. Nothing where there are fewer than `FEWEST` such patches.
    """
    wanted = rectangles_of(asks, alone)
    if len(wanted) < FEWEST:
        return
    kept = [None if index in set(wanted) else each for index, each in enumerate(best)]
    gone = {tag for each in kept if each is not None for tag, _ in each.cuts}
    guests = _guests(asks, _shelves(fields, alone, wanted, gone), watch)
    tries = min(tries, MOST_TRIES * FEW**2 // max(FEW, len(guests)) ** 2)
    offers = list(_offers(guests, rooms_of(asks)))
    for number, offer in enumerate(offers):
        if watch.timed_out():
            return
        laid, left_out = _packed(offer, watch.part(1 / (len(offers) - number)), tries // len(offers), seed)
        yield _plan(asks, kept, laid, watch)
        if not left_out:
            return


def likely_donors(sizes: Sequence[tuple[int, int]], donors: Sequence[Sized]) -> list[Sized]:
    """The donors that are packed: all that hold a part (width, length), or of too many those that can matter most.

    Half of these are the largest, which hold most together; the others are, for one part after the other, the smallest that
    hold it, then the next smallest, until there are `MOST_DONORS`. By area, then by tag; the order of stock makes no difference.
    """
    ordered = sorted(donors, key=lambda donor: (donor[0] * donor[1], donor[2].tag))
    holding = [
        [at for at, (across, along, _) in enumerate(ordered) if width <= across and length <= along] for width, length in sizes
    ]
    able = sorted({at for own in holding for at in own})
    chosen = set(able[-(MOST_DONORS // 2) :]) if len(able) > MOST_DONORS else set(able)
    for at in (own[rank] for rank in range(MOST_DONORS) for own in holding if rank < len(own)):
        if len(chosen) >= min(MOST_DONORS, len(able)):
            break
        chosen.add(at)
    return [ordered[at] for at in sorted(chosen)]


def _guests(asks: Sequence[Ask], shelves: Mapping[int, Sequence[Sized]], watch: Watch) -> list[_Guest]:
    """The patches with those of their donors that are packed; nothing where time is up meanwhile.

    A donor is packed the way that it lies for the first patch: a quarter turn from there it serves no other.
    """
    sizes = {index: _size(asks[index].shape.cut) for index in shelves}
    every = {donor[2].tag: donor for shelf in shelves.values() for donor in shelf}
    likely = {donor[2].tag for donor in likely_donors(list(sizes.values()), list(every.values()))}
    few = {id(shelf): [donor for donor in shelf if donor[2].tag in likely] for shelf in shelves.values()}
    lies: dict[str, float] = {}
    guests = []
    for index, (width, length) in sizes.items():
        if watch.timed_out():
            return []
        able: dict[str, Donor] = {}
        for across, along, donor in few[id(shelves[index])]:
            holds = width <= across and length <= along and _may_lie(asks[index], donor)
            if holds and (donor.turn_deg - lies.setdefault(donor.tag, donor.turn_deg)) % 180 == 0:
                able[donor.tag] = donor
        guests.append(_Guest(index, width, length, able))
    return guests


def _shelves(
    fields: Sequence[Field], alone: Sequence[Made | None], wanted: Sequence[int], gone: set[str]
) -> dict[int, list[Sized]]:
    """For each patch the plain donors that look as the one that it had alone; patches with the same donors have one list."""
    shelves: dict[tuple[int, object], list[Sized]] = {}
    own = {}
    for index in wanted:
        made = alone[index]
        look = made.parts[0].donor.look_key if made is not None else ()
        key = id(fields[index]), look
        if key not in shelves:
            shelves[key] = _shelf(fields[index], look, gone)
        own[index] = shelves[key]
    return own


def _shelf(field: Field, look: object, gone: set[str]) -> list[Sized]:
    """The plain donors of a field with this look, each at one of its turns."""
    tags: dict[str, Sized] = {}
    for donor in field.donors:
        if donor.tag not in tags and donor.tag not in gone and donor.is_plain and donor.look_key == look:
            left, bottom, right, top = donor.box
            tags[donor.tag] = _up(right - left), _up(top - bottom), donor
    return list(tags.values())


def _may_lie(ask: Ask, donor: Donor) -> bool:
    """True if the patch may lie anywhere on the donor: no pattern to meet, no rows to lie between."""
    return ask.has_pins((donor.tag,)) and ask.moves(ask.shape, donor) is None


def _offers(guests: Sequence[_Guest], rooms: Sequence[str]) -> Iterator[list[_Guest]]:
    """The patches with the donors of one carpet, for each that has area for all of them; then with all donors."""
    here = [rooms[guest.index] for guest in guests]
    donors = {tag: donor for guest in guests for tag, donor in guest.able.items()}
    areas: dict[tuple[str, str, str, int, str], float] = {}
    for donor in donors.values():
        name = carpet_name(donor.candidate.piece)
        areas[name] = areas.get(name, 0.0) + donor.area_mm2
    needed = sum(guest.width * guest.length for guest in guests) / MICRONS**2
    if len(set(here)) < len(here) and len(areas) > 1:
        for name in sorted((name for name, area in areas.items() if area >= needed), key=lambda name: (-areas[name], repr(name))):
            own = {tag for tag, donor in donors.items() if carpet_name(donor.candidate.piece) == name}
            yield [replace(guest, able={tag: donor for tag, donor in guest.able.items() if tag in own}) for guest in guests]
    if donors:
        yield list(guests)


def _packed(guests: Sequence[_Guest], watch: Watch, tries: int, seed: int) -> tuple[list[tuple[_Guest, Donor, Point]], int]:
    """Each patch that was laid, on which donor and by what move; and how many were left out."""
    tags = {tag: donor for guest in guests for tag, donor in sorted(guest.able.items())}
    place = {tag: number for number, tag in enumerate(sorted(tags))}
    donors = [_donor(tags[tag]) for tag in place]
    parts = [Part(each.width, each.length, frozenset(place[tag] for tag in each.able)) for each in guests]
    left_out = [len(parts)]
    own = Watch(tries=tries, stop=lambda: left_out[-1] == 0 or watch.timed_out())
    problem = DonorProblem(tuple(parts), tuple(donors))
    found: DonorPacking = pack_donors(problem, watch=own, seed=seed, told=lambda missing, _cost, _bound: left_out.append(missing))
    named, laid = tuple(place), []
    for spot in found.spots:
        guest = guests[spot.part]
        donor, x, y = guest.able[named[spot.donor]], spot.x, spot.y
        if donor.turn_deg != tags[donor.tag].turn_deg:  # half a turn from how the donor was packed
            x, y = donors[spot.donor].width - x - guest.width, donors[spot.donor].length - y - guest.length
        laid.append((guest, donor, (donor.box[0] + x / MICRONS, donor.box[1] + y / MICRONS)))
    return laid, len(found.unplaced)


def _plan(
    asks: Sequence[Ask], kept: Sequence[Made | None], laid: Sequence[tuple[_Guest, Donor, Point]], watch: Watch
) -> list[Made | None]:
    """The patches kept and those laid, each from what those before leave of its donor, as far as nobody stops it."""
    plan = list(kept)
    left: dict[str, Outline] = {}
    for guest, donor, corner in laid:
        if watch.stopped():
            break
        ask = asks[guest.index]
        low_x, low_y, _, _ = bounds(ask.shape.cut)
        rest = replace(donor, left=left.get(donor.tag, donor.left))
        made = settled(ask, Option(Leaf(ask.shape, rest), ((corner[0] - low_x, corner[1] - low_y),)))
        plan[guest.index] = made
        if made is not None:
            left[donor.tag] = replace(rest.left, cutouts=(*rest.left.cutouts, made.cuts[0][1]))
    return plan


def _donor(donor: Donor) -> Packed:
    left, bottom, right, top = donor.box
    width, length = _up(right - left), _up(top - bottom)
    return Packed(width, length, max(1, width * length // SQUARE_DECIMETRE))


def _size(ring: Ring) -> tuple[int, int]:
    """Width and length of a cut in whole micrometres, rounded down: far less than the tolerance, and sums stay as they are."""
    left, bottom, right, top = bounds(ring)
    return math.floor((right - left + DUST_MM) * MICRONS), math.floor((top - bottom + DUST_MM) * MICRONS)


def _up(length_mm: float) -> int:
    """A side of a donor in whole micrometres, rounded up."""
    return math.ceil((length_mm - DUST_MM) * MICRONS)
