"""Measured shades, read and written."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from remnants.errors import BadInput, Fault, join_place
from remnants.model import Lab
from remnants.model.shade import ILLUMINANT

if TYPE_CHECKING:
    from remnants.exchange.entries import ShadeEntry

__all__ = ["shade_json", "shade_of"]


def shade_of(entry: ShadeEntry) -> Lab | None:
    """The shade of an entry, None where it gives none. Raises BadInput with places such as `lab[0]` and `illuminant`."""
    if entry.lab is None:
        return None
    try:
        return Lab(*entry.lab, entry.illuminant or ILLUMINANT)
    except BadInput as error:
        raise BadInput(
            Fault(join_place("lab", fault.where) if fault.where.startswith("[") else fault.where, fault.what)
            for fault in error.faults
        ) from None


def shade_json(lab: Lab | None) -> dict[str, Any]:
    """The keys that give the shade in a file; none without a shade."""
    if lab is None:
        return {}
    light = {} if lab.illuminant == ILLUMINANT else {"illuminant": lab.illuminant}
    return {"lab": [lab.lightness, lab.a, lab.b], **light}
