"""Stock over time and reuse, by a ledger worked by hand."""

from datetime import date

from remnants.ledger.over_time import CutSum, Flow, Level, Reuse, Step, StoreSum, levels, periods, reuse, step_for

M2 = 1e6
JAN, FEB, MAR = date(2031, 1, 1), date(2031, 2, 1), date(2031, 3, 1)


def test_levels_add_up_what_came_and_went() -> None:
    """3 pieces of 10 m² come in in January. In March 2 m² are cut, with an offcut, and a piece of 4 m² is discarded."""
    sums = (
        StoreSum(JAN, "Velder Loop", Flow.RECEIVED, 3, 10 * M2),
        StoreSum(MAR, "Velder Loop", Flow.CUT, 1, -2 * M2),
        StoreSum(MAR, "Harrow Twist", Flow.DISCARDED, -1, -4 * M2),
    )
    assert levels(sums, (JAN, FEB, MAR)) == (
        Level(JAN, 3, 10 * M2, 10 * M2, 0, 0, 0),
        Level(FEB, 3, 10 * M2, 0, 0, 0, 0),
        Level(MAR, 3, 4 * M2, 0, -2 * M2, -4 * M2, 0),
    )


def test_reuse_saves_the_parts_and_not_their_waste() -> None:
    """Two cuts of 1.5 m² together out of the store, one of 0.5 m² out of a closet's carpet: 2 m² saved, whatever was wasted."""
    sums = (CutSum(JAN, "Velder Loop", True, 2, 1.5 * M2, 0.25 * M2), CutSum(MAR, "Harrow Twist", False, 1, 0.5 * M2, 0.1 * M2))
    assert reuse(sums) == Reuse(3, 2 * M2, 1.5 * M2, 0.35 * M2)
    assert reuse(()) == Reuse()


def test_periods_begin_on_monday_or_on_a_first_and_leave_none_out() -> None:
    assert periods(date(2031, 1, 1), date(2031, 1, 13), Step.WEEK) == (date(2030, 12, 30), date(2031, 1, 6), date(2031, 1, 13))
    assert periods(date(2030, 11, 30), date(2031, 1, 1), Step.MONTH) == (date(2030, 11, 1), date(2030, 12, 1), JAN)
    assert periods(date(2029, 7, 1), date(2031, 1, 1), Step.YEAR) == tuple(date(year, 1, 1) for year in (2029, 2030, 2031))
    assert [step_for(JAN, last) for last in (MAR, date(2032, 1, 1), date(2041, 1, 1))] == [Step.WEEK, Step.MONTH, Step.YEAR]
