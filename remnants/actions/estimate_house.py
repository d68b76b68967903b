"""Rooms and repairs of a house with several carpets, each carpet both ways: all from new roll beside what stock gives."""

from dataclasses import replace
from datetime import date

from remnants.actions.estimate_job import Estimate, estimate_job
from remnants.actions.fit_job import Fitted
from remnants.actions.order_house import limits_of_each, numbered_on
from remnants.actions.order_rooms import Limits
from remnants.errors import NoPlan
from remnants.exchange.house import HouseAsked
from remnants.model import Job
from remnants.question import How, here
from remnants.store import Catalogue

__all__ = ["estimate_house"]


def estimate_house(
    catalogue: Catalogue,
    asked: HouseAsked,
    *,
    repairs: Job | None = None,
    held: Fitted | None = None,
    today: date,
    limits: Limits,
    how: How = here,
) -> tuple[Estimate, ...]:
    """An estimate for each carpet, their cuts numbered through the house. Repairs go with the carpet that the file itself tells.

    Each has the tries that it would have alone; they share the seconds, and no piece is given twice. Raises as `estimate_job`.
    """
    made: list[Estimate] = []
    taken: frozenset[str] = frozenset()
    for carpet, own in zip(asked.carpets, limits_of_each(limits, len(asked.carpets)), strict=False):
        mends = (repairs, held) if not carpet.name else (None, None)
        try:
            found = estimate_job(
                catalogue, carpet.asked, repairs=mends[0], held=mends[1], today=today, limits=own, how=how, without=taken
            )
        except NoPlan as error:
            raise NoPlan(str(error) if asked.is_one else f"{carpet.called}: {error}") from None
        made.append(_numbered_on(found, 1 + sum(len(each.best.placed) for each in made)))
        taken |= found.tags
    return tuple(made)


def _numbered_on(estimate: Estimate, first: int) -> Estimate:
    return replace(estimate, ordered=numbered_on(estimate.ordered, first), without=replace(estimate.without, first_cut=first))
