"""`remnants forget`: who a customer is, erased for good; the carpet stays."""

import json
import sqlite3
from contextlib import closing

import pytest

from remnants.actions import customers, open_catalogue
from remnants.actions.customers import put_customer
from remnants.actions.job_photos import keep_job_picture
from remnants.exchange.house import read_house
from remnants.model.customer import Customer
from remnants.model.picture import Moment
from tests.commands import Remnants
from tests.harmed import a_busy_catalogue, a_picture
from tests.jobs import a_hall, hold
from tests.stock_values import SIGNED

SECRETS = (b"Alder-Ymir", b"555-0199", b"Quince Lane", b"behind the chimney", b"blue study")


def test_nothing_personal_is_left_in_the_file_and_the_carpet_is_still_found(remnants: Remnants) -> None:
    remnants.ok("customer", "F-1", "--name", "Alder-Ymir", "--phone", "555-0199", "--address", "Quince Lane 4")
    remnants.log("--tag", "K-1", "--kind", "kept", "--lot", "4471-B")
    remnants.ok("move", "K-1", "behind the chimney", "--room", "blue study", "--customer", "F-1", "--why", "Alder-Ymir asked")
    remnants.log("--tag", "K-2", "--kind", "kept", "--place", "Bay 7")
    told = "F-1 is forgotten; the carpet stays: K-1\nwith whom it is, is told as erased-1 from now on\n"
    assert remnants.ok("forget", "F-1", "--yes") == told
    files = [path for path in remnants.folder.iterdir() if path.name.startswith("stock.db")]
    assert not [secret for secret in SECRETS for path in files if secret in path.read_bytes()]
    assert "K-1" in remnants.ok("find", "4471-B")
    assert "Bay 7" in remnants.ok("show", "K-2")
    assert "moved" in remnants.ok("history", "K-1")
    assert "all is well" in remnants.ok("verify")


def test_where_the_shop_kept_it_before_and_after_stays(remnants: Remnants) -> None:
    remnants.ok("customer", "F-1", "--name", "Alder-Ymir")
    remnants.log("--tag", "K-1", "--place", "Bay 1")
    remnants.ok("move", "K-1", "behind the chimney", "--customer", "F-1")
    remnants.ok("move", "K-1", "Bay 2")
    remnants.ok("forget", "F-1", "--yes")
    assert "Bay 2" in remnants.ok("show", "K-1")
    assert "chimney" not in remnants.ok("history", "K-1")


def test_words_that_may_mean_them_are_pointed_at(remnants: Remnants) -> None:
    remnants.ok("customer", "F-1", "--name", "Alder-Ymir", "--address", "Quince Lane 4")
    remnants.log("--tag", "R-1", "--place", "Bay 1")
    hold(remnants, "Quince Lane 4")
    den = {"name": "den", "width": 2, "length": 2}
    order = {"order": "Fen Row 4", "style": "Quince Lane 4", "unit": "m", "roll": {"width": 4}, "rooms": [den]}
    remnants.ok("order", remnants.file("rooms.json", order), "--no-stock", "--tries", "1", "--save")
    told = remnants.ok("forget", "F-1", "--yes")
    assert "words like theirs still stand in these saved orders: 1; look whether they mean them\n" in told
    assert "words like theirs still stand in the history of R-1; look whether they mean them\n" in told
    assert "words like theirs still stand in these jobs: 'Quince Lane 4'; look whether they mean them\n" in told


def test_a_saved_order_tells_nothing_of_them_any_more_and_keeps_its_figures(remnants: Remnants) -> None:
    """In name, room, doorway, a note of the file, and the reason; another's order is as it was."""
    remnants.ok("customer", "F-1", "--name", "Alder-Ymir", "--phone", "555-0199", "--address", "Quince Lane 4")
    door = {"edge": 0, "from": 0.5, "width": 0.8, "to": "Alder-Ymir's den"}
    rooms = [{"name": "hall", "width": 4, "length": 2, "doorways": [door]}, {"name": "Alder-Ymir's den", "width": 4, "length": 3}]
    theirs = {"order": "for Alder-Ymir at quince  lane 4", "unit": "m", "roll": {"width": 4}, "rooms": rooms, "tell": "555-0199"}
    other = {"order": "Fen Row 4", "unit": "m", "roll": {"width": 4}, "rooms": [{"name": "den", "width": 2, "length": 2}]}
    for file, more in ((theirs, ["--why", "her wish"]), (other, ["--why", "as told"])):
        remnants.ok("order", remnants.file("rooms.json", file), "--no-stock", "--tries", "1", "--save", *more)
    before = {number: remnants.ok("orders", number, "--unit", "m") for number in ("1", "2")}
    told = remnants.ok("forget", "F-1", "--yes")
    assert "their words were erased in these saved orders, whose figures stay: 1\n" in told and "still stand" not in told
    files = [path for path in remnants.folder.iterdir() if path.name.startswith("stock.db")]
    secrets = (*SECRETS, b"quince", b"her wish")
    assert not [secret for secret in secrets for path in files if secret in path.read_bytes()]
    assert remnants.ok("orders", "2", "--unit", "m") == before["2"]
    after = remnants.ok("orders", "1", "--unit", "m")
    assert after.startswith("Order 1, revision 1: erased-1. 6.240 m of roll 4.000 m wide. Saved by ")
    assert before["1"].partition(". ")[2].partition(". ")[0] == "6.240 m of roll 4.000 m wide"
    out = remnants.folder / "again.json"
    remnants.ok("orders", "1", "--rooms", str(out))
    floors = read_house(out).carpets[0].asked.floors
    assert [(room.name, room.outline.bounds[3]) for room in floors.rooms] == [("hall", 2000), ("erased-1's den", 3000)]
    assert floors.rooms[0].doorways[0].to == "erased-1's den"
    assert "all is well" in remnants.ok("verify")
    assert "erased in these" not in remnants.ok("forget", "erased-1", "--yes")


def test_it_is_asked_first(remnants: Remnants) -> None:
    remnants.ok("customer", "F-1", "--name", "Alder-Ymir")
    assert "give --yes" in remnants.refused("forget", "F-1", code=2)
    assert "Alder-Ymir" in remnants.ok("customer", "F-1")


def test_in_a_large_stock_it_is_said_what_takes_so_long(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    remnants.ok("customer", "F-1", "--name", "Alder-Ymir")
    remnants.log()
    assert remnants("forget", "F-1", "--yes").err == ""
    monkeypatch.setattr(customers, "MANY_PIECES", 0)
    assert "looking through every entry" in remnants("forget", "erased-1", "--yes").err


def test_photographs_of_repairs_go_and_jobs_that_do_not_tell_whose_they_are_are_named(remnants: Remnants) -> None:
    a_busy_catalogue(remnants.catalogue)
    with open_catalogue(remnants.catalogue, write=True) as catalogue:
        put_customer(catalogue, Customer("Elm Row 3", "An invented person"), signed=SIGNED)
        with catalogue.atomic():
            keep_job_picture(catalogue, 3, a_picture(8, 6), moment=Moment.AFTER, words="", signed=SIGNED)
    told = remnants.ok("forget", "Elm Row 3", "--yes")
    assert "the photographs of their repairs were erased (1)" in told
    assert "these jobs have photographs and don't tell whose home they show; look at them: J-0005" in told
    assert "all is well" in remnants.ok("verify")


def test_a_held_job_of_theirs_names_them_no_more_and_is_cut_all_the_same(remnants: Remnants) -> None:
    """By their reference, or by their house alone, which is gone from where the carpet lies."""
    for tag, reference, told in (("K-1", "F-8", {"customer": "f-8"}), ("K-2", "F-9", {})):
        remnants.ok("customer", reference, "--name", "Otto Invented")
        remnants.log("--tag", tag, "--kind", "kept", "--place", f"Fir Lane {tag[-1]}, attic")
        remnants.ok("move", tag, f"Fir Lane {tag[-1]}, attic", "--customer", reference)
        job = json.loads(a_hall(remnants, f"Fir Lane {tag[-1]}").read_text()) | told | {"use": [tag]}
        remnants.ok("hold", remnants.file("job.json", job), "--until", "2131-06-01")
        remnants.ok("forget", reference, "--yes")
        with closing(sqlite3.connect(remnants.catalogue)) as rows:
            assert reference.casefold() not in "".join(file for (file,) in rows.execute("SELECT file FROM job")).casefold()
        assert f"cut: {tag}" in remnants.ok("cut", f"Fir Lane {tag[-1]}")
    assert remnants("verify").code == 0
