"""Pieces and where they stand, as rows: every way of looking them up."""

from collections.abc import Iterator, Sequence

from remnants.ledger import Standing
from remnants.model import Lab
from remnants.store.catalogue import Catalogue
from remnants.store.in_store import in_store
from remnants.store.rows import TOLD_COLUMNS, lab_of, standing_of

__all__ = [
    "all_tags",
    "at_place",
    "count_at",
    "count_by_style",
    "count_on_hand",
    "every_standing",
    "find_standing",
    "highest_number",
    "known_tags",
    "labels",
    "laid",
    "laid_among",
    "latest",
    "measured_shades",
    "more_than",
    "names_mark",
    "of_customer",
    "offcuts_of",
    "on_hand",
    "place_counts",
    "places",
    "standings_labelled",
    "standings_tagged",
    "store_shares",
    "tags_beginning",
    "tags_held_for",
    "tags_written",
    "taken_as",
    "with_customers",
]

_ON_HAND = "stage IN ('in stock', 'held')"
_AT_PLACE = "stage IN ('in stock', 'held', 'missing')"
"""What should be at its place, written as the index `piece_at_place` has it: so no piece is read to tell what lies where."""
_EXISTS = "stage <> 'withdrawn'"
_AT_ONCE = 500
_ALL = 2**62
"""More than there are of anything, where a limit has to be told."""


def find_standing(catalogue: Catalogue, tag: str) -> Standing | None:
    """The piece with this tag; when none is written just so, the only one that differs in letter case."""
    sql = f"SELECT {TOLD_COLUMNS} FROM piece WHERE lower(tag) = lower(?) ORDER BY tag <> ? LIMIT 2"
    rows = list(catalogue.query(sql, [tag, tag]))
    if not rows or (rows[0]["tag"] != tag and len(rows) > 1):
        return None
    return standing_of(rows[0])


def standings_tagged(catalogue: Catalogue, tags: Sequence[str]) -> dict[str, Standing]:
    """The pieces with these tags, by tag; tags that nobody has are left out."""
    found: dict[str, Standing] = {}
    for some in _shares(tags):
        sql = f"SELECT {TOLD_COLUMNS} FROM piece WHERE tag IN ({_marks(some)}) ORDER BY tag"
        found.update((row["tag"], standing_of(row)) for row in catalogue.query(sql, some))
    return found


def laid_among(catalogue: Catalogue, tags: Sequence[str]) -> dict[str, Standing]:
    """The laid pieces among those with these tags, by tag."""
    found: dict[str, Standing] = {}
    for some in _shares(tags):
        sql = f"SELECT {TOLD_COLUMNS} FROM piece WHERE tag IN ({_marks(some)}) AND kind = 'laid' ORDER BY tag"
        found.update((row["tag"], standing_of(row)) for row in catalogue.query(sql, some))
    return found


def every_standing(catalogue: Catalogue) -> Iterator[Standing]:
    """Every piece that is or was there, in the order of tags."""
    yield from map(standing_of, catalogue.each(f"SELECT {TOLD_COLUMNS} FROM piece ORDER BY tag"))


def tags_held_for(catalogue: Catalogue, job: str) -> list[str]:
    """The tags of the pieces that are or were last held for a job, lapsed holds too, in order."""
    return [row["tag"] for row in catalogue.query("SELECT tag FROM piece WHERE hold_job = ? ORDER BY tag", [job])]


def on_hand(catalogue: Catalogue, *, styles: Sequence[str] | None = None) -> Iterator[Standing]:
    """Pieces that are there to be cut (held ones too), or those of some styles, in the order of tags."""
    if styles is None:
        yield from map(standing_of, catalogue.each(f"SELECT {TOLD_COLUMNS} FROM piece WHERE {_ON_HAND} ORDER BY tag"))
        return
    if not styles:
        return
    sql = f"SELECT {TOLD_COLUMNS} FROM piece WHERE style IN ({_marks(styles)}) AND {_ON_HAND} ORDER BY tag"
    yield from map(standing_of, catalogue.query(sql, list(styles)))


def count_on_hand(catalogue: Catalogue) -> int:
    """How many pieces are there to be cut, held ones too."""
    (count,) = catalogue.execute(f"SELECT count(*) FROM piece WHERE {_ON_HAND}").fetchone()
    return int(count)


def at_place(catalogue: Catalogue, place: str, *, after: int = 0, most: int | None = None) -> tuple[Standing, ...]:
    """The pieces that should be at a place, on hand or missing since a count, by tag: all, or `most` of them `after` so many."""
    sql = f"SELECT {TOLD_COLUMNS} FROM piece WHERE place = ? AND {_AT_PLACE} ORDER BY tag LIMIT ? OFFSET ?"
    return tuple(standing_of(row) for row in catalogue.query(sql, [place, _ALL if most is None else most, after]))


def count_at(catalogue: Catalogue, place: str) -> int:
    """How many pieces should be at a place."""
    (count,) = catalogue.execute(f"SELECT count(*) FROM piece WHERE place = ? AND {_AT_PLACE}", [place]).fetchone()
    return int(count)


def store_shares(catalogue: Catalogue) -> tuple[tuple[str, int, float], ...]:
    """Each style that is in store, by name: how many pieces, and their usable area (mm²)."""
    told = "style, count(*) AS count, sum(area_mm2) AS area_mm2"
    sql = f"SELECT {told} FROM {in_store(catalogue)} GROUP BY style ORDER BY style"
    return tuple((row["style"], row["count"], row["area_mm2"]) for row in catalogue.query(sql))


def count_by_style(catalogue: Catalogue) -> dict[str, int]:
    """How many pieces on hand there are of each style, as it is written on them."""
    sql = f"SELECT style, count(*) AS pieces FROM piece WHERE {_ON_HAND} GROUP BY style ORDER BY style"
    return {row["style"]: row["pieces"] for row in catalogue.query(sql)}


def laid(catalogue: Catalogue, style: str) -> tuple[Standing, ...]:
    """The laid pieces of a style on hand, in the order of tags."""
    sql = f"SELECT {TOLD_COLUMNS} FROM piece WHERE kind = 'laid' AND lower(style) = lower(?) AND {_ON_HAND} ORDER BY tag"
    return tuple(standing_of(row) for row in catalogue.query(sql, [style]))


def latest(catalogue: Catalogue, most: int) -> tuple[Standing, ...]:
    """Up to `most` pieces on hand, the one that came in last first."""
    sql = f"SELECT {TOLD_COLUMNS} FROM piece WHERE {_ON_HAND} ORDER BY id DESC LIMIT ?"
    return tuple(standing_of(row) for row in catalogue.query(sql, [most]))


def places(catalogue: Catalogue) -> tuple[str, ...]:
    """Every place that something lies at."""
    sql = f"SELECT DISTINCT place FROM piece WHERE place <> '' AND {_AT_PLACE} ORDER BY place"
    return tuple(row["place"] for row in catalogue.query(sql))


def place_counts(catalogue: Catalogue) -> tuple[tuple[str, int, int], ...]:
    """Each place that something lies at, how many pieces that is, and how many of them are kept with a customer or laid."""
    sql = (
        f"SELECT place, COUNT(*) AS here, SUM(CASE WHEN kind IN ('kept', 'laid') THEN 1 ELSE 0 END) AS theirs FROM piece "
        f"WHERE place <> '' AND {_AT_PLACE} GROUP BY place ORDER BY place"
    )
    return tuple((row["place"], row["here"], row["theirs"]) for row in catalogue.query(sql))


def of_customer(catalogue: Catalogue, reference: str) -> tuple[Standing, ...]:
    """The pieces that a customer has or had."""
    sql = f"SELECT {TOLD_COLUMNS} FROM piece WHERE customer = ? ORDER BY tag"
    return tuple(standing_of(row) for row in catalogue.query(sql, [reference]))


def with_customers(catalogue: Catalogue, words: str, *, most: int) -> tuple[Standing, ...]:
    """Kept and laid pieces on hand whose place, room or customer's reference holds the words, whatever the letter case."""
    like = "%" + "".join(f"\\{letter}" if letter in "\\%_" else letter for letter in words) + "%"
    sql = (
        f"SELECT {TOLD_COLUMNS} FROM piece WHERE kind IN ('kept', 'laid') AND {_ON_HAND}"
        " AND (lower(place || ', ' || room) LIKE lower(?) ESCAPE '\\' OR lower(customer) LIKE lower(?) ESCAPE '\\')"
        " ORDER BY place, tag LIMIT ?"
    )
    return tuple(standing_of(row) for row in catalogue.query(sql, [like, like, most]))


def offcuts_of(catalogue: Catalogue, tag: str) -> tuple[Standing, ...]:
    """The offcuts that were cut from a piece."""
    sql = f"SELECT {TOLD_COLUMNS} FROM piece WHERE parent = ? AND parent <> '' AND {_EXISTS} ORDER BY tag"
    return tuple(standing_of(row) for row in catalogue.query(sql, [tag]))


def all_tags(catalogue: Catalogue) -> tuple[str, ...]:
    """Every tag, in order."""
    return tuple(row["tag"] for row in catalogue.query("SELECT tag FROM piece ORDER BY tag"))


def more_than(catalogue: Catalogue, count: int) -> bool:
    """Whether there are or were more pieces than so many; no more of them are counted."""
    return catalogue.execute("SELECT 1 FROM piece LIMIT 1 OFFSET ?", [count]).fetchone() is not None


def tags_written(catalogue: Catalogue, texts: Sequence[str]) -> tuple[str, ...]:
    """The tags that are written like one of the texts, whatever the letter case of A to Z."""
    found: set[str] = set()
    for some in _shares(texts):
        sql = f"SELECT tag FROM piece WHERE lower(tag) IN ({_lowered(some)})"
        found |= {row["tag"] for row in catalogue.query(sql, some)}
    return tuple(sorted(found))


def tags_beginning(catalogue: Catalogue, text: str, *, most: int) -> tuple[str, ...]:
    """The first tags, up to `most`, that begin with the text, whatever the letter case of A to Z."""
    sql = "SELECT tag FROM piece WHERE lower(tag) >= lower(?) AND lower(tag) < lower(?) ORDER BY lower(tag), tag LIMIT ?"
    return tuple(row["tag"] for row in catalogue.query(sql, [text, text + chr(0x10FFFF), most]))


def known_tags(catalogue: Catalogue, tags: Sequence[str]) -> frozenset[str]:
    """Those of the tags that are taken, or were."""
    found: set[str] = set()
    for some in _shares(tags):
        found |= {row["tag"] for row in catalogue.query(f"SELECT tag FROM piece WHERE tag IN ({_marks(some)})", some)}
    return frozenset(found)


def taken_as(catalogue: Catalogue, tags: Sequence[str]) -> dict[str, str]:
    """Those of the tags that are taken, or were, whatever their letter case, each with the tag as it was written."""
    spellings = {tag.casefold(): tag for tag in tags}
    written: dict[str, list[str]] = {}
    for some in _shares([spelled for tag in spellings.values() for spelled in dict.fromkeys((tag, tag.lower(), tag.upper()))]):
        sql = f"SELECT tag FROM piece WHERE lower(tag) IN ({_lowered(some)}) ORDER BY tag"
        for row in catalogue.query(sql, some):
            written.setdefault(row["tag"].casefold(), []).append(row["tag"])
    found = {tag: written[tag.casefold()] for tag in tags if tag.casefold() in written}
    return {tag: tag if tag in known else known[0] for tag, known in found.items()}


def labels(catalogue: Catalogue) -> tuple[tuple[str, str, str], ...]:
    """Every style, colour and lot that pieces on hand have, each once."""
    sql = f"SELECT DISTINCT style, colour, lot FROM piece WHERE {_ON_HAND} ORDER BY style, colour, lot"
    return tuple((row["style"], row["colour"], row["lot"]) for row in catalogue.query(sql))


def measured_shades(catalogue: Catalogue) -> dict[tuple[str, str], Lab]:
    """A measured shade for each style and colour that has a piece with one."""
    sql = "SELECT style, colour, min(lab) AS lab FROM piece WHERE lab IS NOT NULL GROUP BY style, colour"
    return {(row["style"], row["colour"]): lab_of(row["lab"]) for row in catalogue.query(sql)}


def names_mark(catalogue: Catalogue) -> bytes:
    """A mark that changes with every change of style, colour, lot or shade of any piece, and never comes back."""
    (mark,) = catalogue.execute("SELECT mark FROM names_mark").fetchone()
    return bytes(mark)


def standings_labelled(catalogue: Catalogue, label: tuple[str, str, str], *, most: int) -> tuple[Standing, ...]:
    """Up to `most` pieces on hand of this style, colour and lot, the largest first."""
    sql = (
        f"SELECT {TOLD_COLUMNS} FROM piece WHERE style = ? AND colour = ? AND lot = ? AND {_ON_HAND}"
        " ORDER BY area_mm2 DESC, tag LIMIT ?"
    )
    return tuple(standing_of(row) for row in catalogue.query(sql, [*label, most]))


def highest_number(catalogue: Catalogue, prefix: str) -> int:
    """The highest number that follows `prefix` in a tag, whatever its letter case; 0 when there is none."""
    begun = "lower(tag) >= ? AND lower(tag) < ?"
    digits = "ltrim(substr(tag, ?), '0123456789') = '' AND length(tag) >= ? AND length(tag) < ?"
    sql = f"SELECT max(CAST(substr(tag, ?) AS BIGINT)) FROM piece WHERE {begun} AND {digits}"
    first = "".join(letter.lower() if letter.isascii() else letter for letter in prefix)
    start, after = len(prefix) + 1, first[:-1] + chr(ord(first[-1]) + 1)
    (highest,) = catalogue.execute(sql, [start, first, after, start, start, start + 12]).fetchone()
    return int(highest or 0)


def _marks(values: Sequence[str]) -> str:
    return ", ".join("?" * len(values))


def _lowered(values: Sequence[str]) -> str:
    return ", ".join(["lower(?)"] * len(values))


def _shares(values: Sequence[str]) -> Iterator[list[str]]:
    for start in range(0, len(values), _AT_ONCE):
        yield list(values[start : start + _AT_ONCE])
