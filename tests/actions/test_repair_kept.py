"""A repair as it was drawn, kept with its job: shown for the plan that it shows alone, and erased with its customer."""

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.customer_page import make_link
from remnants.actions.customers import forget_customer, put_customer
from remnants.actions.fit_job import fit_job
from remnants.actions.job_names import Which
from remnants.actions.job_photos import take_job_photo_away
from remnants.actions.keep_job import find_job, hold_job
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.repair_kept import Frame, keep_repair, marks_of, repair_by, repairs_of
from remnants.actions.repair_preview import Preview
from remnants.errors import NotAllowed, NotFound
from remnants.exchange import read_job
from remnants.model import Person, Plan, Role
from remnants.model.customer import Customer
from tests.stock_values import SIGNED, a_piece, a_stock, a_style

FRAME = Frame((60, 40), 0.05, (-100.0, -50.0))
MADE = Preview(np.full((40, 60, 3), 120, np.uint8), FRAME)
SOON = SIGNED.at + timedelta(hours=1)


@pytest.fixture
def catalogue(tmp_path: Path) -> Iterator[Catalogue]:
    """A held job of a customer's."""
    with open_catalogue(tmp_path / "stock.db", write=True) as opened:
        log_pieces(opened, a_stock(a_piece("R-1"), styles=(a_style(repeat=None),)), signed=SIGNED)
        put_customer(opened, Customer("F-1", "Person of F-1"), signed=SIGNED)
        hold(opened, 20)
        yield opened


def hold(catalogue: Catalogue, width: float, which: Which | None = None) -> None:
    patch = {"name": "hall", "width": width, "length": 20, "pile": 0, "edges": "seam"}
    asked = {"unit": "in", "job": "Alder Court 7", "customer": "F-1", "style": "Velder Loop", "patches": [patch]}
    fitted = fit_job(catalogue, read_job(asked), today=SIGNED.at.date())
    hold_job(catalogue, fitted, until=date(2031, 6, 1), signed=SIGNED, which=which or Which())


def plan(catalogue: Catalogue) -> Plan:
    return find_job(catalogue, "J-0001").plan


def kept(catalogue: Catalogue) -> int:
    return keep_repair(catalogue, "J-0001", plan(catalogue), 0, MADE, signed=SIGNED)


def opens(catalogue: Catalogue, secret: str, number: int) -> bool:
    """Whether the customer's link shows it."""
    try:
        return repair_by(catalogue, secret, number, now=SOON).startswith(b"\xff\xd8")
    except NotFound:
        return False


def test_it_is_kept_once_and_its_seams_lie_on_it(catalogue: Catalogue) -> None:
    assert kept(catalogue) == kept(catalogue) == 1
    (there,) = repairs_of(catalogue, 1, plan(catalogue))
    assert (there.number, there.patch, there.frame) == (1, 0, FRAME)
    assert len(marks_of(plan(catalogue), "hall", there.frame)) == len([sight for sight in plan(catalogue).sights if sight.line])
    assert verify(catalogue).faults == ()


def test_planned_anew_the_old_drawing_is_shown_to_no_customer(catalogue: Catalogue) -> None:
    number = kept(catalogue)
    secret, _ = make_link(catalogue, "J-0001", by="Ana", now=SIGNED.at)
    assert opens(catalogue, secret, number) and not opens(catalogue, secret, number + 1) and not opens(catalogue, "x", number)
    hold(catalogue, 24, Which("J-0001"))
    assert repairs_of(catalogue, 1, plan(catalogue)) == () and not opens(catalogue, secret, number)
    assert opens(catalogue, secret, kept(catalogue))


def test_taken_away_or_with_its_customer_forgotten_it_is_gone_and_no_other_is_kept(catalogue: Catalogue) -> None:
    secret, _ = make_link(catalogue, "J-0001", by="Ana", now=SIGNED.at)
    first = kept(catalogue)
    take_job_photo_away(catalogue, first, by=Person("Ana", Role.WORK), signed=SIGNED)
    assert not opens(catalogue, secret, first)
    second = kept(catalogue)
    assert second != first and opens(catalogue, secret, second)
    assert forget_customer(catalogue, "F-1", signed=SIGNED).photographs == 1
    assert repairs_of(catalogue, 1, plan(catalogue)) == () and not opens(catalogue, secret, second)
    with pytest.raises(NotAllowed, match="was forgotten"):
        kept(catalogue)
    assert verify(catalogue).faults == ()
