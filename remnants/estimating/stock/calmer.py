"""Rooms that stock gives whole, laid with fewer seams: a roll's width sets no seam in what isn't cut from the roll."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice

from remnants.estimating.roll.bearings import bearings_of
from remnants.estimating.roll.work import Work
from remnants.estimating.rooms.layings import lay_room
from remnants.estimating.rooms.seams import with_joins
from remnants.estimating.stock.choice import Use, worth_of
from remnants.estimating.stock.what_fits import Option, lay_on_stock, options, seen_together
from remnants.geometry.tolerances import DUST_MM
from remnants.model import Candidate
from remnants.model.order_plan import Laying, Placed
from remnants.packing import Watch

__all__ = ["with_fewer_seams"]

MOST_WAYS = 40
"""Ways looked at of a room at one bearing, fewest seams first."""

MOST_LOTS, MOST_LOOKS = 40, 400
"""Lots asked for each way of a room, that which gives it already first; times that stock is asked for a room in all."""

Laid = tuple[tuple[Option, ...], tuple[Placed, ...], float]
"""What stock gives, where its cuts lie, and what that spares of worth (mm²)."""


def with_fewer_seams(
    work: Work,
    layings: Sequence[Laying],
    use: Use,
    on_roll: Sequence[Placed],
    *,
    ordered_mm: float,
    stock: Sequence[Candidate],
    watch: Watch,
) -> tuple[tuple[Laying, ...], tuple[Placed, ...]]:
    """The layings, and where cuts lie on stock, with every room that the use of stock gives whole laid as calmly as stock can.

    What lies `on_roll`, of which so much is ordered, stays. Worth of stock is given for a seam as roll would be, no more. A room
    for which `MOST_LOOKS` find nothing keeps its seams, as all do once the time of the `watch` is up.
    """
    laid: Laid = use.options, use.placed, worth_of(work, (*on_roll, *use.placed), ordered_mm, stock)
    from_roll = {cut.room for cut in use.rest}
    made = list(layings)
    for place, laying in enumerate(layings):
        if laying.room in from_roll or all(seam.to for seam in laying.seams):
            continue
        looks = MOST_LOOKS
        for way in _ways(work, laying):
            given = list(islice(_given(work, laying, way, laid[0], stock), min(MOST_LOTS, looks)))
            looks -= len(given)
            if not given or watch.timed_out():
                break
            spared = (laying.drawback_mm - way.drawback_mm) * work.roll.width_mm
            found = [
                (chosen, placed, worth_of(work, (*on_roll, *placed), ordered_mm, stock))
                for chosen in given
                if not watch.timed_out() and (placed := lay_on_stock(chosen, work.roll, work.rules)) is not None
            ]
            best = max(found, key=lambda each: round(each[2]), default=None)
            if best and best[2] + spared >= laid[2]:
                made[place], laid = way, best
                break
    return tuple(made), laid[1]


def _ways(work: Work, laying: Laying) -> Iterator[Laying]:
    """Ways with less to be seen than this one, least first: at its bearing where other rooms must share that, else at any."""
    found = [(room, group) for group in work.floors.groups for room in group if room.name == laying.room]
    ways: list[Laying] = []
    for room, group in found:
        for bearing in bearings_of(group) if len(group) == 1 else [laying.pile_deg]:
            any_ways = lay_room(room, bearing, roll=work.roll, rules=work.rules, construction=work.construction)
            ways += (with_joins(way, work.floors, work.rules, work.construction) for way in islice(any_ways, MOST_WAYS))
    ways.sort(key=lambda way: (way.drawback_mm, sum(cut.width_mm * cut.length_mm for cut in way.cuts)))
    return (way for way in ways if way.drawback_mm < laying.drawback_mm - DUST_MM)


def _given(
    work: Work, laying: Laying, way: Laying, chosen: Sequence[Option], stock: Sequence[Candidate]
) -> Iterator[tuple[Option, ...]]:
    """What stock is to give where the room is laid in that way: by any lot where nothing else is seen with the room."""
    own = [option for option in chosen if any(cut.room == laying.room for cut in option.cuts)]
    others = tuple(option for option in chosen if option not in own)
    if (laying.room,) in seen_together(work.floors):
        singles = tuple(option for option in options([way.cuts], stock, work.roll) if option.same_lot)
        if singles:
            yield (*others, *singles)
        lots = [option for option in options([way.cuts], stock, work.roll) if not option.same_lot]
        yield from ((*others, option) for option in sorted(lots, key=lambda option: option.stock != own[0].stock))
    elif own[0].same_lot:
        yield (*others, *(replace(own[0], cuts=(cut,)) for cut in way.cuts))
    else:
        kept = tuple(cut for cut in own[0].cuts if cut.room != laying.room)
        yield (*others, replace(own[0], cuts=(*kept, *way.cuts)))
