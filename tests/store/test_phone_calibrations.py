"""What is known of a phone's lens is kept once a lens, replaced, taken away, and proved."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.keep_safe import verify
from remnants.store import phone_calibrations
from tests.photo.phones import A_LENS, a_calibration
from tests.stock_values import SIGNED


@pytest.fixture
def catalogue(tmp_path: Path) -> Iterator[Catalogue]:
    with open_catalogue(tmp_path / "stock.db", write=True) as opened:
        yield opened


def test_one_is_kept_of_a_lens_and_read_back_to_the_last_digit(catalogue: Catalogue) -> None:
    other = a_calibration(replace(A_LENS, focal_mm=1.9))
    with catalogue.atomic():
        first = phone_calibrations.put(catalogue, a_calibration(), SIGNED)
        second = phone_calibrations.put(catalogue, other, SIGNED)
        again = phone_calibrations.put(catalogue, replace(a_calibration(), figures=(-0.1, 1 / 3, 0.0, 0.0, 0.0)), SIGNED)
    kept = phone_calibrations.every_calibration(catalogue)
    assert (first, second, again) == (1, 2, 3)
    assert [(each.number, each.who, each.at) for each in kept] == [(2, SIGNED.who, SIGNED.at), (3, SIGNED.who, SIGNED.at)]
    assert kept[0].found == other and kept[1].found.figures[1] == 1 / 3
    assert verify(catalogue).faults == ()


def test_it_can_be_taken_away_once(catalogue: Catalogue) -> None:
    with catalogue.atomic():
        number = phone_calibrations.put(catalogue, a_calibration(), SIGNED)
        assert phone_calibrations.drop(catalogue, number) and not phone_calibrations.drop(catalogue, number)
    assert phone_calibrations.every_calibration(catalogue) == ()


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ("covariance = '[[1, 0], [0, 1]]'", "a lens has a covariance of 5 x 5"),
        ("figures = '{}'", "a lens has 5 figures"),
        ("figures = '[1, 2, \"x\", 4, 5]'", "can't be read; take it away"),
    ],
)
def test_the_proof_tells_one_by_which_bars_would_lie(catalogue: Catalogue, change: str, told: str) -> None:
    with catalogue.atomic():
        phone_calibrations.put(catalogue, a_calibration(), SIGNED)
        catalogue.execute(f"UPDATE phone_calibration SET {change}")
    (fault,) = verify(catalogue).faults
    assert fault.where == "calibration 1" and told in fault.what
