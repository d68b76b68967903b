"""The catalogue tells who has carpet of ours and where they live: it and every copy are for its owner's eyes alone."""

import io
import os
from collections.abc import Iterator
from pathlib import Path
from stat import S_IMODE

import pytest
from PIL import Image

from remnants.actions import open_catalogue
from remnants.actions.photos import add_photo
from remnants.private import make_file, make_folder
from tests.commands import Remnants
from tests.stock_values import SIGNED

pytestmark = pytest.mark.skipif(not hasattr(os, "geteuid"), reason="the system knows no rights of this kind")


@pytest.fixture(params=[0o022, 0o000, 0o077], ids=oct, autouse=True)
def umask(request: pytest.FixtureRequest) -> Iterator[int]:
    """What the system takes from files that are made, from hardly anything to a lot."""
    before = os.umask(request.param)
    yield request.param
    os.umask(before)


def rights(folder: Path) -> dict[str, str]:
    """Each file in the folder, and in those that are hidden in it, with what may be done with it."""
    return {path.relative_to(folder).as_posix(): may(path) for path in folder.rglob("*") if path.is_file()}


def may(path: Path) -> str:
    return oct(S_IMODE(path.stat().st_mode))


def a_photo() -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (600, 400), "tan").save(file, "JPEG")
    return file.getvalue()


@pytest.fixture
def seen(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    """What lay in the folder whenever a finished file was put in its place."""
    told: dict[str, str] = {}
    replace = os.replace

    def looked_at(source: Path, goal: Path) -> None:
        told.update(rights(remnants.folder))
        replace(source, goal)

    monkeypatch.setattr(os, "replace", looked_at)
    return told


def test_a_catalogue_with_its_photographs_and_journals_is_for_its_owner_alone(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    with open_catalogue(remnants.catalogue, write=True) as catalogue:
        add_photo(catalogue, "R-1", a_photo(), signed=SIGNED)
        assert rights(remnants.folder) == dict.fromkeys(("stock.db", "stock.db-wal", "stock.db-shm"), "0o600")
    assert set(rights(remnants.folder).values()) == {"0o600"}


def test_a_catalogue_that_others_could_read_is_tightened_without_a_word_when_its_owner_opens_it(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    with open_catalogue(remnants.catalogue, write=True) as catalogue, catalogue.atomic():
        catalogue.execute("UPDATE piece SET room = room")
        for path in remnants.folder.iterdir():
            path.chmod(0o664)
        done = remnants("show", "R-1")
        assert (done.code, done.err) == (0, "")
        assert rights(remnants.folder) == dict.fromkeys(("stock.db", "stock.db-wal", "stock.db-shm"), "0o600")
    remnants.catalogue.chmod(0o444)
    remnants.ok("show", "R-1")
    assert rights(remnants.folder)["stock.db"] == "0o400"


def test_a_file_of_another_program_keeps_its_rights(remnants: Remnants) -> None:
    other = remnants.file("books.db", "tag;style\n" * 200)
    other.chmod(0o644)
    remnants.refused("show", "R-1", "--catalogue", other, code=2)
    remnants.refused("restore", other, "--yes", code=2)
    assert rights(remnants.folder)["books.db"] == "0o644"


def test_a_copy_is_private_from_its_first_byte(remnants: Remnants, seen: dict[str, str]) -> None:
    remnants.log("--tag", "R-1")
    remnants.ok("backup", remnants.folder / "copy.db")
    assert len(seen) > 1
    assert {**seen, **rights(remnants.folder)} == dict.fromkeys([*seen, "copy.db", "stock.db.copies.json"], "0o600")


@pytest.mark.parametrize("state", ["sound", "damaged", "gone"])
def test_what_is_brought_back_and_what_is_kept_are_private_all_the_while(
    remnants: Remnants, seen: dict[str, str], state: str
) -> None:
    remnants.log("--tag", "R-1")
    copy = remnants.folder / "copy.db"
    remnants.ok("backup", copy)
    copy.chmod(0o644)
    if state == "gone":
        remnants.catalogue.unlink()
    elif state == "damaged":
        remnants.catalogue.write_bytes(b"burnt" * 5000)
        remnants.catalogue.with_name("stock.db-wal").write_bytes(b"newest lines")
        remnants.catalogue.chmod(0o644)
    seen.clear()
    remnants.ok("restore", copy, "--yes")
    assert seen or state == "sound"
    as_found = {"copy.db", "stock.db"} if state == "damaged" else {"copy.db"}
    assert {mode for name, mode in seen.items() if name not in as_found} <= {"0o600"}
    assert {mode for name, mode in rights(remnants.folder).items() if name != "copy.db"} == {"0o600"}


def test_the_usual_folder_is_made_for_its_owner_alone(
    remnants: Remnants, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("REMNANTS_CATALOGUE")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "home" / "share"))
    remnants.log("--tag", "R-1")
    assert [may(tmp_path / "home" / inner) for inner in ("", "share", "share/remnants")] == ["0o700"] * 3
    assert may(tmp_path / "home/share/remnants/stock.db") == "0o600"


def test_what_is_there_already_is_left_as_it_is(tmp_path: Path) -> None:
    tmp_path.joinpath("open").mkdir(0o755)
    before = may(tmp_path / "open")
    make_folder(tmp_path / "open")
    file = tmp_path / "kept.txt"
    file.write_text("kept")
    make_file(file)
    assert (file.read_text(), may(tmp_path / "open")) == ("kept", before)


def test_a_link_that_points_at_nothing_leads_to_a_private_catalogue(remnants: Remnants) -> None:
    remnants.catalogue.symlink_to(remnants.folder / "elsewhere.db")
    remnants.log("--tag", "R-1")
    assert rights(remnants.folder)["elsewhere.db"] == "0o600"
