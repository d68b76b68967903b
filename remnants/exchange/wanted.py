"""Which carpet is wanted, read from what a job, a patch or a rooms file says, and written."""

from typing import Any

from remnants.exchange.entries import WantedEntry
from remnants.exchange.plain import plain_json, trimmed
from remnants.exchange.shades import shade_json, shade_of
from remnants.model import Grade, Wanted
from remnants.model.patch_attributes import WANTED_PLAIN
from remnants.units import Unit

__all__ = ["said", "wanted_json", "wanted_of"]


def wanted_of(entry: WantedEntry, job: WantedEntry | None = None) -> Wanted:
    """The carpet that the entry of a patch or of a whole file wants; what a patch leaves out is as its `job` says.

    Raises BadInput with places inside the entry.
    """
    told = {a.field: trimmed(value) for a in WANTED_PLAIN if (value := said(a.name, entry, job)) is not None}
    lowest = said("lowest_grade", entry, job)
    return Wanted(
        **told,
        lab=shade_of(entry) or (shade_of(job) if job else None),
        lowest_grade=next((grade for grade in Grade if grade.word == lowest), None),
    )


def said(key: str, entry: WantedEntry, job: WantedEntry | None) -> Any:
    """What the patch says under a key, or else its job; None where neither does."""
    own = getattr(entry, key)
    return getattr(job, key) if own is None and job else own


def wanted_json(wanted: Wanted, unit: Unit) -> dict[str, Any]:
    """The keys that give it in a file."""
    lowest = {} if wanted.lowest_grade is None else {"lowest_grade": wanted.lowest_grade.word}
    return plain_json(WANTED_PLAIN, wanted, unit) | lowest | shade_json(wanted.lab)
