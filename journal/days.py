"""How days and times of day are written, on screens, on paper and at the command line."""

from __future__ import annotations

from datetime import date


def day_words(day: date, today: date | None = None) -> str:
    """ "Sun 10 May"; "today", "yesterday" and "tomorrow" beside a known day, and the year when it is another one."""
    if today is not None:
        near = {0: "today", 1: "yesterday", -1: "tomorrow"}.get((today - day).days)
        if near:
            return near
    return dated(day, today)


def dated(day: date, today: date | None = None) -> str:
    """ "Sun 10 May", with the year when it is another one than today's."""
    shown = f"{day:%a} {day.day} {day:%b}"
    return shown if today is None or today.year == day.year else f"{shown} {day.year}"


def clock(minute: int) -> str:
    """Minutes from midnight as HH:MM; past midnight it wraps."""
    return f"{minute // 60 % 24:02d}:{minute % 60:02d}"
