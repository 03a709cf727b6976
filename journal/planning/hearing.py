"""Walks the pieces of a sentence and keeps who belongs to whom: days to times, times to matches, dates to
exceptions.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from journal.planning.words import (
    PARTS,
    Token,
    clock_minute,
    month,
    next_date,
    next_weekday,
    number,
    weekday,
)

NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
USUAL_MATCH = 19 * 60


@dataclass(frozen=True, slots=True)
class MatchWish:
    """One match."""

    day: date
    start_minute: int
    important: bool = True
    guessed_time: bool = False


@dataclass
class Group:
    days: set[int] = field(default_factory=set)
    dates: list[date] = field(default_factory=list)
    times: int = 0
    start: int | None = None
    minutes: int | None = None
    interval: int = 1
    table: bool = True
    partner: bool = False

    @property
    def named(self) -> bool:
        return bool(self.days or self.dates or self.times)


class Hearing:
    """Walks the pieces once; ``mode`` tells what a day or date belongs to."""

    def __init__(self, today: date) -> None:
        self.today = today
        self.groups: list[Group] = [Group()]
        self.mode = "free"
        self.match: MatchWish | None = None
        self.important = True
        self.matches: list[MatchWish] = []
        self.excepted: list[date] = []
        self.not_days: set[int] = set()
        self.until: date | None = None
        self.first = today
        self.unknown: list[str] = []

    @property
    def group(self) -> Group:
        return self.groups[-1]

    def take(self, token: Token) -> None:
        """Handle one piece."""
        handler = getattr(self, f"_{token.kind}", None)
        if token.kind == "?":
            self.unknown.append(token.words)
        elif handler is not None:
            handler(token)

    def end_match(self) -> None:
        if self.match is not None:
            self.matches.append(self.match)
            self.match = None

    def _comma(self, _: Token) -> None:
        if self.mode == "match" and self.match is not None:
            self.mode = "after match"
        elif self.mode in ("except", "until", "starting"):
            self.mode = "after " + self.mode

    def _stop(self, _: Token) -> None:
        self.end_match()
        self.mode = "free"
        if self.group.named:
            self.groups.append(Group())

    def _not(self, _: Token) -> None:
        self.end_match()
        self.mode = "except"

    def _until(self, _: Token) -> None:
        self.mode = "until"

    def _starting(self, _: Token) -> None:
        self.mode = "starting"

    def _match(self, token: Token) -> None:
        self.end_match()
        self.important = not any(word in token.words.casefold() for word in ("friendly", "small"))
        self.mode = "match"

    # Dates

    def _a_date(self, found: date | None, words: str) -> None:
        if found is None:
            self.unknown.append(words)
        elif self.mode == "match":
            self.end_match()
            self.match = MatchWish(found, USUAL_MATCH, self.important, True)
        elif self.mode in ("except", "after except"):
            self.excepted.append(found)
        elif self.mode == "until":
            self.until = found
        elif self.mode == "starting":
            self.first = found
        else:
            self._free_again()
            self.group.dates.append(found)

    def _date(self, token: Token) -> None:
        year, mon, day = (int(part or 0) for part in token.parts)
        self._a_date(next_date(self.today, day, mon, year) if 1 <= mon <= 12 else None, token.words)

    def _date_dm(self, token: Token) -> None:
        day, mon, year = token.parts
        self._a_date(
            next_date(self.today, int(day or 0), month(mon or ""), int(year) if year else None), token.words
        )

    def _date_md(self, token: Token) -> None:
        mon, day, year = token.parts
        self._a_date(
            next_date(self.today, int(day or 0), month(mon or ""), int(year) if year else None), token.words
        )

    def _dates_of(self, token: Token) -> None:
        days, mon = token.parts[0] or "", month(token.parts[1] or "")
        for day in re.findall(r"\d+", days):
            self._a_date(next_date(self.today, int(day), mon), token.words)

    def _day_of_month(self, token: Token) -> None:
        self._a_date(next_date(self.today, int(token.parts[0] or 0)), token.words)

    def _next_day(self, token: Token) -> None:
        ahead = 1 if token.words.casefold().startswith("next") else 0
        self._a_date(next_weekday(self.today, weekday(token.parts[0] or ""), weeks=ahead), token.words)

    def _today(self, token: Token) -> None:
        self._a_date(self.today + timedelta(days=token.words.casefold() == "tomorrow"), token.words)

    # Weekdays

    def _free_again(self) -> None:
        """A day in the free mode begins a new group once the last one has its time."""
        self.end_match()
        self.mode = "free"
        if self.group.named and (self.group.start is not None or self.group.times):
            self.groups.append(Group())

    def _some_days(self, days: set[int]) -> None:
        if self.mode == "except":
            self.not_days |= days
        elif self.mode in ("match", "until", "starting"):
            for day in sorted(days):
                self._a_date(next_weekday(self.today, day), NAMES[day])
        else:
            self._free_again()
            self.group.days |= days

    def _day(self, token: Token) -> None:
        self._some_days({weekday(token.parts[0] or "")})
        if token.parts[1]:
            self._at(PARTS[token.parts[1].casefold().rstrip("s")])

    def _span(self, token: Token) -> None:
        first, last = (weekday(part or "") for part in token.parts)
        self._some_days({(first + n) % 7 for n in range((last - first) % 7 + 1)})

    def _every_other(self, token: Token) -> None:
        self._some_days({weekday(token.parts[0] or "")})
        self.group.interval = 2

    def _every_day(self, _: Token) -> None:
        self._some_days(set(range(7)))

    def _weekdays(self, _: Token) -> None:
        self._some_days(set(range(5)))

    def _weekend(self, _: Token) -> None:
        self._some_days({5, 6})

    def _part_day(self, token: Token) -> None:
        self._some_days(set(range(7)))
        self._at(PARTS[(token.parts[0] or "").casefold().rstrip("s")])

    def _times(self, token: Token) -> None:
        self._free_again()
        self.group.times = int(number(token.parts[0] or "1"))
        part = (token.parts[1] or "").casefold().rstrip("s")
        if part in PARTS:
            self._at(PARTS[part])

    # Clock and length

    def _at(self, minute: int | None, words: str = "") -> None:
        if minute is None:
            self.unknown.append(words)
        elif self.match is not None and self.mode in ("match", "after match"):
            self.match = replace(self.match, start_minute=minute, guessed_time=False)
        else:
            self.group.start = minute

    def _clock(self, token: Token) -> None:
        hour, minute, half = token.parts
        self._at(clock_minute(hour or "", minute, half), token.words)

    _clock_ap = _clock
    _clock_at = _clock

    def _half_past(self, token: Token) -> None:
        what, way, hour, half = token.parts
        base = clock_minute(hour or "", None, half)
        step = 30 if what == "half" else 15
        self._at(None if base is None else (base + (step if way == "past" else -step)) % 1440, token.words)

    def _part(self, token: Token) -> None:
        self._at(PARTS[(token.parts[0] or "").casefold().rstrip("s")])

    def _range(self, token: Token) -> None:
        h1, m1, half1, h2, m2, half2 = token.parts[:6]
        begin, end = clock_minute(h1 or "", m1, half1 or half2), clock_minute(h2 or "", m2, half2)
        if begin is None or end is None:
            self.unknown.append(token.words)
            return
        self._at(begin)
        self._long((end - begin) % 1440)

    def _long(self, minutes: float) -> None:
        if 5 <= minutes <= 720:
            self.group.minutes = round(minutes)
        else:
            self.unknown.append(f"{minutes:g} minutes")

    def _minutes(self, token: Token) -> None:
        words = (token.parts[0] or "").casefold()
        known = {
            "three quarters of an hour": 45,
            "quarter of an hour": 15,
            "an hour and a half": 90,
            "an hour and a quarter": 75,
        }
        self._long(known.get(words, 30))

    def _hours_half(self, token: Token) -> None:
        self._long(60 * number(token.parts[0] or "1") + 30)

    def _hour_minute(self, token: Token) -> None:
        self._long(60 * int(token.parts[0] or 0) + int(token.parts[1] or 0))

    def _length(self, token: Token) -> None:
        amount = number(token.parts[0] or "1")
        self._long(amount * (60 if (token.parts[1] or "").startswith("h") else 1))

    def _weeks(self, token: Token) -> None:
        self.until = self.first + timedelta(days=7 * int(number(token.parts[0] or "1")) - 1)

    def _no_table(self, _: Token) -> None:
        self.group.table = False

    def _partner(self, _: Token) -> None:
        self.group.partner = True
