"""A whole shop taken from one catalogue to another: from a file to a server, or back."""

from dataclasses import dataclass

from remnants.actions.keep_safe import rows_to_verify, verify
from remnants.errors import CatalogueUnusable, NotAllowed
from remnants.store import Catalogue
from remnants.store.moving import Watch, copy_all, holds_rows

__all__ = ["MovedShop", "Watch", "move_catalogue", "refuse_nothing"]


@dataclass(frozen=True)
class MovedShop:
    """What was taken over: pieces that are or were there, entries, photographs; rows and tables in all."""

    pieces: int
    entries: int
    photographs: int
    rows: int
    tables: int


def move_catalogue(source: Catalogue, target: Catalogue, *, watch: Watch) -> MovedShop:
    """Puts all that the source holds into the target, which holds nothing yet; gives how much that was.

    Both are held meanwhile, so that nobody writes what would be left behind. All of it is one transaction of the target, which
    is kept only once each table's digest is that of the source and both are proved. The source stays as it is.

    Raises NotAllowed where the source holds nothing or the target something, CatalogueUnusable where either is not sound.
    """
    refuse_nothing(source)
    if there := holds_rows(target):
        raise NotAllowed(f"{target.named} is in use: its table {there} holds rows already. Move into a new, empty one")
    with source.atomic(), target.atomic():
        _prove(source, "nothing was moved; `remnants verify` tells all, and the last copy can be restored", watch)
        rows = copy_all(source, target, done="moved", watch=watch)
        _prove(target, "nothing was kept, and the other is as it was", watch)
    photographs = rows["photo"] + rows["job_photo"]
    return MovedShop(rows["piece"], rows["entry"], photographs, sum(rows.values()), len(rows))


def refuse_nothing(source: Catalogue) -> None:
    """Raises NotAllowed where a catalogue holds nothing that could be moved."""
    if not holds_rows(source):
        raise NotAllowed(f"{source.named} holds nothing that could be moved")


def _prove(catalogue: Catalogue, otherwise: str, watch: Watch) -> None:
    with watch(f"rows of {catalogue.named} proved", rows_to_verify(catalogue)) as passed:
        verified = verify(catalogue, passed=passed)
    if verified.faults:
        count = len(verified.faults) + verified.more
        raise CatalogueUnusable(f"{catalogue.named} is not sound ({count} faults, such as {verified.faults[0]}): {otherwise}")
