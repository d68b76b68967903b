"""How a day and a moment stand in a sentence, `9 Oct 2026`: on pages and at the terminal alike. Pure.

Tables, files and what programs read have ISO 8601; so has what somebody types.
"""

from datetime import date, datetime

__all__ = ["day_words", "moment_words"]

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_words(day: date, *, year: str = "%Y") -> str:
    """`9 Oct 2026`, whatever the machine's language; `year` says how its year is written (`%y`: `9 Oct 26`)."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.strftime(year)}"


def moment_words(at: datetime) -> str:
    """`9 Oct 2026, 14:20 UTC`, of a time in UTC."""
    return f"{day_words(at)}, {at:%H:%M} UTC"
