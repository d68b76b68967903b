"""Photographs of jobs: each stays with its own job until somebody takes it away or its customer is forgotten."""

import random
import shutil
import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.customers import Forgotten, forget_customer, put_customer
from remnants.actions.fit_job import fit_job
from remnants.actions.job_names import Which
from remnants.actions.job_photos import (
    add_job_photo,
    jpeg_of_job_photo,
    keep_job_picture,
    photos_of_job,
    take_job_photo_away,
)
from remnants.actions.keep_job import cut_job, every_job, hold_job, release_job
from remnants.actions.keep_safe import back_up, verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.rescue import rescue
from remnants.actions.undo import undo_last
from remnants.errors import BadFile, BadInput, NoPlan, NotAllowed, NotFound, StockChanged
from remnants.exchange import read_job
from remnants.ledger import Signed
from remnants.limits import JOB_PHOTOS, PHOTO_CHARACTERS
from remnants.model import Person, Role
from remnants.model.customer import Customer
from remnants.model.picture import JobPhoto, Moment, Picture
from remnants.store import jobs
from tests.stock_values import SIGNED, a_piece, a_stock, a_style
from tests.thorough import share

JOBS = {"Alder Court 7": "F-1", "Fir Lane 2": "F-2", "Elm Row 3": "F-1", "Oak Yard 9": ""}
WIM, ANA, MAUD = Person("Wim", Role.WORK), Person("Ana", Role.WORK), Person("Maud", Role.MANAGE)


@pytest.fixture(scope="module")
def stock(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Four held jobs, each with a piece of its own: two of F-1, one of F-2, one that tells no customer."""
    path = tmp_path_factory.mktemp("jobs") / "stock.db"
    with open_catalogue(path, write=True) as opened:
        styles = tuple(a_style(f"Weave {at}", repeat=None) for at, _ in enumerate(JOBS))
        carpet = [a_piece(f"R-{at}", style=f"Weave {at}") for at, _ in enumerate(JOBS)]
        log_pieces(opened, a_stock(*carpet, styles=styles), signed=SIGNED)
        for reference in ("F-1", "F-2"):
            put_customer(opened, Customer(reference, f"Person of {reference}"), signed=SIGNED)
        for name in JOBS:
            hold(opened, name)
        back_up(opened, path.with_name("copy.db"))
    return path.with_name("copy.db")


@pytest.fixture
def catalogue(stock: Path, tmp_path: Path) -> Iterator[Catalogue]:
    shutil.copyfile(stock, tmp_path / "stock.db")
    with open_catalogue(tmp_path / "stock.db", write=True) as opened:
        yield opened


def hold(catalogue: Catalogue, name: str, width: float = 20, **told: Any) -> None:
    number = list(JOBS).index(name)
    patch = {"name": "hall", "width": width, "length": 20, "pile": 0, "edges": "seam"}
    asked = {"unit": "in", "job": name, "customer": JOBS[name], "style": f"Weave {number}", "patches": [patch]} | told
    fitted = fit_job(catalogue, read_job(asked), today=SIGNED.at.date())
    again = any(kept.job.name == name for kept in every_job(catalogue))
    which = Which(f"J-{number + 1:04d}") if again else Which()
    hold_job(catalogue, fitted, until=date(2031, 6, 1), signed=SIGNED, which=which)


def by(person: Person) -> Signed:
    return replace(SIGNED, who=person.name)


def put(catalogue: Catalogue, job: str, moment: str = "before", photo: bytes = b"", **told: Any) -> int:
    """A photograph with bytes of its own, which no other file has."""
    known: dict[str, Any] = {"signed": SIGNED, "read": as_sent}
    return add_job_photo(catalogue, job, photo or random.randbytes(60), moment=moment, **known | told)


def as_sent(photo: bytes) -> Picture:
    return Picture(b"\xff\xd8" + photo, 8, 6)


def there(catalogue: Catalogue, job: str) -> list[int]:
    found = photos_of_job(catalogue, job, Role.WORK)
    assert found
    return [photo.number for photo in found.every if photo.gone_at is None]


def photo_of(catalogue: Catalogue, job: str, number: int) -> JobPhoto:
    found = photos_of_job(catalogue, job, Role.WORK)
    assert found
    return next(photo for photo in found.every if photo.number == number)


def test_several_are_kept_of_before_and_after_with_who_when_and_words(catalogue: Catalogue) -> None:
    first = put(catalogue, "J-0001", words="  Burn  beside the window ")
    put(catalogue, "Alder Court 7", "after", signed=by(WIM))
    put(catalogue, "J-0001")
    found = photos_of_job(catalogue, "J-0001", Role.WORK)
    assert found and not found.closed
    assert [(photo.number, photo.who) for photo in found.there("before")] == [(first, "Ana"), (3, "Ana")]
    assert [(photo.moment, photo.who) for photo in found.there("after")] == [(Moment.AFTER, "Wim")]
    assert (found.every[0].words, found.every[0].at) == ("Burn beside the window", SIGNED.at)
    assert verify(catalogue).faults == ()


def test_who_may_only_look_is_shown_none(catalogue: Catalogue) -> None:
    put(catalogue, "J-0001")
    assert photos_of_job(catalogue, "J-0001", Role.LOOK) is None


def test_sent_twice_it_is_kept_once_and_six_of_each_are_enough(catalogue: Catalogue) -> None:
    photo = random.randbytes(60)
    assert {put(catalogue, "J-0001", photo=photo, key="one") for _ in range(2)} == {1}
    for _ in range(JOB_PHOTOS - 1):
        put(catalogue, "J-0001")
    with pytest.raises(NotAllowed, match="J-0001 has 6 photographs before the repair already; take one away first"):
        put(catalogue, "J-0001")
    put(catalogue, "J-0001", "after")
    take_job_photo_away(catalogue, 1, by=ANA, signed=SIGNED)
    put(catalogue, "J-0001")


@pytest.mark.parametrize(
    ("told", "what"),
    [
        ({"moment": "meanwhile"}, "before the repair or after it"),
        ({"words": "x" * (PHOTO_CHARACTERS + 1)}, "has 201 letters; write at most 200"),
        ({"words": "a\u202eb"}, "nobody sees"),
    ],
)
def test_what_can_not_be_told_with_one_is_refused_and_nothing_is_kept(catalogue: Catalogue, told: Any, what: str) -> None:
    with pytest.raises(BadInput, match=what):
        put(catalogue, "J-0001", **told)
    with pytest.raises(NotFound):
        put(catalogue, "J-0099")

    def broken(_photo: bytes) -> Picture:
        raise BadFile("no picture")

    with pytest.raises(BadFile):
        put(catalogue, "J-0001", read=broken)
    assert there(catalogue, "J-0001") == []


def test_its_maker_or_a_manager_takes_it_away_and_nobody_else(catalogue: Catalogue) -> None:
    first, second = (put(catalogue, "J-0001", words="in the hall", signed=by(WIM)) for _ in range(2))
    with pytest.raises(NotAllowed, match="Wim put this photograph there; Wim or a manager takes it away"):
        take_job_photo_away(catalogue, first, by=ANA, signed=by(ANA))
    assert there(catalogue, "J-0001") == [first, second]
    assert take_job_photo_away(catalogue, first, by=WIM, signed=by(WIM)) == "J-0001"
    take_job_photo_away(catalogue, second, by=MAUD, signed=by(MAUD))
    gone = photo_of(catalogue, "J-0001", second)
    assert (gone.words, gone.who, gone.gone_who) == ("", "Wim", "Maud")
    for number in (first, second):
        with pytest.raises(NotFound):
            jpeg_of_job_photo(catalogue, number)
        with pytest.raises(NotFound):
            take_job_photo_away(catalogue, number, by=MAUD, signed=by(MAUD))


class Shop:
    """Jobs to which things happen by chance, and what must be there then: the file of each photograph, by number."""

    def __init__(self, catalogue: Catalogue, dice: random.Random) -> None:
        self.catalogue, self.dice = catalogue, dice
        self.files: dict[int, tuple[str, bytes]] = {}
        self.erased: list[bytes] = []
        self.forgotten: set[str] = set()

    def add(self) -> None:
        name, photo = self.dice.choice(list(JOBS)), self.dice.randbytes(60)
        moment, key = self.dice.choice(["before", "after"]), photo.hex()
        try:
            numbers = {put(self.catalogue, name, moment, photo, key=key) for _ in range(self.dice.choice([1, 2]))}
        except NotAllowed:
            return
        assert JOBS[name] not in self.forgotten
        (number,) = numbers
        assert number not in self.files and photo not in self.erased
        self.files[number] = name, photo

    def take_away(self) -> None:
        for number in self.dice.sample(sorted(self.files), min(1, len(self.files))):
            take_job_photo_away(self.catalogue, number, by=MAUD, signed=by(MAUD))
            self.erased.append(self.files.pop(number)[1])

    def forget(self) -> None:
        reference = self.dice.choice(["F-1", "F-2"])
        if reference in self.forgotten or self.dice.random() < 0.6:
            return
        theirs = [number for number, (name, _) in self.files.items() if JOBS[name] == reference]
        assert forget_customer(self.catalogue, reference, signed=SIGNED).photographs == len(theirs)
        self.erased += [self.files.pop(number)[1] for number in theirs]
        self.forgotten.add(reference)

    def work(self) -> None:
        """Whatever else may happen to a job and its carpet."""
        name = self.dice.choice(list(JOBS))
        number = list(JOBS).index(name)
        try:
            match self.dice.randrange(4):
                case 0:
                    cut_job(self.catalogue, name, signed=SIGNED)
                case 1:
                    release_job(self.catalogue, name, signed=SIGNED)
                case 2:
                    undo_last(self.catalogue, f"R-{number}", signed=SIGNED)
                case 3:
                    hold(self.catalogue, name, self.dice.choice([20, 22]))
        except (NoPlan, NotAllowed, StockChanged):
            pass


@pytest.mark.parametrize("seed", range(share(24)))
def test_each_stays_with_its_job_and_no_other_until_it_is_erased_and_then_no_copy_has_it(
    catalogue: Catalogue, tmp_path: Path, seed: int
) -> None:
    shop = Shop(catalogue, random.Random(seed))
    for _ in range(30):
        shop.dice.choice([shop.add, shop.add, shop.add, shop.take_away, shop.forget, shop.work])()
        for name in JOBS:
            assert there(catalogue, name) == sorted(number for number, (own, _) in shop.files.items() if own == name)
    assert all(jpeg_of_job_photo(catalogue, number) == b"\xff\xd8" + photo for number, (_, photo) in shop.files.items())
    assert verify(catalogue).faults == ()
    back_up(catalogue, tmp_path / "copy.db")
    copy = (tmp_path / "copy.db").read_bytes()
    assert all(photo in copy for _, photo in shop.files.values())
    assert not [photo for photo in shop.erased if photo in copy]


def test_what_waited_on_a_phone_until_its_customer_was_forgotten_is_not_kept(catalogue: Catalogue) -> None:
    photo = random.randbytes(60)
    put(catalogue, "J-0001", photo=photo, key="went out, and its answer was lost")
    forget_customer(catalogue, "F-1", signed=SIGNED)
    assert put(catalogue, "J-0001", photo=photo, key="went out, and its answer was lost") == 1
    with pytest.raises(NotAllowed, match="the customer of J-0003 was forgotten, so no photograph is kept with it"):
        put(catalogue, "Elm Row 3", key="waited")
    assert there(catalogue, "J-0001") == there(catalogue, "J-0003") == []
    assert put(catalogue, "J-0002")


def forgotten(catalogue: Catalogue, *, address: str = "", name: str = "") -> Forgotten:
    put_customer(catalogue, Customer("F-7", name or "Nobody", address=address), signed=SIGNED)
    return forget_customer(catalogue, "F-7", signed=SIGNED)


def test_a_job_is_somebodys_by_its_house_too_and_one_that_tells_nothing_is_named(catalogue: Catalogue) -> None:
    hold(catalogue, "Oak Yard 9", 21, house="9 Oak Yard")
    put(catalogue, "J-0004")
    assert forgotten(catalogue, address="9 OAK YARD").photographs == 1
    hold(catalogue, "Fir Lane 2", 21, customer="")
    at_theirs = put(catalogue, "J-0002")
    told = forgotten(catalogue, address="12 Fir Street")
    assert (told.photographs, told.unclaimed) == (0, ("J-0002",))
    assert there(catalogue, "J-0002") == [at_theirs]


def test_planned_anew_without_its_customer_a_jobs_photographs_are_still_theirs(catalogue: Catalogue) -> None:
    put(catalogue, "J-0001")
    hold(catalogue, "Alder Court 7", 22, customer="")
    put(catalogue, "J-0001", "after")
    assert forget_customer(catalogue, "F-1", signed=SIGNED).photographs == 2
    assert there(catalogue, "J-0001") == []


@pytest.mark.parametrize("told", [{"customer": "F-2"}, {"house": "Fir Lane 2"}])
def test_a_job_with_photographs_of_one_home_is_not_planned_anew_for_another(catalogue: Catalogue, told: dict[str, str]) -> None:
    hold(catalogue, "Alder Court 7", 21, house="Alder Court 7")
    number = put(catalogue, "J-0001")
    with pytest.raises(NotAllowed, match=r"J-0001 has photographs that show the home of .*Book it as another job"):
        hold(catalogue, "Alder Court 7", 22, **{"house": "Alder Court 7"} | told)
    hold(catalogue, "Alder Court 7", 22, customer="f-1", house="ALDER COURT 7")
    take_job_photo_away(catalogue, number, by=ANA, signed=SIGNED)
    hold(catalogue, "Alder Court 7", 21, **told)


def test_words_that_name_a_forgotten_person_go_and_anothers_picture_stays(catalogue: Catalogue) -> None:
    named = put(catalogue, "J-0002", words="next door to Orla Testcase")
    other = put(catalogue, "J-0002", words="the hall")
    forgotten(catalogue, name="Orla Testcase")
    assert [photo_of(catalogue, "J-0002", number).words for number in (named, other)] == ["", "the hall"]
    assert there(catalogue, "J-0002") == [named, other]


def test_no_row_is_changed_or_dropped_behind_the_programs_back(catalogue: Catalogue) -> None:
    put(catalogue, "J-0001", words="hall")
    for change in (
        "DELETE FROM job_photo",
        "UPDATE job_photo SET job = 2",
        "UPDATE job_photo SET words = 'another'",
        "UPDATE job_photo SET jpeg = x'ffd8'",
        "UPDATE job_photo SET moment = 'after'",
        "UPDATE job_photo SET customer = 'F-2'",
    ):
        with pytest.raises(sqlite3.IntegrityError, match=r"is never changed, but erased|a line always stays"):
            catalogue.execute(change)


HARMS = {
    "UPDATE job_photo SET jpeg = x'ffd800'": "is not the one that was put there",
    "UPDATE job_photo SET jpeg = CAST(jpeg || x'00' AS BLOB)": "is not the one that was put there",
    "UPDATE job_photo SET job = 77": "its job, number 77, is not there",
    "UPDATE job_photo SET at = 'soon'": "`at` is 'soon', which is no time",
    "UPDATE job_photo SET gone_at = '2031-05-03T14:20:00Z', gone_who = 'Ana'": "CHECK",
}


def harmed(catalogue: Catalogue, sql: str) -> None:
    """Done to the row by somebody who has the file and knows how to get round its guards."""
    guards = [row["sql"] for row in catalogue.query("SELECT sql FROM sqlite_master WHERE name LIKE 'job_photos_st%'")]
    catalogue.execute("DROP TRIGGER job_photos_stand")
    catalogue.execute("DROP TRIGGER job_photos_stay")
    catalogue.execute("PRAGMA ignore_check_constraints = ON")
    catalogue.execute(sql)
    for guard in guards:
        catalogue.execute(guard)


@pytest.mark.parametrize("sql", HARMS)
def test_the_proof_finds_harm_done_to_one(catalogue: Catalogue, sql: str) -> None:
    put(catalogue, "J-0001")
    harmed(catalogue, sql)
    (fault,) = verify(catalogue).faults
    assert "job's photograph 1" in fault.where and (HARMS[sql] == "CHECK" or HARMS[sql] in fault.what)


def test_a_rescue_takes_over_what_is_sound_and_gives_no_number_of_a_lost_job_away(catalogue: Catalogue, tmp_path: Path) -> None:
    for job in ("J-0001", "J-0001", "J-0002", "J-0004"):
        put(catalogue, job, words="hall")
    cut_job(catalogue, "Oak Yard 9", signed=SIGNED)
    harmed(catalogue, "UPDATE job_photo SET jpeg = x'ffd800' WHERE number = 2")
    catalogue.execute("UPDATE job SET plan = '{}', donors = '{\"R-9\": 1}' WHERE number IN (2, 4)")
    saved = rescue(catalogue.path, tmp_path / "saved.db", now=SIGNED.at + timedelta(days=1))
    assert saved.lost["photograph of a job"] == ("2", "3", "4")
    with open_catalogue(tmp_path / "saved.db", write=True) as opened:
        assert verify(opened).faults == ()
        assert there(opened, "J-0001") == [1]
        assert photo_of(opened, "J-0001", 2).gone_who == "catalogue"
        numbers = {kept.number for kept in every_job(opened)}
        assert not numbers & {"J-0002", "J-0004"}, "whose photographs were lost with them"
        assert jobs.next_number(opened) > 4
        assert put(opened, "J-0001") == 5
        with pytest.raises(NotFound):
            jpeg_of_job_photo(opened, 3)


def test_one_that_is_made_ready_is_kept_with_what_else_is_done(catalogue: Catalogue) -> None:
    with pytest.raises(RuntimeError), catalogue.atomic():
        keep_job_picture(catalogue, 1, as_sent(b"a"), moment=Moment.AFTER, words="", signed=SIGNED)
        raise RuntimeError
    assert there(catalogue, "J-0001") == []
