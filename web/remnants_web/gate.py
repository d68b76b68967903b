"""The gate for questions from outside: jobs and orders are read here, and refused where they ask too much of what all share.

What a file holds is bounded by its reader; these bounds are narrower, as a server works for everybody. Both stand in
`remnants/limits.py`.
"""

from collections.abc import Iterable, Sequence

from remnants.errors import BadInput, Fault
from remnants.exchange import Note, read_damaged_job, read_job
from remnants.exchange.house import HouseAsked, read_house
from remnants.exchange.reading import quiet
from remnants.exchange.rooms import RoomsAsked, read_rooms
from remnants.exchange.source import Source
from remnants.limits import JOB_CHARACTERS, SENT_CORNERS, SENT_DAMAGES, SENT_PARTS, SENT_PATCHES
from remnants.model import DamagedJob, Job
from remnants.model.rooms import Floors
from remnants.rules import AT_FIRST, ShopRules

__all__ = ["damage_sent", "house_sent", "job_sent", "refuse_longer", "rooms_sent"]


def refuse_longer(text: str) -> None:
    """Refuses a job, or what was told of it so far, that is too long for a page's form. Raises BadInput."""
    if len(text) > JOB_CHARACTERS:
        raise BadInput(f"the job has {len(text):,} characters, and a page takes {JOB_CHARACTERS:,} at most: ask it in two")


def job_sent(source: Source, rules: ShopRules = AT_FIRST, *, note: Note = quiet) -> Job:
    """The job in a text or mapping that was sent, what it leaves out as the shop's `rules` have it.

    Raises BadFile as `read_job`, BadInput where it asks for too much.
    """
    job = read_job(source, note=note, rules=rules)
    _refuse_over("patches", _counts(job), "ask in several jobs, or by `remnants fit`")
    return job


def damage_sent(source: Source, rules: ShopRules = AT_FIRST, *, note: Note = quiet) -> DamagedJob:
    """As `job_sent`, of a job whose patches may be told by their damage. Raises as it."""
    asked = read_damaged_job(source, note=note, rules=rules)
    damages = sum(len(damage.rings) for damage in asked.damages if damage)
    more = sum(len(ring) for damage in asked.damages if damage for ring in damage.rings[1:])
    counts = ((damages, SENT_DAMAGES, "damaged places"), *_counts(asked.job, more))
    _refuse_over("patches", counts, "ask in several jobs, or by `remnants propose`")
    return asked


def _counts(job: Job, more_corners: int = 0) -> tuple[tuple[int, int, str], ...]:
    """What is bounded of a job: how many there are, how many may be, what they are."""
    around = sum(len(ring) for room in job.rooms for ring in (room.ring, *room.hidden, *room.lanes))
    return (
        (len(job.patches), SENT_PATCHES, "patches"),
        (sum(patch.max_parts for patch in job.patches), SENT_PARTS, "parts to join patches from"),
        (sum(len(patch.ring) for patch in job.patches) + around + more_corners, SENT_CORNERS, "corners"),
    )


def rooms_sent(source: Source) -> RoomsAsked:
    """The order in a text or mapping that was sent. Raises BadFile as `read_rooms`, BadInput where it asks for too much."""
    asked = read_rooms(source)
    _refuse_large([asked.floors])
    return asked


def house_sent(source: Source) -> HouseAsked:
    """The same in as many carpets as it names, bounded as a whole. Raises as `rooms_sent`."""
    house = read_house(source)
    _refuse_large([each.asked.floors for each in house.carpets])
    return house


def _refuse_large(floors: Sequence[Floors]) -> None:
    rooms = [room for each in floors for room in each.rooms]
    corners = sum(len(room.outline.ring) + sum(map(len, room.outline.cutouts)) for room in rooms)
    _refuse_over(
        "rooms",
        (
            (len(rooms) + sum(len(each.stairs) for each in floors), SENT_PATCHES, "rooms and flights of stairs"),
            (corners, SENT_CORNERS, "corners"),
        ),
        "ask in several orders, or by `remnants order`",
    )


def _refuse_over(where: str, counts: Iterable[tuple[int, int, str]], instead: str) -> None:
    faults = [
        Fault(where, f"{count:,} {what}, and at most {most:,} are worked out here at once: {instead}")
        for count, most, what in counts
        if count > most
    ]
    if faults:
        raise BadInput(faults)
