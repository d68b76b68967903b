"""What to clear out: why each piece is listed, and what one does about it is one entry with its undo on the spot."""

import re
from datetime import date, timedelta

import pytest
from werkzeug.test import TestResponse

from remnants.actions import open_catalogue
from remnants.actions.booking import book, standing_of
from remnants.actions.clear_out import to_clear_out
from remnants.actions.clear_together import discard_alike, move_alike, offer_alike
from remnants.actions.log_pieces import log_pieces
from remnants.errors import BadInput, NotAllowed
from remnants.ledger import Counted, Held, Stage, Standing
from remnants.model.money import Money
from remnants.store import ledger
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.web.conftest import Browser, House


@pytest.fixture
def small(house: House) -> House:
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        log_pieces(catalogue, a_stock(a_piece("R-91", 5, 60, cost=Money(950, "EUR"))), signed=SIGNED)
    return house


def stands(house: House) -> Standing:
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        return standing_of(catalogue, "R-91")


def does(house: House, browser: Browser, what: str, **told: str) -> TestResponse:
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        before = len(ledger.entries_of(catalogue, "R-91"))
    answer = browser.post(what, data=told | {"seen": str(stands(house).version), "key": f"{what} {told}"})
    assert answer.status_code == 303, answer.text
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert len(ledger.entries_of(catalogue, "R-91")) == before + 1
    return browser.get(answer.headers["Location"])


def undone(house: House, browser: Browser) -> None:
    browser.post("/pieces/R-91/undo", data={"seen": str(stands(house).version)})


def test_a_small_piece_is_listed_with_why_and_its_cost_for_managers_alone(small: House) -> None:
    for name, costs in (("Maud", True), ("Wim", False)):
        page = small.browser(name).get("/clear-out").text
        assert "R-91" in page and "too small" in page and ("9.50 EUR" in page) is costs
        assert 'href="/clear-out"' in small.browser(name).get("/stock").text
        assert len(re.findall(r'id="([^"]+)"', page)) == len(set(re.findall(r'id="([^"]+)"', page)))
    assert small.browser("Lou").get("/clear-out").status_code == 403


def test_each_action_is_one_entry_that_is_taken_back_on_the_spot(small: House) -> None:
    wim = small.browser("Wim")
    shown = does(small, wim, "/clear-out/R-91/keep", days="90", why="thresholds are cut from it")
    assert stands(small).piece.keep_until == date(2026, 5, 31)  # 90 days from 2026-03-02
    assert "thresholds are cut from it" in shown.text and "Take that back" in shown.text
    page = wim.get("/clear-out").text
    assert "R-91" not in page and "1 in store is kept off this list" in page
    undone(small, wim)
    assert stands(small).piece.keep_until is None and "R-91" in wim.get("/clear-out").text
    shown = does(small, wim, "/clear-out/R-91/offer", price="40 eur")
    assert stands(small).piece.offered_at == Money(4000, "EUR") and "40.00 EUR" in shown.text
    assert "offered at" in wim.get("/clear-out").text and stands(small).piece.cost == Money(950, "EUR")
    undone(small, wim)
    assert stands(small).piece.offered_at is None
    does(small, wim, "/pieces/R-91/discard", why="too narrow for anything")
    assert stands(small).stage is Stage.DISCARDED and "R-91" not in wim.get("/clear-out").text
    undone(small, wim)
    assert "R-91" in wim.get("/clear-out").text


def test_it_comes_up_again_after_its_day(small: House, clock: object) -> None:
    wim = small.browser("Wim")
    does(small, wim, "/clear-out/R-91/keep", days="2", why="a job is coming")
    clock.wait(days=1)  # type: ignore[attr-defined]
    assert "R-91" not in wim.get("/clear-out").text
    clock.wait(days=1)  # type: ignore[attr-defined]
    assert "R-91" in wim.get("/clear-out").text


@pytest.mark.parametrize(
    ("what", "told", "said"),
    [
        ("keep", {"days": "0", "why": "so"}, "give 1 to 730"),
        ("keep", {"days": "many", "why": "so"}, "say for how many days"),
        ("keep", {"days": "9", "why": " "}, "say why it is kept"),
        ("offer", {"price": "cheap"}, "is no sum"),
        ("keep", {"days": "9", "why": "so", "seen": "1"}, "since you looked at it"),
    ],
)
def test_what_is_no_answer_is_refused_and_changes_nothing(small: House, what: str, told: dict[str, str], said: str) -> None:
    wim = small.browser("Wim")
    if "seen" in told:
        does(small, wim, "/clear-out/R-91/offer", price="40 EUR")
        told = told | {"seen": str(stands(small).version - 1)}
    before = stands(small)
    answer = wim.post(f"/clear-out/R-91/{what}", data=told)
    assert answer.status_code >= 400 and said in answer.text
    assert stands(small) == before


@pytest.fixture
def strips(small: House) -> House:
    """Five strips of a colour beside the one that is there, and a small piece of another colour."""
    with open_catalogue(small.settings.catalogue, write=True) as catalogue:
        made = [a_piece(f"S-{number}", 70, 8 + number / 2, cost=Money(100, "EUR")) for number in range(1, 6)]
        log_pieces(catalogue, a_stock(*made, a_piece("S-9", 9, 9, colour="Slate")), signed=SIGNED)
    return small


ALL = [f"S-{number}" for number in range(1, 6)]


def stages(house: House) -> list[tuple[Stage, str, Money | None, date | None]]:
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        found = [standing_of(catalogue, tag) for tag in [*ALL, "R-91"]]
    return [(each.stage, each.piece.place, each.piece.offered_at, each.piece.keep_until) for each in found]


def named(page: str) -> list[str]:
    """What the line of all alike sends: each tag with its version, as the first of its forms has it."""
    form = page.split('action="/clear-alike/discard"', 1)[1].split("</form>", 1)[0]
    return re.findall(r'name="of" value="([^"]+)"', form)


def test_small_pieces_of_a_style_and_colour_are_one_line_that_can_be_opened(strips: House) -> None:
    for name, costs in (("Maud", True), ("Wim", False)):
        page = strips.browser(name).get("/clear-out").text
        assert "6 alike, too small" in page and page.count("See all 6") == 1 and "Discard <span" in page, "Slate is by itself"
        assert all(page.count(f'href="/pieces/{tag}"') == 1 for tag in [*ALL, "R-91", "S-9"])
        assert ('cost <span class="number">14.50 EUR' in page) is costs
        assert len(named(page)) == 6


@pytest.mark.parametrize(
    ("what", "told", "after"),
    [
        ("discard", {"why": "too narrow"}, (Stage.DISCARDED, "Bay 3", None, None)),
        ("offer", {"price": "2 eur"}, (Stage.STOCKED, "Bay 3", Money(200, "EUR"), None)),
        ("move", {"place": "scrap box"}, (Stage.STOCKED, "scrap box", None, None)),
        ("keep", {"days": "90", "why": "thresholds"}, (Stage.STOCKED, "Bay 3", None, date(2026, 5, 31))),
    ],
)
def test_one_action_for_all_is_one_booking_that_is_taken_back_on_the_spot(
    strips: House, what: str, told: dict[str, str], after: tuple[object, ...]
) -> None:
    wim, before = strips.browser("Wim"), stages(strips)
    sent = {"of": named(wim.get("/clear-out").text), "key": what, **told}
    answer = wim.post(f"/clear-alike/{what}", data=sent)
    assert answer.status_code == 303, answer.text
    assert wim.post(f"/clear-alike/{what}", data=sent).status_code == 303, "sent twice it is done once"
    assert stages(strips) == [after] * 6
    with open_catalogue(strips.settings.catalogue, write=False) as catalogue:
        last = [ledger.entries_of(catalogue, tag)[-1] for tag in [*ALL, "R-91"]]
    assert len({entry.booking for entry in last}) == 1
    shown = wim.get(answer.headers["Location"]).text
    assert "6 pieces are" in shown and "Take that back, all 6" in shown
    (address,) = re.findall(r'action="(/pieces/[^"]+/undo-together)"', shown)
    (seen,) = re.findall(r'name="seen" value="(\d+)"><input type="hidden" name="back"', shown)
    assert wim.post(address, data={"seen": seen, "back": "/clear-out"}).headers["Location"] == "/clear-out"
    assert stages(strips) == before


def test_where_something_happened_to_one_of_them_nothing_is_done_to_any(strips: House) -> None:
    wim = strips.browser("Wim")
    sent = named(wim.get("/clear-out").text)
    wim.post("/pieces/S-2/move", data={"place": "Bay 4"})
    before = stages(strips)
    answer = strips.browser("Maud").post("/clear-alike/discard", data={"of": sent})
    assert answer.status_code == 409 and "S-2 was moved by Wim" in answer.text
    assert strips.browser("Maud").post("/clear-alike/discard", data={"of": ["S-1"]}).status_code == 422
    assert strips.browser("Maud").post("/clear-alike/keep", data={"of": sent, "days": "9"}).status_code == 422
    assert strips.browser("Lou").post("/clear-alike/discard", data={"of": sent}).status_code == 403
    assert stages(strips) == before


def test_what_one_piece_would_be_refused_is_refused_of_many(strips: House, monkeypatch: pytest.MonkeyPatch) -> None:
    until = SIGNED.at.date() + timedelta(days=9)
    with open_catalogue(strips.settings.catalogue, write=True) as catalogue:
        book(catalogue, [("S-2", Held("Fir Lane 2", until)), ("S-2", Counted("Bay 3", seen=False))], SIGNED)
        seen = {tag: standing_of(catalogue, tag).version for tag in ALL}
        with pytest.raises(NotAllowed, match="S-2 is missing and held for Fir Lane 2"):
            discard_alike(catalogue, seen, signed=SIGNED)
        with pytest.raises(BadInput, match="holds a character that nobody sees"):
            move_alike(catalogue, seen, "Bay\u200b 4", own="", signed=SIGNED)
        monkeypatch.setattr("remnants.actions.clear_together.MOST_ALIKE", 4)
        with pytest.raises(BadInput, match="5 pieces were named; 4 are taken at once"):
            offer_alike(catalogue, seen, "2 EUR", signed=SIGNED)
        assert {tag: standing_of(catalogue, tag).version for tag in ALL} == seen


def test_a_page_has_no_more_pieces_than_weigh_300_kilobytes_whatever_lines_they_stand_in(
    strips: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_catalogue(strips.settings.catalogue, write=False) as catalogue:
        every = to_clear_out(catalogue, now=strips.settings.now(), most=60)
        monkeypatch.setattr("remnants.actions.clear_out.MOST_PIECES", len(every.listed) - 1)
        fewer = to_clear_out(catalogue, now=strips.settings.now(), most=60)
    assert fewer.lines == every.lines[:-1] and fewer.more and not every.more
    assert "more come up once they are seen to" in strips.browser("Wim").get("/clear-out").text


def test_what_was_done_to_many_is_undone_for_all_from_the_dock_too(strips: House) -> None:
    wim = strips.browser("Wim")
    wim.post("/clear-alike/discard", data={"of": named(wim.get("/clear-out").text)})
    page = wim.get("/dock/move").text
    (address,) = re.findall(r'action="(/pieces/[^"]+/undo-together)"', page)
    (seen,) = re.findall(r'name="seen" value="(\d+)"', page.split(address, 1)[1])[:1]
    wim.post("/pieces/S-2/undo", data={})
    refused = wim.post(address, data={"seen": seen})
    assert refused.status_code == 409 and "S-2 was" in refused.text
    assert [stage for stage, *_ in stages(strips)].count(Stage.DISCARDED) == 5, "all or none"
