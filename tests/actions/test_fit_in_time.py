"""A job fitted for somebody who waits: within its seconds, marked where they were over, with its donors alone."""

import itertools
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions import fit_job as fit_job_module
from remnants.actions.fit_in_time import donors_alone, fit_in_time
from remnants.actions.fit_job import fit_job
from remnants.actions.log_pieces import log_pieces
from remnants.actions.ways_beside import ways_beside
from remnants.exchange import read_stock
from remnants.model import Job, Patch, Wanted, Way
from remnants.model.patch import Finish
from tests.stock_values import SIGNED
from tests.web.stock import STOCK

TODAY = SIGNED.at.date()
RING = ((0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0))
JOB = Job("x", tuple(Patch(f"{n}", RING, 0.0, (Finish.WALL,) * 4, Wanted(style="Harrow Twist")) for n in range(3)))


@pytest.fixture
def catalogue(tmp_path: Path) -> Iterator[Catalogue]:
    with open_catalogue(tmp_path / "stock.db", write=True) as opened:
        log_pieces(opened, read_stock(STOCK), signed=SIGNED)
        yield opened


def test_in_time_it_is_the_plan_that_everybody_gets(catalogue: Catalogue) -> None:
    assert fit_in_time(catalogue, JOB, today=TODAY, seconds=3600) == fit_job(catalogue, JOB, today=TODAY)


def test_where_the_time_is_over_the_best_so_far_is_given_and_marked_as_such(catalogue: Catalogue) -> None:
    ticks = itertools.count()
    fitted = fit_in_time(catalogue, JOB, today=TODAY, seconds=2, clock=lambda: float(next(ticks)))
    assert [note for note in fitted.notes if note.startswith("the search ended after 2 seconds with the best found by then")]
    assert len(fitted.plan.patches) == 3


def test_once_the_time_is_over_no_way_beside_it_is_looked_for(catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 90 patches the ways were looked for without an end, until the work was broken off and there was no answer at all."""
    told: list[bool] = []

    def looked_for(*args: object, stop: Callable[[], bool], **more: object) -> tuple[Way, ...]:
        told.append(stop())
        return ways_beside(*args, stop=stop, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(fit_job_module, "ways_beside", looked_for)
    ticks = itertools.count()
    fitted = fit_in_time(catalogue, JOB, today=TODAY, seconds=2, ways=True, clock=lambda: float(next(ticks)))
    assert told == [True] and len(fitted.ways) == 1 and not fitted.bargains.found
    assert [note for note in fitted.notes if note.startswith("the search ended after 2 seconds")]
    fit_in_time(catalogue, JOB, today=TODAY, seconds=3600, ways=True)
    assert told == [True, False]


def test_its_donors_alone_are_handed_on(catalogue: Catalogue) -> None:
    fitted = fit_in_time(catalogue, JOB, today=TODAY, seconds=3600, ways=True)
    bare = donors_alone(fitted)
    used = {part.piece for way in fitted.ways for patch in way.plan.patches for part in patch.parts}
    assert set(bare.pieces) == used and len(fitted.pieces) > len(used)
    assert set(bare.styles) == {piece.style for piece in bare.pieces.values()}
    assert [bare.taken(number).versions for number in (1, 2)[: len(bare.ways)]] == [
        fitted.taken(number).versions for number in (1, 2)[: len(fitted.ways)]
    ]
