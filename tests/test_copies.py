"""When a copy is due and which copies are kept."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remnants.errors import BadInput
from remnants.model.copies import Copy, Keep, kept, next_due, read_every, read_keep

NOON = datetime(2031, 5, 3, 12, tzinfo=UTC)  # a Saturday
DAY, HOUR = timedelta(days=1), timedelta(hours=1)

moments = st.integers(0, 1200 * 24).map(lambda hours: NOON - timedelta(hours=hours))
shelves = st.lists(st.builds(Copy, moments, st.integers(0, 99).map("copy-{}.db".format), st.booleans()), max_size=60, unique=True)
rules = st.builds(Keep, st.integers(0, 9), st.integers(0, 9), st.integers(0, 14))


def daily(days: int) -> list[Copy]:
    return [Copy(NOON - n * DAY, f"{n}.db") for n in range(days)]


def ages(copies: tuple[Copy, ...]) -> list[int]:
    return sorted((NOON - copy.at).days for copy in copies)


def test_a_week_of_days_a_month_of_weeks_and_a_year_of_months_are_kept() -> None:
    left = ages(kept(daily(500), Keep(7, 4, 12)))
    assert left[:7] == [0, 1, 2, 3, 4, 5, 6]
    # Sundays that end a week: 27, 20 and 13 April are 6, 13 and 20 days back; then the last days of the months from April on
    assert left[7:] == [13, 20, 33, 64, 92, 123, 154, 184, 215, 245, 276, 307, 337][: len(left) - 7]
    assert len(left) <= 23


def test_of_several_copies_on_a_day_the_last_is_kept() -> None:
    copies = [Copy(NOON - n * HOUR, f"{n}.db") for n in range(30)]  # 12 h, 11 h ... back to 6 in the morning of the day before
    assert [copy.file for copy in kept(copies, Keep(days=2))] == ["13.db", "0.db"]


def test_days_without_a_copy_cost_nothing() -> None:
    copies = [Copy(NOON - n * 40 * DAY, f"{n}.db") for n in range(10)]
    assert len(kept(copies, Keep(days=7))) == 7


@given(shelves, rules)
def test_the_newest_sound_copy_is_never_dropped_and_never_more_are_kept_than_said(copies: list[Copy], keep: Keep) -> None:
    left = kept(copies, keep)
    sound = [copy for copy in copies if copy.sound]
    assert set(left) <= set(copies)
    if not sound:
        assert set(left) == set(copies)
        return
    assert max(sound) in left
    assert len(left) <= keep.most
    assert all(copy.sound for copy in left)


@given(shelves, rules, st.integers(0, 90))
def test_what_is_dropped_stays_dropped_and_what_comes_later_changes_nothing_of_it(
    copies: list[Copy], keep: Keep, later: int
) -> None:
    left = kept(copies, keep)
    assert kept(left, keep) == left
    newer = Copy(NOON + later * DAY, "newer.db")
    assert set(kept([*left, newer], keep)) == set(kept([*copies, newer], keep)) or not any(copy.sound for copy in copies)


def test_a_copy_is_due_when_the_last_is_old_enough_or_nearly() -> None:
    assert next_due(None, DAY, NOON) == NOON
    assert next_due(NOON - DAY, DAY, NOON) == NOON
    assert next_due(NOON - DAY + timedelta(minutes=20), DAY, NOON) == NOON  # started at the same hour, a little slower yesterday
    assert next_due(NOON - 20 * HOUR, DAY, NOON) == NOON + 4 * HOUR
    assert next_due(NOON + 9 * DAY, DAY, NOON) == NOON  # a clock that was wrong once keeps no copy from being made


@given(st.integers(1, 400), st.integers(0, 10_000))
def test_a_run_at_the_same_time_each_day_makes_a_copy_each_day(late_s: int, start: int) -> None:
    now = NOON + start * HOUR
    assert next_due(now + timedelta(seconds=late_s), DAY, now + DAY) == now + DAY


@pytest.mark.parametrize(("text", "every"), [("1d", DAY), ("12h", 12 * HOUR), ("2w", 14 * DAY), (" 1d ", DAY)])
def test_times_are_read(text: str, every: timedelta) -> None:
    assert read_every(text) == every


@pytest.mark.parametrize("text", ["", "d", "0d", "1", "1m", "-1d", "1.5d", "99w", "9999d", "१d", "1d,1w"])
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match=r"--every: .* such as 12h, 1d or 1w"):
        read_every(text)


def test_what_to_keep_is_read() -> None:
    assert read_keep("7d,4w,12m") == Keep(7, 4, 12)
    assert read_keep("12m, 7d") == Keep(days=7, months=12)


@pytest.mark.parametrize("text", ["", "7", "7d,", "0d", "7d,7d", "7y", "7d;4w", "99999d"])
def test_what_tells_nothing_to_keep_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match=r"--keep: .* such as 7d,4w,12m"):
        read_keep(text)
