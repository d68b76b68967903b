"""Whether the sums of what stock cost and is worth are what the rows of the pieces come to, to the last unit."""

from collections.abc import Iterator

from remnants.errors import CatalogueUnusable, Fault
from remnants.store.catalogue import Catalogue
from remnants.store.soundness import told, unvouched
from remnants.store.unshared import UNSHARED
from remnants.store.worth_kept import CHANGES, WORTH_OF_ROWS

__all__ = ["worth_faults"]

_FIGURES = {"pieces": "pieces", "area_mm2": "mm²", "cost_minor": "paid in whole minor units", "worth_minor": "of that worth"}


def worth_faults(catalogue: Catalogue) -> Iterator[Fault]:
    """Sums that are not what the pieces come to, and cuts that handed no cost on and aren't told, or are and did."""
    names = ", ".join(_FIGURES)
    differs = " OR ".join(f"sum({name}) <> 0" for name in _FIGURES)
    gaps = ", ".join(f"CAST(sum({name}) AS BIGINT) AS {name}" for name in _FIGURES)
    minus = ", ".join(f"-{name}" for name in _FIGURES)
    sql = (
        f"WITH told AS ({WORTH_OF_ROWS}) SELECT by_what, key, currency, {gaps} FROM ("
        f" SELECT by_what, key, currency, {names} FROM worth_sum"
        f" UNION ALL {CHANGES.format(told='worth_change')}"
        f" UNION ALL SELECT by_what, key, currency, {minus} FROM ({CHANGES.format(told='told')}) AS should"
        f") AS every GROUP BY by_what, key, currency HAVING {differs} ORDER BY by_what, key, currency"
    )
    try:
        for row in unvouched(catalogue, sql):
            gap = ", ".join(f"{row[name]:+} {word}" for name, word in _FIGURES.items() if row[name])
            what = f"the sums kept are off what the pieces come to by {gap}"
            yield Fault(f"worth by {told(row['by_what'])}, {told(row['key'])}, in {told(row['currency'])}", what)
        for row in unvouched(catalogue, f"SELECT number FROM ({UNSHARED}) AS old WHERE number NOT IN {_KEPT} ORDER BY number"):
            yield Fault(f"entry {told(row['number'])}", "is a cut that handed no cost on, and is not told as one")
        for row in unvouched(catalogue, f"SELECT number FROM cut_unshared WHERE number NOT IN {_CUTS} ORDER BY number"):
            yield Fault(f"entry {told(row['number'])}", "is told as a cut that handed no cost on, and is none")
    except (CatalogueUnusable, TypeError, ValueError) as error:
        yield Fault("what stock is worth", str(error))


_KEPT = "(SELECT number FROM cut_unshared)"
_CUTS = "(SELECT number FROM entry WHERE act = 'cut' AND json_extract(facts, '$.cost') IS NULL)"
