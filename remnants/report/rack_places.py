"""Places as a table for a terminal, by branch where a shop has several."""

from collections.abc import Sequence

from rich.table import Table

__all__ = ["places_table", "rest_lines"]


def places_table(places: Sequence[tuple[str, str, str, int]]) -> Table:
    """A row a place: its branch ("" where a shop has but one, or it is a customer's), its name, whose it is, how many pieces."""
    branches = any(branch for branch, *_ in places)
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in (*(["branch"] if branches else []), "place", "where", "pieces"):
        table.add_column(heading, justify="right" if heading == "pieces" else "left")
    for branch, place, where, count in places:
        table.add_row(*([branch] if branches else []), place, where.lower(), f"{count:,}")
    return table


def rest_lines(places: Sequence[tuple[str, str, str, int]]) -> tuple[str, ...]:
    """What places come to that aren't listed, by branch and whose they are: `South, in store: 12 places, 340 pieces`."""
    found: dict[str, list[int]] = {}
    for branch, _, where, count in places:
        found.setdefault(", ".join(filter(None, (branch, where.lower()))), []).append(count)
    return tuple(
        f"{name}: {len(counts):,} place{'s' * (len(counts) != 1)}, {sum(counts):,} piece{'s' * (sum(counts) != 1)}"
        for name, counts in found.items()
    )
