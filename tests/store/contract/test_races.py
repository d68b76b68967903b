"""Of many who want the same at the same moment one gets it and the others are told; numbers have no gap and are given once."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from remnants.actions import Catalogue
from remnants.actions.booking import standing_of
from remnants.actions.change_piece import correct_piece, move_piece
from remnants.actions.keep_job import Booked, Holding, cut_job, cut_plan, every_job, hold_job
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.photos import keep_picture
from remnants.actions.show_piece import history_of
from remnants.errors import BadInput, StockChanged
from remnants.ledger import Act
from remnants.store import pieces
from tests.harmed import a_picture, fitted
from tests.stock_values import SIGNED, a_piece, a_stock, a_style
from tests.store.contract.stores import Store, at_once

MANY = 4
STYLES = tuple(a_style(f"Heath {n}", repeat=None, row_mm=None) for n in range(MANY))
UNTIL = SIGNED.at.date() + timedelta(days=7)
WHO = ("Ana", "Bo", "Cem", "Dov")


@pytest.fixture
def shop(store: Store) -> Any:
    """Where a catalogue is with one piece of each of four styles."""
    at = store.new()
    with store.opened(at) as catalogue:
        log_pieces(
            catalogue,
            a_stock(*(a_piece(f"R-{n}", 60, 90, style=f"Heath {n}") for n in range(MANY)), styles=STYLES),
            signed=SIGNED,
        )
    return at


def all_is_well(store: Store, at: Any) -> None:
    with store.opened(at, write=False) as catalogue:
        assert verify(catalogue).faults == ()
        numbers = [number for (number,) in catalogue.execute("SELECT number FROM entry ORDER BY number").fetchall()]
        assert numbers == list(range(1, len(numbers) + 1)), "entries are numbered without a gap"


def the_one(answers: list[Any], kind: type[Any]) -> tuple[Any, list[Any]]:
    """The one answer of this kind, and the refusals beside it."""
    (won,) = [answer for answer in answers if isinstance(answer, kind)]
    return won, [answer for answer in answers if answer is not won]


def planned(store: Store, at: Any, who: str, style: str) -> Callable[[Catalogue, bool], Any]:
    """Fitted before the race, so that all plans are made of the same stock."""
    with store.opened(at, write=False) as catalogue:
        plan = fitted(catalogue, f"House of {who}", 12, 12, style)
    signed = replace(SIGNED, who=who)
    return lambda own, cut: cut_plan(own, plan, signed=signed) if cut else hold_job(own, plan, until=UNTIL, signed=signed)


@pytest.mark.parametrize("cut", [False, True])
def test_of_many_who_want_one_piece_one_has_it_and_the_others_hear_who(store: Store, shop: Any, *, cut: bool) -> None:
    wanting = [planned(store, shop, who, "Heath 0") for who in WHO]
    answers = at_once(store, shop, *(lambda own, want=want: want(own, cut) for want in wanting))
    won, refused = the_one(answers, Booked if cut else Holding)
    assert all(isinstance(each, StockChanged) and f"R-0 was {'cut' if cut else 'held'} by" in str(each) for each in refused)
    with store.opened(shop, write=False) as catalogue:
        acts = [entry.act for entry in history_of(catalogue, "R-0").entries]
        assert acts == [Act.RECEIVED, Act.CUT if cut else Act.HELD]
        (job,) = every_job(catalogue)
        assert (job.number, job.number) == ("J-0001", won.number)
    all_is_well(store, shop)


def test_jobs_that_come_at_once_are_numbered_one_after_the_other_and_a_refused_one_leaves_no_gap(store: Store, shop: Any) -> None:
    for turn in (0, 1):
        wanting = [planned(store, shop, f"{who} {turn}", style.name) for who, style in zip(WHO, STYLES, strict=True)]
        late = planned(store, shop, f"Late {turn}", "Heath 0")
        answers = at_once(store, shop, *(lambda own, want=want: want(own, True) for want in (*wanting, late)))
        assert sum(isinstance(answer, Booked) for answer in answers) == MANY
        numbers = sorted(answer.number for answer in answers if isinstance(answer, Booked))
        assert numbers == [f"J-{MANY * turn + n:04d}" for n in range(1, MANY + 1)]
        offcuts = [tag for answer in answers if isinstance(answer, Booked) for tag in answer.offcuts]
        assert len(offcuts) == len(set(offcuts))
    all_is_well(store, shop)


def test_a_tag_that_many_log_at_once_is_given_once(store: Store, shop: Any) -> None:
    stocks = [a_stock(a_piece(f"{who}-1"), a_piece("R-77")) for who in WHO]
    answers = at_once(store, shop, *(lambda own, stock=stock: log_pieces(own, stock, signed=SIGNED) for stock in stocks))
    won, refused = the_one(answers, tuple)
    assert all(isinstance(each, BadInput) and "has a piece 'R-77' already" in str(each) for each in refused)
    with store.opened(shop, write=False) as catalogue:
        assert set(pieces.all_tags(catalogue)) == {*won, *(f"R-{n}" for n in range(MANY))}
    all_is_well(store, shop)


def test_of_many_who_correct_what_they_saw_one_does(store: Store, shop: Any) -> None:
    with store.opened(shop, write=False) as catalogue:
        seen = standing_of(catalogue, "R-1")
    told = [replace(seen.piece, lot=f"lot of {who}") for who in WHO]
    answers = at_once(
        store, shop, *(lambda own, piece=piece: correct_piece(own, piece, expected=seen.version, signed=SIGNED) for piece in told)
    )
    _, refused = the_one(answers, str)
    assert all(isinstance(each, BadInput) and "look at it anew" in str(each) for each in refused)
    with store.opened(shop, write=False) as catalogue:
        assert standing_of(catalogue, "R-1").piece in told
    all_is_well(store, shop)


def test_a_request_that_is_sent_many_times_at_once_is_done_once(store: Store, shop: Any) -> None:
    want = planned(store, shop, "Ana", "Heath 2")
    at_once(store, shop, lambda own: want(own, False))
    cuts = [lambda own: cut_job(own, "House of Ana", signed=SIGNED, key="once")] * MANY
    answers = at_once(store, shop, *cuts)
    assert answers == [answers[0]] * MANY and isinstance(answers[0], Booked)
    with store.opened(shop, write=False) as catalogue:
        assert [entry.act for entry in history_of(catalogue, "R-2").entries] == [Act.RECEIVED, Act.HELD, Act.CUT]
    all_is_well(store, shop)


def test_what_many_do_to_different_pieces_at_once_is_all_there(store: Store, shop: Any) -> None:
    def busy(own: Catalogue, who: str, number: int) -> list[int]:
        taken = []
        for turn in range(5):
            move_piece(own, f"R-{number}", f"Bay {who} {turn}", signed=replace(SIGNED, who=who))
            with own.atomic():
                taken.append(keep_picture(own, f"R-{number}", a_picture(8, 6), SIGNED))
        return taken

    answers = at_once(store, shop, *(lambda own, who=who, n=n: busy(own, who, n) for n, who in enumerate(WHO)))
    photos = [number for answer in answers for number in answer]
    assert sorted(photos) == list(range(1, 5 * MANY + 1)), "photographs are numbered without a gap"
    with store.opened(shop, write=False) as catalogue:
        assert [standing_of(catalogue, f"R-{n}").piece.place for n in range(MANY)] == [f"Bay {who} 4" for who in WHO]
    all_is_well(store, shop)
