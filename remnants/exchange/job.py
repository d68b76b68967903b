"""The job file: what must be filled."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from remnants.errors import BadInput, Fault
from remnants.exchange.figures import corners, degrees, figure, given_only
from remnants.exchange.job_entries import AllowanceEntry, JobHeader, JobRoomEntry, PatchEntry
from remnants.exchange.job_rooms import job_room, job_room_json
from remnants.exchange.plain import plain_fields, plain_json
from remnants.exchange.reading import Note, Reading, quiet
from remnants.exchange.shapes import damage_rings, patch_shape
from remnants.exchange.source import Source
from remnants.exchange.wanted import said, wanted_json, wanted_of
from remnants.limits import PATCHES, ROOMS
from remnants.model import Allowance, Damage, DamagedJob, Finish, Job, Patch, RepairRoom
from remnants.model.damage import USUAL_MARGIN_MM, faults_of_damage
from remnants.model.patch import LEAST_PART_MM, faults_in_room
from remnants.model.patch_attributes import PATCH_PLAIN
from remnants.model.repair_room import name_key, names_twice
from remnants.rules import AT_FIRST, ShopRules
from remnants.units import Unit

__all__ = ["job_json", "read_damaged_job", "read_job"]

_UNNAMED = "job"

WITH_A_SIZE = ("width", "length", "outline", "centre", "radius", "edges", "seam_shift", "count")
"""Keys that say nothing before a patch has its outline."""


def read_job(source: Source, *, note: Note = quiet, kept: bool = False, rules: ShopRules = AT_FIRST) -> Job:
    """The job in a file (a Path), a JSON text (a str) or what is read of one (a mapping), lengths in mm.

    A patch with a `count` stands in the job that many times, as `hall (1 of 2)` and so on; so do patches of one name.
    What the file leaves out is as `rules`, `Job` and `Patch` have it. Raises BadFile with every fault and its place,
    such as `patches[0].edges`. A job that was `kept` is read as it was taken then, whatever is refused today. A patch that is
    told by its damage alone is refused here: `read_damaged_job` reads it.
    """
    return _read(source, note=note, kept=kept, rules=rules, damaged=False).job


def read_damaged_job(source: Source, *, note: Note = quiet, rules: ShopRules = AT_FIRST) -> DamagedJob:
    """As `read_job`, of a job whose patches may be told by their `damage`, with which patches are. Raises BadFile."""
    return _read(source, note=note, kept=False, rules=rules, damaged=True)


def _read(source: Source, *, note: Note, kept: bool, rules: ShopRules, damaged: bool) -> DamagedJob:
    reading = Reading(source, "a job file", note, kept=kept)
    raw = reading.raw
    header = reading.entry(JobHeader, {key: raw[key] for key in raw if key not in ("patches", "rooms")}, "")
    if header and header.min_part is not None and header.min_part < LEAST_PART_MM and not kept:
        what = f"no carpet is cut narrower than {LEAST_PART_MM:g} mm: give the narrowest part that you would lay, or leave it out"
        reading.faults.append(Fault("min_part", what))
    rooms = _rooms(reading)
    patches: list[tuple[Patch, Damage | None]] = []
    for index, item in enumerate(reading.items("patches", PATCHES, needed=True)):
        make = partial(_patches, job=header, unnamed=f"patch {index + 1}", rooms=rooms, unit=reading.unit, damaged=damaged)
        place = f"patches[{index}]"
        patches += reading.entry_made(PatchEntry, _in_its_room(reading, item, place, rooms), place, make) or ()
        if len(patches) > PATCHES:
            what = f"more than {PATCHES:,} patches with these: give the others in another job"
            reading.faults.append(Fault(f"patches[{index}].count", what))
            break
    allowance = reading.made("allowance", _allowance, header.allowance, rules) if header else None
    reading.close()
    assert header is not None and allowance is not None, "a file without faults has both"
    told = [room for room in rooms.values() if room]
    job = reading.made("", partial(_job, rules=rules), header, allowance, [patch for patch, _ in patches], told)
    asked = reading.made("", DamagedJob, job, tuple(damage for _, damage in patches)) if job else None
    reading.close()
    assert asked is not None, "a job without faults is made"
    return asked


def _rooms(reading: Reading) -> dict[str, RepairRoom | None]:
    """The rooms of the file by what tells them apart, in its order; None for one that is at fault."""
    items = reading.items("rooms", ROOMS, needed=False)
    names = [item["name"] if isinstance(item, dict) and isinstance(item.get("name"), str) else "" for item in items]
    rooms: dict[str, RepairRoom | None] = {}
    for index, (item, name) in enumerate(zip(items, names, strict=True)):
        room = reading.entry_made(JobRoomEntry, item, f"rooms[{index}]", job_room)
        if room or name.strip():
            rooms.setdefault(name_key(name), room)
    reading.faults += names_twice(names)
    return rooms


def _in_its_room(reading: Reading, item: Any, place: str, rooms: Mapping[str, RepairRoom | None]) -> Any:
    """A patch as given, with the pile of its room where it tells none itself; what is taken from the room is noted."""
    if not isinstance(item, dict) or not rooms:
        return item
    named = item.get("room") if item.get("room") is not None else reading.raw.get("room")
    key = name_key(named) if isinstance(named, str) else ""
    room = rooms.get(key)
    if room is not None and room.light_deg is not None and item.get("light") not in (None, room.light_deg):
        what = f"not taken: the light of the room {room.name!r} counts, {degrees(room.light_deg)} degrees"
        reading.note(Fault(f"{place}.light", what))
    if "pile" in item:
        return item
    if room is not None and room.pile_deg is not None:
        reading.note(Fault(f"{place}.pile", f"taken from the room {room.name!r}: {degrees(room.pile_deg)} degrees"))
        return item | {"pile": room.pile_deg}
    at_fault = key in rooms and room is None  # it may tell the pile once it is mended
    return item | {"pile": 0} if at_fault else item


def _job(
    header: JobHeader, allowance: Allowance, patches: Sequence[Patch], rooms: Sequence[RepairRoom], *, rules: ShopRules
) -> Job:
    tape_error = rules.tape_error_mm if header.tape_error is None else header.tape_error
    figures = {"min_part_mm": header.min_part, "tape_error_mm": tape_error}
    given = {name: value for name, value in figures.items() if value is not None}
    return Job(
        header.job.strip() or _UNNAMED,
        _numbered(patches),
        allowance,
        unit=header.unit,
        house=header.house.strip(),
        customer=header.customer.strip(),
        branch=header.branch.strip(),
        may_use=frozenset(header.may_use),
        avoid=tuple(tag.strip() for tag in header.avoid),
        use=tuple(tag.strip() for tag in header.use),
        rooms=tuple(rooms),
        **given,
    )


def _allowance(entry: AllowanceEntry, rules: ShopRules) -> Allowance:
    given = {"seam_mm": entry.seam, "wall_mm": entry.wall, "transition_mm": entry.transition}
    return Allowance(**{name: getattr(rules, name) if value is None else value for name, value in given.items()})


def _patches(
    entry: PatchEntry,
    job: JobHeader | None,
    unnamed: str,
    *,
    rooms: Mapping[str, RepairRoom | None],
    unit: Unit,
    damaged: bool,
) -> tuple[tuple[Patch, Damage | None], ...]:
    damage = _damage(entry, taken=damaged)
    ring, edges = patch_shape(entry) if damage is None else (damage.rings[0], (Finish.SEAM,) * len(damage.rings[0]))
    rules = {key: value for key in ("max_parts", "turns") if (value := said(key, entry, job)) is not None}
    patch = Patch(
        name=(entry.name or unnamed).strip(),
        ring=ring,
        edges=edges,
        wanted=wanted_of(entry, job),
        motif=entry.motif,
        seam_shift_mm=entry.seam_shift,
        photo_at=entry.photo_at,
        **plain_fields(PATCH_PLAIN, entry),
        **rules,
    )
    if damage is not None and (faults := faults_of_damage(damage, rooms.get(name_key(patch.wanted.room)), unit)):
        raise BadInput(faults)
    if rooms and (faults := faults_in_room(patch, rooms, unit)):
        raise BadInput(faults)
    return ((patch, damage),) * entry.count


def _damage(entry: PatchEntry, *, taken: bool) -> Damage | None:
    """What must go, where a patch is told by that; refused where it isn't `taken`, or beside what only an outline can have."""
    if entry.damage is None:
        if entry.margin is not None:
            raise BadInput([Fault("margin", "a margin goes round damage: give the damage too, or leave the margin out")])
        return None
    if not taken:
        what = "this patch is told by its damage, without an outline: `remnants propose` finds one; then fit, hold and cut that"
        raise BadInput([Fault("damage", what)])
    given = {name for name in WITH_A_SIZE if name in entry.model_fields_set}
    if given:
        what = "the outline is still to be proposed: leave this out, or leave the damage out"
        raise BadInput(Fault(name, what) for name in WITH_A_SIZE if name in given)
    return Damage(damage_rings(entry), USUAL_MARGIN_MM if entry.margin is None else entry.margin)


def _numbered(patches: Sequence[Patch]) -> tuple[Patch, ...]:
    """The patches with names of their own: `hall (1 of 2)` where several share one."""
    totals = Counter(patch.name for patch in patches)
    seen: Counter[str] = Counter()
    named = []
    for patch in patches:
        seen[patch.name] += 1
        several = totals[patch.name] > 1
        named.append(replace(patch, name=f"{patch.name} ({seen[patch.name]} of {totals[patch.name]})") if several else patch)
    return tuple(named)


def job_json(job: Job) -> dict[str, Any]:
    """The job as the content of a job file, in the job's own unit, each patch on its own. `read_job` reads it back the same."""
    unit = Unit(job.unit)
    allowance = job.allowance
    return {
        "unit": unit.value,
        "job": job.name,
        "allowance": {
            "seam": figure(allowance.seam_mm, unit),
            "wall": figure(allowance.wall_mm, unit),
            "transition": figure(allowance.transition_mm, unit),
        },
        "min_part": figure(job.min_part_mm, unit),
        "tape_error": figure(job.tape_error_mm, unit),
        **given_only(
            house=job.house or None,
            customer=job.customer or None,
            branch=job.branch or None,
            may_use=sorted(job.may_use) or None,
            avoid=list(job.avoid) or None,
            use=list(job.use) or None,
        ),
        **given_only(rooms=[job_room_json(room, unit) for room in job.rooms] or None),
        "patches": [_patch_json(patch, unit) for patch in job.patches],
    }


def _patch_json(patch: Patch, unit: Unit) -> dict[str, Any]:
    return given_only(
        name=patch.name,
        **wanted_json(patch.wanted, unit),
        outline=corners(patch.ring, unit),
        edges=[finish.value for finish in patch.edges],
        motif=corners((patch.motif,), unit)[0] if patch.motif else None,
        seam_shift=figure(patch.seam_shift_mm, unit),
        photo_at=corners((patch.photo_at,), unit)[0] if patch.photo_at else None,
        **plain_json(PATCH_PLAIN, patch, unit),
        max_parts=patch.max_parts,
        turns=[degrees(turn) for turn in patch.turns],
    )
