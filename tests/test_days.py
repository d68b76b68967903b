"""A day in a sentence is told one way, whatever the machine's language."""

from datetime import UTC, date, datetime

from remnants.days import day_words, moment_words


def test_a_day_and_a_moment_are_told_in_words_and_figures() -> None:
    assert day_words(date(2026, 5, 3)) == "3 May 2026"
    assert day_words(date(2026, 10, 19), year="%y") == "19 Oct 26"
    assert moment_words(datetime(2026, 12, 31, 9, 5, 59, tzinfo=UTC)) == "31 Dec 2026, 09:05 UTC"
    assert [day_words(date(2026, month, 1)).split()[1] for month in (1, 2, 9)] == ["Jan", "Feb", "Sep"]
