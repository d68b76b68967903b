"""Pieces as rows."""

from collections.abc import Iterable, Iterator, Sequence

from remnants.model import Lab, Piece
from remnants.store.catalogue import Catalogue
from remnants.store.rows import PIECE_COLUMNS, lab_of, piece_of, piece_row

__all__ = [
    "add_pieces",
    "all_pieces",
    "all_tags",
    "find_piece",
    "highest_number",
    "known_tags",
    "labels",
    "measured_shades",
    "names_mark",
    "pieces_labelled",
    "pieces_tagged",
]

_INSERT = f"INSERT INTO piece ({', '.join(PIECE_COLUMNS)}) VALUES ({', '.join('?' * len(PIECE_COLUMNS))})"
_COLUMNS = ", ".join(PIECE_COLUMNS)
_AT_ONCE = 500


def add_pieces(catalogue: Catalogue, pieces: Iterable[Piece]) -> None:
    """Puts new pieces in. The caller holds the transaction and has looked that no tag is taken."""
    catalogue.conn.executemany(_INSERT, (piece_row(piece) for piece in pieces))


def find_piece(catalogue: Catalogue, tag: str) -> Piece | None:
    """The piece with this tag; when none is written just so, the only one that differs in letter case."""
    rows = list(
        catalogue.query(f"SELECT {_COLUMNS} FROM piece WHERE tag = ? COLLATE NOCASE ORDER BY tag <> ? LIMIT 2", [tag, tag])
    )
    if not rows or (rows[0]["tag"] != tag and len(rows) > 1):
        return None
    return piece_of(rows[0])


def all_tags(catalogue: Catalogue) -> tuple[str, ...]:
    """Every tag, in order."""
    return tuple(row["tag"] for row in catalogue.query("SELECT tag FROM piece ORDER BY tag"))


def known_tags(catalogue: Catalogue, tags: Sequence[str]) -> frozenset[str]:
    """Those of the tags that are taken."""
    found: set[str] = set()
    for some in _shares(tags):
        marks = ", ".join("?" * len(some))
        found |= {row["tag"] for row in catalogue.query(f"SELECT tag FROM piece WHERE tag IN ({marks})", some)}
    return frozenset(found)


def all_pieces(catalogue: Catalogue, *, styles: Sequence[str] | None = None) -> Iterator[Piece]:
    """Every piece, or those of some styles, in the order of tags."""
    if styles is None:
        yield from map(piece_of, catalogue.query(f"SELECT {_COLUMNS} FROM piece ORDER BY tag"))
        return
    marks = ", ".join("?" * len(styles))
    sql = f"SELECT {_COLUMNS} FROM piece WHERE style IN ({marks}) ORDER BY tag"
    yield from map(piece_of, catalogue.query(sql, list(styles)))


def pieces_tagged(catalogue: Catalogue, tags: Sequence[str]) -> dict[str, Piece]:
    """The pieces with these tags, by tag; tags that nobody has are left out."""
    found: dict[str, Piece] = {}
    for some in _shares(tags):
        marks = ", ".join("?" * len(some))
        rows = catalogue.query(f"SELECT {_COLUMNS} FROM piece WHERE tag IN ({marks}) ORDER BY tag", some)
        found.update((row["tag"], piece_of(row)) for row in rows)
    return found


def labels(catalogue: Catalogue) -> tuple[tuple[str, str, str], ...]:
    """Every style, colour and lot that pieces have, each once."""
    sql = "SELECT DISTINCT style, colour, lot FROM piece ORDER BY style, colour, lot"
    return tuple((row["style"], row["colour"], row["lot"]) for row in catalogue.query(sql))


def measured_shades(catalogue: Catalogue) -> dict[tuple[str, str], Lab]:
    """A measured shade for each style and colour that has a piece with one."""
    sql = "SELECT style, colour, min(lab) AS lab FROM piece WHERE lab IS NOT NULL GROUP BY style, colour"
    return {(row["style"], row["colour"]): lab_of(row["lab"]) for row in catalogue.query(sql)}


def names_mark(catalogue: Catalogue) -> bytes:
    """A mark that changes with every change of style, colour, lot or shade of any piece, and never comes back."""
    (mark,) = catalogue.conn.execute("SELECT mark FROM names_mark").fetchone()
    return bytes(mark)


def pieces_labelled(catalogue: Catalogue, label: tuple[str, str, str], *, most: int) -> tuple[Piece, ...]:
    """Up to `most` pieces of this style, colour and lot, the largest first."""
    sql = f"SELECT {_COLUMNS} FROM piece WHERE style = ? AND colour = ? AND lot = ? ORDER BY area_mm2 DESC, tag LIMIT ?"
    return tuple(piece_of(row) for row in catalogue.query(sql, [*label, most]))


def highest_number(catalogue: Catalogue, prefix: str) -> int:
    """The highest number that follows `prefix` in a tag; 0 when there is none."""
    digits = "tag GLOB ? AND NOT substr(tag, ?) GLOB '*[^0-9]*' AND length(tag) < ?"
    sql = f"SELECT max(CAST(substr(tag, ?) AS INTEGER)) FROM piece WHERE {digits}"
    start = len(prefix) + 1
    (highest,) = catalogue.conn.execute(sql, [start, f"{prefix}[0-9]*", start, start + 12]).fetchone()
    return int(highest or 0)


def _shares(values: Sequence[str]) -> Iterator[list[str]]:
    for start in range(0, len(values), _AT_ONCE):
        yield list(values[start : start + _AT_ONCE])
