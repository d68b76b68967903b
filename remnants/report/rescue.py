"""What was taken out of a damaged catalogue and what is lost, in sentences."""

from collections.abc import Mapping, Sequence

__all__ = ["rescue_lines"]

_MOST_NAMED = 12
_MANY = {
    "description of a style": "descriptions of styles",
    "piece that was gone already": "pieces that were gone already",
    "photograph of a job": "photographs of jobs",
}
_TABLES = {
    "agreement": "what customers agreed to",
    "branch": "branches",
    "branch_distance": "how far branches are",
    "branch_role": "roles of people at branches",
    "branch_place": "places of branches, and vans",
    "customer": "customers",
    "job": "jobs",
    "job_photo": "photographs of jobs",
    "job_photos_closed": "which jobs take no photographs any more",
    "kept_order": "orders that were saved",
    "person": "people who may sign in",
    "phone_calibration": "calibrations of phones",
    "photo": "photographs",
    "price_list": "price lists of the shop",
    "promised_leftover": "leftovers that orders promise",
    "request": "answers to requests that were sent twice",
    "shop_rule": "rules of the shop",
    "style_rule": "rules of a style",
    "style": "descriptions of styles",
}


def rescue_lines(
    file: str,
    *,
    pieces: int,
    entries: int,
    lost_entries: int,
    anew: Sequence[str],
    unsure: Sequence[str],
    lost: Mapping[str, Sequence[str]],
    broken: Sequence[str],
    chained_from: int = 0,
) -> tuple[str, ...]:
    """What can be read of the file, what is lost by kind, and what to do about pieces of which not all is known."""
    lines = [f"{file}: damaged; {_count(pieces, 'piece')} and {_count(entries, 'entry', 'entries')} can be read"]
    gone = [_count(lost_entries, "entry", "entries")] if lost_entries else []
    gone += [f"{_count(len(names), kind, _MANY.get(kind))} ({_named(names)})" for kind, names in lost.items()]
    lines.append(f"lost: {'; '.join(gone)}" if gone else "nothing is known to be lost")
    if broken:
        lines.append(f"more may be lost than can be told: {', '.join(_TABLES[table] for table in broken)}")
    if lost.get("description of a style"):
        lines.append("these styles are taken for cut pile without a pattern until `remnants style` describes them again")
    if anew:
        lines.append(f"what happened to them before can't be read, so they begin anew as they stood last: {_named(anew)}")
    if unsure:
        lines.append(f"what happened to them last may be lost; look whether they are there, and measure them: {_named(unsure)}")
    if chained_from:
        lines.append(
            f"the chain of entries is a new one from entry {chained_from} on: what was noted of it since no longer matches"
        )
    return tuple(lines)


def _count(number: int, one: str, many: str | None = None) -> str:
    return f"{number} {one if number == 1 else many or f'{one}s'}"


def _named(names: Sequence[str]) -> str:
    more = len(names) - _MOST_NAMED
    return ", ".join(names[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
