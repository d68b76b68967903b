"""`remnants history`: a piece's life."""

import sqlite3

from remnants.store.chaining import chain_what_is_there
from remnants.store.file_catalogue import FileCatalogue
from tests.commands import Remnants
from tests.jobs import a_hall


def test_each_entry_says_what_who_why_and_for_which_job(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--by", "Ana", "--why", "roll end")
    remnants.ok("cut", a_hall(remnants, "Alder Court 7"), "--yes", "--by", "Bo")
    lines = remnants.ok("history", "R-1").splitlines()
    assert "received as 40 in × 60 in" in lines[1]
    assert "Ana" in lines[1]
    assert "roll end" in lines[1]
    assert "3.1 ft² out" in lines[2]  # 14 x 32 / 144
    assert "Alder Court 7" in lines[2]
    assert lines[-1].strip() == "R-1 is in stock"


def test_an_offcut_names_what_it_was_cut_from(remnants: Remnants) -> None:
    # The cutouts leave one place for the 14 x 32 in part: between them, so that what is left falls in two.
    holes = ["--cutout", "0,40", "30,40", "30,41", "0,41", "--cutout", "0,75", "30,75", "30,76", "0,76"]
    remnants.log("--tag", "R-1", "--width", "30", "--length", "116", *holes)
    remnants.ok("cut", a_hall(remnants, "Alder Court 7", length=28), "--yes")
    told = remnants.ok("history", "O-0001")
    assert "O-0001 is an offcut of remnant R-1" in told
    assert "cut from R-1" in told
    assert "offcuts: O-0001" in remnants.ok("history", "R-1")


def test_an_unknown_tag_is_told(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    assert "no piece has the tag" in remnants.refused("history", "R-9", code=1)


def test_an_entry_from_before_a_fact_was_kept_reads_as_if_that_were_not_known(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--place", "Bay 3")
    remnants.ok("correct", "R-1", "--lot", "4471-B")
    remnants.ok("move", "R-1", "Bay 4")
    with sqlite3.connect(remnants.catalogue) as behind:
        guards = behind.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'entry'").fetchall()
        for name, _ in guards:
            behind.execute(f"DROP TRIGGER {name}")
        for lacking in ("room", "worn", "lab", "customer", "motif_x_mm", "motif_y_mm"):
            behind.execute("UPDATE entry SET facts = json_remove(facts, ?, ?)", [f"$.piece.{lacking}", f"$.{lacking}"])
        behind.execute("UPDATE entry SET digest = x''")
        chain_what_is_there(FileCatalogue(behind))
        for _, guard in guards:
            behind.execute(guard)
    behind.close()
    told = remnants.ok("history", "R-1")
    assert "received as 40 in × 60 in" in told
    assert "moved to Bay 4" in told
    assert "all is well" in remnants.ok("verify")
    remnants.ok("undo", "R-1")
    assert "Bay 3" in remnants.ok("show", "R-1")
