"""Free time and matches in plain words: "four evenings a week, half an hour, match on Saturday".

Whatever is understood is said back in full dates and times; whatever is not is named, never guessed at.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import combinations

from journal.days import clock
from journal.errors import BadInput
from journal.planning.hearing import NAMES, Group, Hearing, MatchWish
from journal.planning.words import WEEKDAYS, next_weekday, tokens

USUAL_START, USUAL_MINUTES = 19 * 60, 45


@dataclass(frozen=True, slots=True)
class FreeWish:
    """One free time: an RFC 5545 rule, start minute and minutes, as in records.FreeTime."""

    rule: str
    first_day: date
    start_minute: int
    minutes: int
    at_table: bool = True
    partner: bool = False
    except_days: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Wishes:
    """What was understood. said: it, in full, line by line. unknown: words that were not understood.

    not_on: days told alone ("not on Thursday"), which are taken out of the free times known already.
    """

    free: tuple[FreeWish, ...]
    matches: tuple[MatchWish, ...]
    said: tuple[str, ...]
    unknown: tuple[str, ...]
    not_on: tuple[date, ...] = ()


def understand(text: str, today: date) -> Wishes:
    """Free times and matches from words. Raises: BadInput when neither a day nor a match was understood."""
    reading = Hearing(today)
    for token in tokens(text[:2000]):
        reading.take(token)
    reading.end_match()
    groups = [group for group in reading.groups if group.named]
    # One length said once holds for every day named.
    lengths = [group.minutes for group in reading.groups if group.minutes is not None]
    starts = [group.start for group in reading.groups if group.start is not None]
    free: list[FreeWish] = []
    for group in groups:
        group.minutes = group.minutes or (lengths[0] if lengths else None)
        if group.start is None and starts:
            group.start = starts[0]
        free.extend(_free(group, reading))
    if not free and not reading.matches and (reading.excepted or reading.not_days):
        days = {*reading.excepted, *(next_weekday(today, day) for day in reading.not_days)}
        said = tuple(f"not free on {_full(day)}" for day in sorted(days))
        return Wishes((), (), said, tuple(reading.unknown), tuple(sorted(days)))
    if not free and not reading.matches:
        hint = (
            "Say it like: Tue and Thu 19:00, 45 min, not on the 14th. Or: four evenings a week, half an hour."
        )
        raise BadInput(f"no free time and no match was understood in {text[:80]!r}", hint)
    said = (*map(say_free, free), *map(say_match, reading.matches))
    return Wishes(tuple(free), tuple(reading.matches), said, tuple(reading.unknown))


def _free(group: Group, reading: Hearing) -> list[FreeWish]:
    start = USUAL_START if group.start is None else group.start
    minutes = USUAL_MINUTES if group.minutes is None else group.minutes
    excepted = tuple(sorted({day.isoformat() for day in reading.excepted}))
    made = []
    days = group.days
    if group.times:
        days = _spread(group.times, reading.not_days | {m.day.weekday() for m in reading.matches}, group.days)
    days = days - reading.not_days
    if days:
        parts = ["FREQ=WEEKLY", *([f"INTERVAL={group.interval}"] if group.interval > 1 else [])]
        parts.append("BYDAY=" + ",".join(WEEKDAYS[day] for day in sorted(days)))
        if reading.until is not None:
            parts.append(f"UNTIL={reading.until:%Y%m%d}T235959")
        first = reading.first
        while first.weekday() not in days:
            first += timedelta(days=1)
        made.append(FreeWish(";".join(parts), first, start, minutes, group.table, group.partner, excepted))
    made += [
        FreeWish("FREQ=DAILY;COUNT=1", day, start, minutes, group.table, group.partner, excepted)
        for day in group.dates
    ]
    return made


def _spread(times: int, avoid: set[int], among: set[int]) -> set[int]:
    """So many weekdays as far apart as they go, not on the days to avoid when there are enough others."""
    pool = sorted(among or set(range(7)))
    open_days = [day for day in pool if day not in avoid]
    pool = open_days if len(open_days) >= times else pool
    times = min(times, len(pool))

    def gaps(days: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(sorted((days[(n + 1) % times] - day) % 7 or 7 for n, day in enumerate(days)))

    choices = [tuple(days) for days in combinations(pool, times)]
    return set(max(choices, key=lambda days: (gaps(tuple(days)), [-day for day in days])))


def say_free(free: FreeWish) -> str:
    """A free time in full."""
    end = clock(free.start_minute + free.minutes)
    where = "" if free.at_table else ", away from a table"
    who = ", with a partner" if free.partner else ""
    if "COUNT=1" in free.rule:
        when = _full(free.first_day)
    else:
        fields = dict(part.split("=", 1) for part in free.rule.split(";"))
        when = " ".join(NAMES[WEEKDAYS.index(day)] for day in fields["BYDAY"].split(","))
        when = f"every second {when}" if "INTERVAL" in fields else f"every {when}"
        if "UNTIL" in fields:
            when += f" until {_full(date.fromisoformat(fields['UNTIL'][:8]))}"
    but = (
        ", but not " + ", ".join(_full(date.fromisoformat(day)) for day in free.except_days)
        if free.except_days
        else ""
    )
    return f"free {when}, {clock(free.start_minute)} to {end} ({free.minutes} min){where}{who}{but}"


def say_match(match: MatchWish) -> str:
    """A match in full."""
    what = "match" if match.important else "friendly"
    usual = " (time not said, taken as usual)" if match.guessed_time else ""
    return f"{what} on {_full(match.day)}, {clock(match.start_minute)}{usual}"


def _full(day: date) -> str:
    return f"{NAMES[day.weekday()]} {day.day} {day:%B %Y}"
