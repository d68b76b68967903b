"""The invented shop: sound, told through its ledger, marked on every page, and locked by nothing that is known beforehand."""

import io
import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.parse import quote

import pdfplumber
import pytest

from remnants.actions import Catalogue, doors, open_catalogue, people
from remnants.actions.clear_out import to_clear_out
from remnants.actions.fit_job import fit_job
from remnants.actions.keep_job import State, every_job
from remnants.actions.keep_safe import verify
from remnants.actions.show_piece import history_of, show_piece
from remnants.actions.stock_worth import stock_worth
from remnants.actions.transfers import on_the_way
from remnants.exchange import read_job
from remnants.ledger import BESIDE, Act, Entry
from remnants.ledger.worth import By
from remnants.model import Role, Verdict
from remnants.store import ledger
from remnants_web import Settings, create_app
from remnants_web.demo import make_accounts, tell
from remnants_web.tags import PAPERS
from tests.web.conftest import Browser
from tests.web.test_guard import filled, methods_of

NOW = datetime(2031, 5, 3, 14, 20, tzinfo=UTC)
DEMO = Path(__file__).parents[2] / "demo"
MARK = "An invented shop to try things out: no such styles, lots or customers exist."


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "invented.db"
    with open_catalogue(path, write=True) as catalogue:
        tell(catalogue, now=NOW)
    return path


def entries(catalogue: Catalogue) -> list[Entry]:
    return [entry for tag in sorted({row["tag"] for row in catalogue.query("SELECT tag FROM entry")})
            for entry in ledger.entries_of(catalogue, tag)]  # fmt: skip


def test_its_weeks_stand_in_the_ledger_and_the_catalogue_is_sound(path: Path) -> None:
    with open_catalogue(path, write=True) as catalogue:
        assert not verify(catalogue).faults
        written = sorted(entries(catalogue), key=lambda entry: entry.number)
    times = [entry.signed.at for entry in written]
    assert times == sorted(times)
    assert (NOW - times[0]).days == 84 and NOW - times[-1] <= timedelta(days=1)
    weeks = {(NOW - entry.signed.at).days // 7 for entry in written if entry.act is Act.CUT}
    assert len(weeks) >= 11
    assert {entry.act for entry in written} == set(Act) - BESIDE - {Act.CORRECTED}


def test_something_is_late_and_something_is_on_its_way_to_a_van(path: Path) -> None:
    with open_catalogue(path, write=True, now=lambda: NOW) as catalogue:
        sent = [(each.piece.tag, each.way.goal, each.way.late(NOW.date())) for each in on_the_way(catalogue) if each.way]
        assert show_piece(catalogue, "R-0115").piece.place == "Harbour Yard left wall"
    assert sent == [("R-0122", "Harbour Yard", True), ("O-0152", "Grey van", False)]


def test_it_shows_what_stock_cost_what_it_is_worth_and_what_to_clear_out(path: Path) -> None:
    with open_catalogue(path, write=True, now=lambda: NOW) as catalogue:
        found, clear = stock_worth(catalogue, today=NOW.date()), to_clear_out(catalogue, now=NOW, most=60)
    (cost,), (worth,) = found.all.cost, found.all.worth
    assert 0 < worth.minor < cost.minor and 0 < found.all.untold < found.all.pieces / 4
    assert {line.name for line in found.lines[By.SUPPLIER]} == {"Marrowfen Floors", "Nether Quill Weavers", "Sallowby Mills"}
    assert len(found.lines[By.AGE]) > 3 and len(found.lines[By.BRANCH]) > 1
    assert [style for style, _ in found.keep.own] == ["Sedgeby Weave"]
    assert len([each for each in clear.listed if each.standing.piece.tag.startswith("R-02")]) == 7


def test_its_jobs_are_cut_held_and_let_go(path: Path) -> None:
    with open_catalogue(path, write=True, now=lambda: NOW) as catalogue:
        stages = [job.stage for job in every_job(catalogue)]
    assert (stages.count(State.CUT), stages.count(State.HELD), stages.count(State.RELEASED)) == (13, 1, 1)


@pytest.mark.parametrize(("job", "verdict"), [("whole", "whole"), ("hallway", "joined"), ("cannot", "none")])
def test_the_demos_own_jobs_are_answered_there_too(path: Path, job: str, verdict: str) -> None:
    with open_catalogue(path, write=True) as catalogue:
        plan = fit_job(catalogue, read_job((DEMO / f"{job}.json").read_text(encoding="utf-8")), today=NOW.date()).plan
    assert plan.verdict is Verdict(verdict)


def test_told_twice_it_is_the_same_but_for_the_dates(path: Path, tmp_path: Path) -> None:
    with open_catalogue(path, write=True) as one, open_catalogue(tmp_path / "again.db", write=True) as other:
        tell(other, now=NOW + timedelta(days=400))
        first, second = (
            [(entry.number, entry.tag, entry.act, entry.signed.who) for entry in entries(each)] for each in (one, other)
        )
        assert history_of(other, "K-0031").standing.stage
    assert first == second


def test_passphrases_are_new_each_time_and_open_their_role(path: Path, tmp_path: Path) -> None:
    drawn = []
    for name in ("one.db", "other.db"):
        with open_catalogue(tmp_path / name, write=True) as catalogue:
            accounts = make_accounts(catalogue, now=NOW)
            assert [account.person.role for account in accounts] == [Role.MANAGE, Role.WORK, Role.LOOK]
            for account in accounts:
                assert not doors.sessions_of(catalogue, account.person, now=NOW)
                assert doors.sign_in(catalogue, account.person.name, account.passphrase, address="", label="", now=NOW)
            drawn += [account.passphrase for account in accounts]
    assert len(set(drawn)) == 6
    with pytest.raises(RuntimeError), open_catalogue(tmp_path / "one.db", write=True) as catalogue:
        make_accounts(catalogue, now=NOW)


def test_every_page_says_that_it_is_invented(path: Path) -> None:
    app = create_app(Settings(path, demo=True, shop="Invented shop", now=lambda: NOW))
    app.test_client_class = Browser
    with open_catalogue(path, write=True) as catalogue:
        accounts = make_accounts(catalogue, now=NOW)
    browser = app.test_client()
    marked = [browser.get("/sign-in"), browser.get("/link/none")]
    browser.post("/sign-in", data={"name": accounts[0].person.name, "passphrase": accounts[0].passphrase})
    marked += [browser.get(filled(rule)) for rule in app.url_map.iter_rules() if "GET" in methods_of(rule)]
    marked += [browser.get(there) for there in ("/pieces/L-0101", "/racks/Bay 4", "/nowhere", "/jobs/Fennel Row 12, music room")]
    pages = [answer for answer in marked if answer.mimetype == "text/html" and answer.status_code != 303]
    assert len(pages) > 15
    assert not [answer.request.path for answer in pages if MARK not in answer.text or "Invented shop" not in answer.text]


def test_the_programs_interface_is_marked_too(path: Path) -> None:
    app = create_app(Settings(path, demo=True, shop="Invented shop"))
    assert "Invented shop" in json.loads(app.test_client().get("/api/openapi.json").text)["info"]["title"]


PAPER_MARK = "Invented data, to try things out"
DOWNLOADS = (
    *(f"/jobs/{quote('Fennel Row 12, music room')}/{what}.pdf" for what in ("sheet", "customer", "tags")),
    *(f"/tags.pdf?tag=L-0101&tag=R-0101&paper={paper}" for paper in PAPERS),
    "/order/order.pdf?roll_width=12+ft&width_1=10+ft&length_1=11+ft",
)


@pytest.mark.parametrize("demo", [True, False])
def test_every_printed_page_and_label_says_that_it_is_invented_and_no_other_shops_does(path: Path, *, demo: bool) -> None:
    app = create_app(Settings(path, demo=demo, now=lambda: NOW))
    app.test_client_class = Browser
    browser = app.test_client()
    with open_catalogue(path, write=True) as catalogue:
        someone = next(one for one in people.everybody(catalogue) if one.role.covers(Role.WORK))
        link = doors.device_link(catalogue, someone, now=NOW)
        browser.set_cookie("remnants", doors.link_device(catalogue, link, label="test", now=NOW))
    for address in DOWNLOADS:
        with pdfplumber.open(io.BytesIO(browser.get(address).data)) as pdf:
            for page in pdf.pages:
                text = page.extract_text()
                marks = text.count(PAPER_MARK)
                labels = text.count("pile") if address.startswith("/tags") else 1
                assert labels and marks == (labels if demo else 0), address
                for word in page.search(PAPER_MARK):
                    assert word["x1"] < page.width and word["bottom"] < page.height
