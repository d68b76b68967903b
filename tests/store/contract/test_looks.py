"""What is seen of a repair is kept beside what was foretold: by job and sight, the newest of each way, in every store alike."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from remnants.actions import Catalogue
from remnants.actions.customers import forget_customer, put_customer
from remnants.actions.fit_job import fit_job
from remnants.actions.keep_job import cut_job, hold_job
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.look_back import (
    SightLooked,
    how_foretold,
    jobs_cut_from,
    look_back,
    measure_back,
    sights_looked,
    take_look_back,
)
from remnants.actions.show_piece import history_of
from remnants.actions.undo import undo_last
from remnants.errors import BadInput, NotAllowed, NotFound
from remnants.exchange import read_job
from remnants.ledger import Act
from remnants.model import Construction
from remnants.model.customer import Customer
from remnants.model.look import LookBy, LookKind
from remnants.model.tally import Tally
from tests.stock_values import SIGNED, a_piece, a_stock, a_style
from tests.store.contract.stores import Store

STEP = "R-1 0.8 ± 0.3 (graded 0.9 ± 0.3)"


@pytest.fixture(scope="module")
def held(store: Store) -> Any:
    """Where two jobs are held: one patch each of one piece, whose lot nobody told of the room."""
    at = store.new()
    with store.opened(at) as catalogue:
        pieces = [a_piece(f"R-{number}", style=f"Weave {number}", lot="8") for number in (1, 2)]
        log_pieces(
            catalogue,
            a_stock(*pieces, styles=[a_style(f"Weave {n}", repeat=None, construction=Construction.CUT) for n in (1, 2)]),
            signed=SIGNED,
        )
        put_customer(catalogue, Customer("F-1", "Person of F-1"), signed=SIGNED)
        for number, name in enumerate(("Alder Court 7", "Fir Lane 2"), 1):
            hold(catalogue, name, f"Weave {number}")
    return at


@pytest.fixture
def catalogue(store: Store, held: Any) -> Iterator[Catalogue]:
    with store.opened(store.copy(held)) as opened:
        yield opened


def hold(catalogue: Catalogue, name: str, style: str) -> None:
    patch = {"name": "hall", "width": 20, "length": 20, "pile": 0, "edges": "seam"}
    asked = {"unit": "in", "job": name, "customer": "F-1", "style": style, "patches": [patch]}
    hold_job(
        catalogue,
        fit_job(catalogue, read_job(asked), today=SIGNED.at.date()),
        until=SIGNED.at.date() + timedelta(days=9),
        signed=SIGNED,
    )


def cut(catalogue: Catalogue, job: str = "J-0001") -> tuple[SightLooked, ...]:
    cut_job(catalogue, job, signed=SIGNED)
    return sights_looked(catalogue, job)


def tallies(catalogue: Catalogue) -> dict[tuple[LookKind, LookBy], tuple[int, int, int, int]]:
    told = how_foretold(catalogue).tallies
    return {(each.kind, each.by): (each.as_foretold, each.better, each.worse, each.loose) for each in told}


def test_what_is_seen_stands_beside_what_was_foretold_with_who_and_when(catalogue: Catalogue) -> None:
    assert sights_looked(catalogue, "J-0001") == ()
    shade, *seams = cut(catalogue)
    assert (shade.kind, shade.foretold, shade.tags) == (LookKind.SHADE, (0, 3), ("R-1",))
    assert {seam.kind for seam in seams} == {LookKind.FLOOR_SEAM} and {seam.foretold for seam in seams} == {(0, 0), (1, 1)}
    across = next(seam for seam in seams if seam.foretold == (1, 1))
    later = replace(SIGNED, who="Wim", at=SIGNED.at + timedelta(days=1))
    seen = look_back(catalogue, "Alder Court 7", across.number, "Plain", signed=later)
    assert seen.eye and (seen.eye.look.seen, seen.eye.look.word) == ((3, 3), "worse than foretold")
    assert (seen.eye.signed.who, seen.eye.signed.at, seen.eye.signed.job) == ("Wim", later.at, "Alder Court 7")
    assert sights_looked(catalogue, "J-0001")[across.number - 1] == seen
    entry = history_of(catalogue, "R-1").entries[-1]
    assert (entry.act, entry.number, entry.signed) == (Act.LOOKED_AT, seen.eye.number, seen.eye.signed)
    assert verify(catalogue).faults == ()


@pytest.mark.parametrize(
    ("words", "seen", "word"),
    [
        ("hard to find", (0, 0), "better than foretold"),
        ("1", (1, 1), "as foretold"),
        ("as foretold", (1, 1), "as foretold"),
        ("better", (0, 0), "better than foretold"),
        ("Worse  than foretold", (2, 3), "worse than foretold"),
    ],
)
def test_a_grade_is_told_in_its_words_or_by_what_was_foretold(catalogue: Catalogue, words: str, seen: Any, word: str) -> None:
    number = next(each.number for each in cut(catalogue) if each.foretold == (1, 1))
    told = look_back(catalogue, "J-0001", number, words, signed=SIGNED).eye
    assert told and (told.look.seen, told.look.word) == (seen, word)


def test_a_wrong_tap_is_mended_by_another_and_what_was_told_is_taken_back(catalogue: Catalogue) -> None:
    cut(catalogue)
    for words in ("plain", "seen"):
        look_back(catalogue, "J-0001", 1, words, signed=SIGNED)
    assert [each.eye.look.seen for each in sights_looked(catalogue, "J-0001") if each.eye] == [(2, 2)]
    assert take_look_back(catalogue, "J-0001", 1, signed=SIGNED).eye is None
    assert tallies(catalogue) == {}
    with pytest.raises(NotAllowed, match="nothing was told by eye of number 1"):
        take_look_back(catalogue, "J-0001", 1, signed=SIGNED)
    assert [entry.act for entry in history_of(catalogue, "R-1").entries].count(Act.LOOKED_AT) == 3


def test_a_measured_step_is_kept_beside_what_eyes_saw(catalogue: Catalogue) -> None:
    """0.9 ± 0.3 lies from 0.6 to 1.2: step 4-5 of the grey scale throughout (under 1.25), so grade 0."""
    cut(catalogue)
    look_back(catalogue, "J-0001", 1, "seen", signed=SIGNED)
    both = measure_back(catalogue, "J-0001", 1, STEP, signed=SIGNED)
    assert both.eye and both.photograph and both.photograph.look.seen == (0, 0)
    assert both.photograph.look.step == (0.8, 0.3, 0.9, 0.3)
    assert "by photograph: hard to find, ΔE00 0.8 ± 0.3, as foretold" in both.photograph.look.words
    assert tallies(catalogue) == {(LookKind.SHADE, LookBy.EYE): (1, 0, 0, 1), (LookKind.SHADE, LookBy.PHOTOGRAPH): (1, 0, 0, 1)}
    alone = take_look_back(catalogue, "J-0001", 1, by=LookBy.PHOTOGRAPH, signed=SIGNED)
    assert alone.eye and alone.photograph is None


def test_what_is_no_look_is_refused_and_changes_nothing(catalogue: Catalogue) -> None:
    with pytest.raises(NotAllowed, match="is not cut yet"):
        look_back(catalogue, "J-0001", 1, "seen", signed=SIGNED)
    number = next(each.number for each in cut(catalogue) if each.foretold == (0, 0))
    for words in ("better", "4", "-1", "", "nice"):
        with pytest.raises(BadInput, match="is nothing that can be seen of it"):
            look_back(catalogue, "J-0001", number, words, signed=SIGNED)
    for wrong, told in ((99, "99 is none of the things foretold"), (0, "0 is none of the things foretold")):
        with pytest.raises(BadInput, match=told):
            look_back(catalogue, "J-0001", wrong, "seen", signed=SIGNED)
    with pytest.raises(BadInput, match="told of carpet beside the floor"):
        measure_back(catalogue, "J-0001", number, STEP, signed=SIGNED)
    for step in ("2.1", STEP.replace("R-1", "R-2"), f"{STEP}; {STEP.replace('R-1', 'R-2')}"):
        with pytest.raises(BadInput, match=r"no step that was measured|give one step, to a piece"):
            measure_back(catalogue, "J-0001", 1, step, signed=SIGNED)
    with pytest.raises(NotFound):
        look_back(catalogue, "J-0077", 1, "seen", signed=SIGNED)
    assert tallies(catalogue) == {} and verify(catalogue).faults == ()


def test_sent_twice_from_a_phone_it_is_kept_once(catalogue: Catalogue) -> None:
    cut(catalogue)
    for _ in range(2):
        look_back(catalogue, "J-0001", 1, "seen", signed=SIGNED, key="tap-1")
    assert [entry.act for entry in history_of(catalogue, "R-1").entries].count(Act.LOOKED_AT) == 1
    for _ in range(2):
        assert take_look_back(catalogue, "J-0001", 1, signed=SIGNED, key="tap-2").eye is None
    assert [entry.act for entry in history_of(catalogue, "R-1").entries].count(Act.LOOKED_AT) == 2


def test_how_well_is_foretold_is_told_by_kind_with_its_count(catalogue: Catalogue) -> None:
    """Two jobs, each a shade that was foretold from grade to grade, and four seams."""
    for job in ("J-0001", "J-0002"):
        for each in cut(catalogue, job):
            look_back(catalogue, job, each.number, "seen when looked for", signed=SIGNED)
    told = how_foretold(catalogue)
    assert (told.jobs, told.cut_jobs) == (2, 2)
    assert tallies(catalogue) == {
        (LookKind.SHADE, LookBy.EYE): (2, 0, 0, 2),
        (LookKind.FLOOR_SEAM, LookBy.EYE): (4, 0, 4, 0),
    }


def test_a_cut_taken_back_takes_what_was_seen_with_it(catalogue: Catalogue) -> None:
    cut(catalogue)
    look_back(catalogue, "J-0001", 1, "seen", signed=SIGNED)
    undo_last(catalogue, "R-1", signed=SIGNED)
    assert tallies(catalogue) == {} and sights_looked(catalogue, "J-0001") == ()
    assert cut(catalogue)[0].eye is None and tallies(catalogue) == {}
    look_back(catalogue, "J-0001", 1, "plain", signed=SIGNED)
    assert tallies(catalogue) == {(LookKind.SHADE, LookBy.EYE): (1, 0, 0, 1)}
    assert verify(catalogue).faults == ()


def test_a_job_is_found_by_a_piece_it_was_cut_from_though_a_later_cut_was_taken_back(catalogue: Catalogue) -> None:
    cut(catalogue)
    hold(catalogue, "Oak End 3", "Weave 1")
    assert cut(catalogue, "J-0003")[0].tags == ("R-1",)
    assert [kept.number for kept in jobs_cut_from(catalogue, "R-1")] == ["J-0003", "J-0001"]
    undo_last(catalogue, "R-1", signed=SIGNED)
    assert [kept.number for kept in jobs_cut_from(catalogue, "R-1", most=1)] == ["J-0001"]
    assert jobs_cut_from(catalogue, "R-77") == ()


def test_nothing_of_it_names_a_customer_and_it_outlives_their_being_forgotten(catalogue: Catalogue) -> None:
    cut(catalogue)
    look_back(catalogue, "J-0001", 1, "seen", signed=SIGNED)
    forget_customer(catalogue, "F-1", signed=SIGNED)
    (row,) = catalogue.query("SELECT facts FROM entry WHERE act = 'looked at'")
    assert row["facts"] == '{"sight":0,"kind":"shade","foretold":[0,3],"by":"eye","seen":[2,2]}'
    assert tallies(catalogue) == {(LookKind.SHADE, LookBy.EYE): (1, 0, 0, 1)} and verify(catalogue).faults == ()


def test_of_so_many_that_came_as_foretold_it_is_told_what_that_says_of_the_next() -> None:
    """Wilson's interval of 9 of 12, by hand: n + z² = 15.84, middle (9 + 1.92) / 15.84 = 0.689, half of its width
    1.96 * sqrt(12 * 0.75 * 0.25 + 0.96) / 15.84 = 0.222."""
    low, high = Tally(LookKind.SHADE, LookBy.EYE, 9, 2, 1, loose=0).share
    assert (round(low, 2), round(high, 2)) == (0.47, 0.91)
    assert Tally(LookKind.SHADE, LookBy.EYE, 0, 0, 0, loose=0).share == (0.0, 1.0)
    assert Tally(LookKind.SHADE, LookBy.EYE, 5, 0, 0, loose=0).share[1] == 1.0
