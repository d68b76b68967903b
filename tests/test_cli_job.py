"""`remnants job`: all of a job in one folder, all or nothing."""

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from remnants.cli import job as verb
from tests.commands import Remnants
from tests.report.sheets import pages
from tests.sheet_files import HALL, STOCK, a_job


@pytest.fixture
def given(remnants: Remnants) -> tuple[str, str, str]:
    """Job and stock as options."""
    return str(remnants.file("job.json", HALL)), "--stock", str(remnants.file("stock.json", STOCK))


def test_the_folder_holds_answer_sheet_customer_s_page_tags_and_drawings(remnants: Remnants, given: tuple[str, str, str]) -> None:
    folder = remnants.folder / "alder court"
    remnants.ok("job", *given, "-o", folder)
    names = ["answer.json", "customer.pdf", "patch-hall.svg", "piece-L-1.svg", "sheet.pdf", "tags.pdf"]
    assert sorted(path.name for path in folder.iterdir()) == names
    assert json.loads((folder / "answer.json").read_text())["verdict"] == "joined"
    assert pages((folder / "customer.pdf").read_bytes())[0].first == "Your carpet repair: Alder Court 7"
    tags = " ".join(pages((folder / "tags.pdf").read_bytes())[0].text.split())
    assert "Cut 1" in tags
    assert "Cut 2" in tags
    ElementTree.parse(folder / "patch-hall.svg")


def test_a_second_run_replaces_its_files_and_leaves_others(remnants: Remnants, given: tuple[str, str, str]) -> None:
    folder = remnants.folder / "out"
    folder.mkdir()
    (folder / "notes.txt").write_text("call back")
    (folder / "answer.json").write_text("old")
    remnants.ok("job", *given, "-o", folder)
    assert (folder / "notes.txt").read_text() == "call back"
    assert json.loads((folder / "answer.json").read_text())["job"] == "Alder Court 7"


def test_a_failure_half_way_writes_nothing(
    remnants: Remnants, given: tuple[str, str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path, content: bytes) -> int:
        if path.name == "tags.pdf":
            raise OSError(28, "No space left on device")
        return written(path, content)

    written = Path.write_bytes
    monkeypatch.setattr(Path, "write_bytes", full)
    folder = remnants.folder / "out"
    folder.mkdir()
    (folder / "answer.json").write_text("old")
    before = sorted(path.name for path in remnants.folder.iterdir())
    assert "No space left" in remnants.refused("job", *given, "-o", folder, code=2)
    assert (folder / "answer.json").read_text() == "old"
    assert [path.name for path in folder.iterdir()] == ["answer.json"]
    assert sorted(path.name for path in remnants.folder.iterdir()) == before


def test_a_file_in_the_folder_s_place_is_refused(remnants: Remnants, given: tuple[str, str, str]) -> None:
    (remnants.folder / "out").write_text("a file")
    assert "can't be written" in remnants.refused("job", *given, "-o", remnants.folder / "out", code=2)
    assert (remnants.folder / "out").read_text() == "a file"


def test_a_job_with_no_plan_writes_nothing(remnants: Remnants, given: tuple[str, str, str]) -> None:
    big = remnants.file("big.json", a_job(outline=[[0, 0], [300, 0], [300, 120], [0, 120]]))
    assert "no sheet to make" in remnants.refused("job", big, *given[1:], "-o", remnants.folder / "out", code=1)
    assert not (remnants.folder / "out").exists()
    assert verb.__doc__
