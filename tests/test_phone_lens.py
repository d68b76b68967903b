"""A calibration that can be none is refused; a phone is called by what its pictures tell."""

from dataclasses import replace

import pytest

from remnants.errors import BadInput
from tests.photo.phones import A_LENS, a_calibration


def test_a_phone_is_called_by_its_model_lens_and_pictures() -> None:
    assert A_LENS.words == "Invented Two, lens of 5.4 mm, pictures of 4000 x 3000"
    told = replace(A_LENS, model="Two", focal_mm=0.0).words
    assert told == "Invented Two, lens of 26 mm by 35 mm film, pictures of 4000 x 3000"


@pytest.mark.parametrize(
    ("where", "changes"),
    [
        ("phone", {"lens": replace(A_LENS, make="", model="")}),
        ("phone", {"lens": replace(A_LENS, model="x" * 201)}),
        ("phone", {"lens": replace(A_LENS, focal_mm=0.0, focal_35=0.0)}),
        ("phone", {"lens": replace(A_LENS, across=10, down=20)}),
        ("figures", {"figures": (1.0, 2.0)}),
        ("figures", {"figures": (float("nan"), 0.0, 0.0, 0.0, 0.0)}),
        ("bar", {"bar_mm": 7.1}),
        ("bar", {"photos": 0}),
        ("covariance", {"covariance": ((1.0,),)}),
    ],
)
def test_what_is_no_calibration_is_refused(where: str, changes: dict[str, object]) -> None:
    with pytest.raises(BadInput) as refused:
        replace(a_calibration(), **changes)  # type: ignore[arg-type]
    assert [fault.where for fault in refused.value.faults] == [where]


@pytest.mark.parametrize(("row", "column", "value"), [(0, 0, -1e-6), (0, 0, 0.0), (0, 1, 1e-5), (1, 1, float("inf"))])
def test_a_covariance_is_symmetric_and_of_variances_above_nought(row: int, column: int, value: float) -> None:
    rows = [list(each) for each in a_calibration().covariance]
    rows[row][column] = value
    with pytest.raises(BadInput, match="the same both ways"):
        replace(a_calibration(), covariance=tuple(map(tuple, rows)))


def test_a_covariance_that_tells_less_than_nothing_one_way_is_refused() -> None:
    """Both off the diagonal alike, and larger than the diagonal allows: by hand 0.005 x 0.002 = 1e-5 is the most."""
    rows = [list(each) for each in a_calibration().covariance]
    rows[0][1] = rows[1][0] = 0.99e-5
    assert replace(a_calibration(), covariance=tuple(map(tuple, rows))).covariance[0][1] == 0.99e-5
    rows[0][1] = rows[1][0] = 1.01e-5
    with pytest.raises(BadInput):
        replace(a_calibration(), covariance=tuple(map(tuple, rows)))
