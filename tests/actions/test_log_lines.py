"""Lines of a spreadsheet on their way into the catalogue: some hundred at a time, as one booking or not at all."""

import random
from collections.abc import Iterator
from pathlib import Path

import pytest

from remnants.actions import Catalogue, log_lines, open_catalogue
from remnants.errors import BadInput
from remnants.exchange.lines import pieces_in
from remnants.exchange.sheet import Sheet, read_sheet
from remnants.store import ledger, pieces
from remnants.units import Unit
from tests.memory import most_memory
from tests.stock_values import SIGNED
from tests.thorough import share

HEADINGS = "tag,style,width,length,pile,quantity\n"


@pytest.fixture
def catalogue(tmp_path: Path) -> Iterator[Catalogue]:
    with open_catalogue(tmp_path / "stock.db", write=True) as opened:
        yield opened


def a_sheet(folder: Path, rows: str, headings: str = HEADINGS) -> Sheet:
    path = folder / "racks.csv"
    path.write_text(headings + rows)
    return read_sheet(path)


def logged(catalogue: Catalogue, sheet: Sheet, *, skip_bad: bool = False, key: str = "") -> log_lines.LoggedLines:
    return log_lines.log_lines(catalogue, sheet, unit=Unit.IN, signed=SIGNED, skip_bad=skip_bad, key=key)


def some_rows(chance: random.Random) -> str:
    """Rows of which some have no tag, some a tag that stood before, some a fault, some a quantity."""
    rows = []
    for number in range(chance.randint(1, 14)):
        tag = chance.choice([f"A-{number}", f"a-{chance.randint(0, number)}", "", f"A-{number}-2"])
        width = chance.choice(["40", "40", "40", "wide"])
        rows.append(f"{tag},Velder,{width},60,0,{chance.choice(['', '', '3', 'x'])}\n")
    return "".join(rows)


@pytest.mark.parametrize("seed", range(share(60)))
def test_what_is_stored_some_at_a_time_is_what_all_rows_at_once_give(
    seed: int, catalogue: Catalogue, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(log_lines, "_AT_ONCE", 1 + seed % 4)
    sheet = a_sheet(tmp_path, some_rows(random.Random(seed)))
    counted = iter(range(1, 100))
    whole = pieces_in(sheet, unit=Unit.IN, new_tag=lambda _: f"R-{next(counted):04d}")
    if not whole.pieces:
        with pytest.raises(BadInput):
            logged(catalogue, sheet, skip_bad=True)
        assert pieces.all_tags(catalogue) == ()
        return
    told = logged(catalogue, sheet, skip_bad=True)
    assert (told.tags, told.count) == (tuple(piece.tag for piece in whole.pieces), len(whole.pieces))
    assert [(row.number, row.faults) for row in told.bad] == [(row.number, row.faults) for row in whole.bad]
    assert [standing.piece for standing in pieces.every_standing(catalogue)] == sorted(whole.pieces, key=lambda piece: piece.tag)
    assert {entry.booking for _, entries in ledger.every_history(catalogue) for entry in entries} == {1}
    assert set(told.notes) == set(whole.notes)


def test_a_tag_given_twice_is_told_with_the_row_that_has_it_however_far_apart(catalogue: Catalogue, tmp_path: Path) -> None:
    rows = [f"A-{number},Velder,40,60,0,\n" for number in range(2, 1302)]
    with pytest.raises(BadInput) as refused:
        logged(catalogue, a_sheet(tmp_path, "".join([*rows, "a-7,Velder,40,60,0,\n"])))
    (fault,) = refused.value.faults
    assert str(fault) == (
        "row 1302, column \"tag\": row 7 has the tag 'a-7' too, written 'A-7', which is the same tag; each piece needs its own"
    )
    assert pieces.all_tags(catalogue) == ()


def test_a_last_row_that_is_bad_leaves_nothing_of_the_others(catalogue: Catalogue, tmp_path: Path) -> None:
    rows = "".join(f"A-{number},Velder,40,60,0,\n" for number in range(1200))
    with pytest.raises(BadInput, match="row 1202"):
        logged(catalogue, a_sheet(tmp_path, rows + "B-1,Velder,wide,60,0,\n"))
    assert pieces.all_tags(catalogue) == () and ledger.next_number(catalogue) == 1


def test_a_sheet_that_was_logged_under_a_key_is_not_logged_again(catalogue: Catalogue, tmp_path: Path) -> None:
    """Also one whose pieces got their tags here, and one whose tags are taken by then: by itself."""
    sheet = a_sheet(tmp_path, "A-1,Velder,40,60,0,\n,Velder,40,60,0,2\n")
    first = logged(catalogue, sheet, key="monday")
    again = logged(catalogue, sheet, key="monday")
    assert first.tags == again.tags == ("A-1", "R-0001", "R-0002") and again.count == 3
    assert pieces.all_tags(catalogue) == first.tags
    with pytest.raises(BadInput, match="was used for another request"):
        logged(catalogue, a_sheet(tmp_path, "A-2,Velder,40,60,0,\n"), key="monday")


def peak(folder: Path, rows: int) -> int:
    """The most memory (bytes) that logging so many rows took."""
    folder.mkdir()
    text = "".join(f"A-{number},Velder,40,60,0\n" for number in range(rows))
    (folder / "racks.csv").write_text("tag,style,width,length,pile\n" + text)
    del text
    with open_catalogue(folder / "stock.db", write=True) as catalogue:
        return most_memory(lambda: logged(catalogue, read_sheet(folder / "racks.csv")))


def test_five_times_as_many_rows_take_no_more_memory_to_log(tmp_path: Path) -> None:
    peak(tmp_path / "first", 10)
    assert peak(tmp_path / "many", 5000) < 2 * peak(tmp_path / "few", 1000)  # all at once would be five times: 1.1 to 1.4 seen
