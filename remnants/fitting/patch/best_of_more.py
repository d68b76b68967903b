"""Three and four parts: the ways that are seen least, with a piece for each part or with one that gives several."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Layout, leaves
from remnants.fitting.patch.look import least_look, least_look_along, look_of
from remnants.fitting.patch.made import Made, first_settled
from remnants.fitting.patch.more_parts import joined
from remnants.fitting.patch.out_of_reach import is_plain_rectangle, sets_to_share
from remnants.fitting.patch.question import AXES, OUT_OF_TIME, Ask, OutOfTime
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.patch.same_donor import Effort
from remnants.fitting.patch.same_donor_layouts import Option, shared_donors
from remnants.fitting.patch.shape import Axis
from remnants.model.merit import Merit

__all__ = ["least_of_more", "ways_of_more"]

Seen = tuple[object, ...]
"""What is seen of a way, as `Merit` compares it."""

MOST_BESIDE = 200
"""Linear programmes that are spent on pieces that give several parts where the patch is made already."""


def least_of_more(ask: Ask, donor: Donor, parts: int) -> Merit:
    """A look that no way beats to make the patch in so many parts, three or four, of pieces such as this one.

    Four parts that meet at a point have two lines of seams, one along either axis.
    """
    found = [least_look(ask, None, (donor,), inner=parts - 1)]
    found += [least_look_along(ask, AXES, (donor,))] if parts == 4 else []
    return min(found, key=lambda look: look.key)


def ways_of_more(ask: Ask, field: Field, parts: int, best: Made | None) -> list[Made]:
    """Ways to make the patch in so many parts, three or four, the likeliest; some if and only if one exists.

    Where there are some, and a plain rectangle might be seen less if one piece gave several parts, such ways are looked for
    too, as long as they might be seen less than `best` (a way in fewer parts). Raises OutOfTime.
    """
    most = ask.rules.donors_weighed
    made = first_settled(ask, map(Option, _of_their_own(ask, field, parts)), most)
    if not is_plain_rectangle(ask) or (made and ask.thrifty):
        return made
    held = min((_seen(way.look) for way in (*made, *([best] if best else []))), default=None) if made else None
    return made + first_settled(ask, _of_several(ask, field, parts, held), None)


def _of_their_own(ask: Ask, field: Field, parts: int) -> list[Layout]:
    """Layouts of which each part has a piece of its own, as many as are weighed, those that are seen least first.

    Of three parts so many are looked at until none that is left could be seen less.
    """
    found: list[tuple[Seen, int, Layout]] = []

    def enough(least: Seen) -> bool:
        ends = parts > 3 or ask.thrifty or (bool(found) and min(found)[0] <= least)
        return len(found) >= ask.rules.donors_weighed and ends

    try:
        for axis in AXES:
            looks = (least_look_along(ask, (axis, *[None] * (parts - 2)), (donor,)) for donor in field.looks[1])
            least = min(map(_seen, looks))
            if enough(least):
                continue
            for layout in joined(ask, ask.shape, field, parts, (axis,)):
                if ask.has_pins({leaf.donor.tag for leaf in leaves(layout)}):
                    found.append((_seen(look_of(ask, layout)), len(found), layout))
                if enough(least):
                    break
    except OutOfTime:
        ask.undecided.add(OUT_OF_TIME)
    return [layout for _, _, layout in sorted(found)]


def _of_several(ask: Ask, field: Field, parts: int, held: Seen | None) -> Iterator[Option]:
    """Ways to make a plain rectangle of which one piece gives several parts, as many as are weighed or that are seen less still.

    `held`: what is seen of a way in hand; all these are to be seen less. Where there is none, what was given up on is told.
    """
    most, seen, quiet = ask.rules.donors_weighed, list[Seen](), replace(ask, undecided=set())
    beside, known = Effort(MOST_BESIDE, ask.go_on), dict[tuple[object, ...], Seen]()
    numbers = dict(zip(field.donors, field.kinds[0].tolist(), strict=True))

    def is_made() -> bool:
        return held is not None or len(seen) >= most

    def may_win(given: Sequence[Donor], axes: tuple[Axis, ...]) -> bool:
        if (is_made() and beside.left <= 0) or (ask.patch.use and not ask.has_pins({donor.tag for donor in given})):
            return False
        if not is_made():
            return True
        key = axes, frozenset(numbers[donor] for donor in given)
        if key not in known:
            known[key] = _seen(least_look_along(ask, axes, tuple(dict.fromkeys(given))))
        least = known[key]
        return (held is None or least < held) and sum(look <= least for look in seen) < most

    def effort() -> Effort:
        return beside if is_made() else ask.effort()

    if held is None or any(_seen(least_of_more(ask, donor, parts)) < held for donor in field.looks[1]):
        among = sets_to_share(ask, field, parts)
        for option in shared_donors(quiet, ask.shape, field.donors, parts, among=among, may_win=may_win, effort=effort):
            seen.append(_seen(look_of(ask, option.layout)))
            yield option
    if held is None and not seen:
        ask.undecided.update(quiet.undecided)


def _seen(look: Merit) -> Seen:
    """What is seen, but for its length."""
    return look.look[:3]
