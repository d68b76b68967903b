"""The door book's files: whole lines whoever writes at once, begun anew in time, for their owner alone, read newest first."""

import json
import os
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from multiprocessing import get_context
from pathlib import Path
from stat import S_IMODE

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from remnants.model.door_line import DoorKind, DoorLine
from remnants.store import door_book
from remnants.store.door_book import book_files, read_lines, write_line
from tests.thorough import share

AT = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)


def a_line(number: int = 0, kind: DoorKind = DoorKind.ROLE, **told: str) -> DoorLine:
    given = {"who": "Maud", "address": "10.0.0.7", "whom": f"Wim {number}", "what": "from look to work"} | told
    return DoorLine(AT + timedelta(seconds=number), kind, **given)


def test_lines_are_read_as_they_were_written_newest_first_done_and_refused_together(tmp_path: Path) -> None:
    catalogue = tmp_path / "stock.db"
    assert list(read_lines(catalogue)) == []
    written = [a_line(number, DoorKind.REFUSED if number % 2 else DoorKind.ROLE) for number in range(6)]
    for line in written:
        write_line(catalogue, line)
    assert list(read_lines(catalogue)) == written[::-1]
    assert [file.name for file in book_files(catalogue)] == ["stock.db.doors.log", "stock.db.refused.log"]
    first = json.loads(book_files(catalogue)[0].read_text(encoding="utf-8").splitlines()[0])
    assert first["at"] == "2031-05-04T09:00:00.000+00:00", "the time tells its zone"


def test_the_owner_alone_may_read_it_also_one_that_others_could_before(tmp_path: Path) -> None:
    catalogue = tmp_path / "stock.db"
    write_line(catalogue, a_line())
    book_files(catalogue)[0].chmod(0o644)
    write_line(catalogue, a_line(1))
    write_line(catalogue, a_line(2, DoorKind.REFUSED))
    assert {S_IMODE(file.stat().st_mode) for file in book_files(catalogue)} == {0o600}


def test_a_file_is_begun_anew_before_it_is_too_large_and_the_oldest_goes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(door_book, "DOOR_BOOK_BYTES", 1000)
    catalogue = tmp_path / "stock.db"
    for number in range(60):
        write_line(catalogue, a_line(number))
    files = book_files(catalogue)
    assert [file.name.removeprefix("stock.db.doors.log") for file in files] == ["", ".1", ".2", ".3", ".4"]
    assert all(file.stat().st_size < 1000 and S_IMODE(file.stat().st_mode) == 0o600 for file in files)
    left = [line.whom for line in read_lines(catalogue) if line]
    assert left == [f"Wim {number}" for number in range(59, 59 - len(left), -1)] and len(left) > 20


@pytest.mark.parametrize("kind", [DoorKind.REFUSED, DoorKind.EXPORT])
def test_whoever_is_refused_or_prints_a_thousand_times_pushes_out_nothing_that_was_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: DoorKind
) -> None:
    monkeypatch.setattr(door_book, "DOOR_BOOK_BYTES", 2000)
    catalogue = tmp_path / "stock.db"
    write_line(catalogue, a_line(0))
    for number in range(1, 1000):
        write_line(catalogue, a_line(number, kind))
    assert [line for line in read_lines(catalogue) if line and line.kind is DoorKind.ROLE] == [a_line(0)]


def test_an_export_that_was_written_among_what_was_done_is_read_still(tmp_path: Path) -> None:
    """As it was before exports had a file of their own."""
    catalogue = tmp_path / "stock.db"
    line = {"at": "2031-05-04T09:00:30.000+00:00", "kind": "export", "who": "Maud", "what": "stock.csv"}
    write_line(catalogue, a_line(1))
    with book_files(catalogue)[0].open("a", encoding="utf-8") as file:
        file.write(json.dumps(line) + "\n")
    write_line(catalogue, a_line(60, DoorKind.EXPORT))
    assert [line.kind.value if line else "" for line in read_lines(catalogue)] == ["export", "export", "role"]


def test_a_line_that_a_full_disk_cuts_short_is_told_and_spoils_none_after_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    catalogue = tmp_path / "stock.db"
    write_line(catalogue, a_line(0))
    whole = os.write
    with monkeypatch.context() as full, pytest.raises(OSError, match="No space left"):
        full.setattr(os, "write", lambda file, told: whole(file, told[:20]))
        write_line(catalogue, a_line(1))
    write_line(catalogue, a_line(2))
    assert list(read_lines(catalogue)) == [a_line(2), None, a_line(0)]


def test_a_line_is_kept_where_another_begins_the_file_anew_before_it_is_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    catalogue = tmp_path / "stock.db"
    write_line(catalogue, a_line(0))

    def begun_anew(file: Path) -> None:
        monkeypatch.undo()
        file.replace(file.with_name(file.name + ".1"))

    monkeypatch.setattr(door_book, "tighten", begun_anew)
    write_line(catalogue, a_line(1))
    assert list(read_lines(catalogue)) == [a_line(1), a_line(0)]
    assert {file.stat().st_mode & 0o777 for file in book_files(catalogue)} == {0o600}


def write_some(catalogue: Path, first: int) -> None:
    """Two dozen lines, by one of several who write at once."""
    for number in range(first, first + 24):
        write_line(catalogue, a_line(number))


@pytest.mark.parametrize("pool", ["threads", "processes"])
def test_of_many_who_write_at_once_while_files_are_begun_anew_no_line_is_lost_or_torn(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, pool: str
) -> None:
    monkeypatch.setattr(door_book, "DOOR_BOOK_BYTES", 1500)
    monkeypatch.setattr(door_book, "DOOR_BOOK_FILES", 40)
    catalogue = tmp_path / "stock.db"
    if pool == "threads":
        with ThreadPoolExecutor(4) as many:
            list(many.map(lambda first: write_some(catalogue, first), range(0, 96, 24)))
    else:
        forking = get_context("fork")
        others = [forking.Process(target=write_some, args=(catalogue, first)) for first in range(0, 96, 24)]
        for other in others:
            other.start()
        for other in others:
            other.join()
    assert Counter(line.whom if line else "torn" for line in read_lines(catalogue)) == Counter(f"Wim {n}" for n in range(96))
    assert len(book_files(catalogue)) > 5


def test_what_a_program_that_was_killed_left_half_spoils_no_line_after_it(tmp_path: Path) -> None:
    catalogue = tmp_path / "stock.db"
    write_line(catalogue, a_line(0))
    with book_files(catalogue)[0].open("ab") as file:
        file.write(b'{"at": "2031-05-04T09:0')
    write_line(catalogue, a_line(1))
    assert list(read_lines(catalogue)) == [a_line(1), None, a_line(0)]


@settings(max_examples=share(60), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=st.text(st.characters(codec="utf-8"), max_size=80), harm=st.binary(max_size=40))
def test_whatever_a_name_holds_or_harmed_the_file_what_else_was_written_is_read(tmp_path: Path, name: str, harm: bytes) -> None:
    """A name with the end of a line in it writes no line of its own."""
    catalogue = tmp_path / "stock.db"
    for file in book_files(catalogue):
        file.unlink()
    write_line(catalogue, a_line(0, who=name))
    with book_files(catalogue)[0].open("ab") as opened:
        opened.write(harm)
    write_line(catalogue, a_line(1))
    found = list(read_lines(catalogue))
    assert found[0] == a_line(1) and found[-1] == a_line(0, who=name)
