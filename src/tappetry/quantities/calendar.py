"""Days and moments in words; working days: Monday to Friday, the shop adds local holidays to a lead time."""

from __future__ import annotations

from datetime import date, datetime, timedelta

_WEEK = 5


def day(value: date) -> str:
    """A date without doubt about month and day: ``2 March 2026``."""
    return f"{value.day} {value:%B %Y}"


def moment(value: datetime) -> str:
    """A moment in the time of this machine: ``2026-03-02 12:05``."""
    return f"{value.astimezone():%Y-%m-%d %H:%M}"


def working_days(start: date, end: date) -> int:
    """How many working days lie after ``start`` up to and including ``end`` (0 when the end is not later)."""
    if end <= start:
        return 0
    weeks, rest = divmod((end - start).days, 7)
    days = sum((start + timedelta(days=step)).weekday() < _WEEK for step in range(1, rest + 1))
    return weeks * _WEEK + days


def add_working_days(start: date, days: int) -> date:
    """The date that lies a number of working days after ``start``."""
    day = start
    while days > 0:
        day += timedelta(days=1)
        if day.weekday() < _WEEK:
            days -= 1
    return day
