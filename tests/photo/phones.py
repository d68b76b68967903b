"""Invented phones, and what is known of their lenses."""

from remnants.model.phone_lens import PhoneCalibration, PhoneLens

__all__ = ["A_LENS", "a_calibration"]

A_LENS = PhoneLens("Invented", "Invented Two", 5.4, 26.0, 4000, 3000)


def a_calibration(lens: PhoneLens = A_LENS) -> PhoneCalibration:
    """One as eight photographs give it: the focal length known to 0.5 %, the rest as little as they tell."""
    sds = (0.005, 0.002, 0.002, 0.004, 0.007)
    rows = tuple(tuple(sd * sd if at == other else 0.0 for other in range(5)) for at, sd in enumerate(sds))
    return PhoneCalibration(lens, (-0.29, 0.003, -0.002, 0.01, 0.0), rows, 8, 7.1, 4.8)
