"""Whether each calibration of a phone that is kept is one: by any other, bars would lie."""

from collections.abc import Iterator

from remnants.errors import BadInput, CatalogueUnusable, Fault
from remnants.store.catalogue import Catalogue
from remnants.store.phone_calibrations import COLUMNS, kept_in
from remnants.store.soundness import unvouched

__all__ = ["calibration_faults"]


def calibration_faults(catalogue: Catalogue) -> Iterator[Fault]:
    """Calibrations that can't be read, or whose figures are none of a lens."""
    try:
        for row in unvouched(catalogue, f"SELECT number, {COLUMNS} FROM phone_calibration ORDER BY number"):
            place = f"calibration {row['number']}"
            try:
                kept_in(row)
            except BadInput as error:
                yield from (Fault(place, fault.what) for fault in error.faults)
            except (ValueError, TypeError, LookupError, AttributeError):
                yield Fault(place, "what is kept of it can't be read; take it away, and calibrate that phone anew")
    except CatalogueUnusable as error:
        yield Fault("calibrations of phones", str(error))
