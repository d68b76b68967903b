"""Styles as rows."""

from collections.abc import Iterable

from remnants.model import Style
from remnants.store.catalogue import Catalogue
from remnants.store.rows import STYLE_COLUMNS, style_of, style_row

__all__ = ["all_styles", "find_style", "put_styles"]

_PUT = (
    f"INSERT INTO style ({', '.join(STYLE_COLUMNS)}) VALUES ({', '.join('?' * len(STYLE_COLUMNS))})"
    f" ON CONFLICT (name) DO UPDATE SET {', '.join(f'{column} = excluded.{column}' for column in STYLE_COLUMNS[1:])}"
)


def all_styles(catalogue: Catalogue) -> dict[str, Style]:
    """Every style, by its name, in the order of names."""
    return {row["name"]: style_of(row) for row in catalogue.query("SELECT * FROM style ORDER BY name")}


def find_style(catalogue: Catalogue, name: str) -> Style:
    """The style of that exact name, which some piece has."""
    return next(style_of(row) for row in catalogue.query("SELECT * FROM style WHERE name = ?", [name]))


def put_styles(catalogue: Catalogue, styles: Iterable[Style]) -> None:
    """Stores the styles, new or in place of those of the same name. The caller holds the transaction."""
    catalogue.many(_PUT, [style_row(style) for style in styles])
