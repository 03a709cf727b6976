"""Free times as dated slots: RFC 5545 rules, exceptions, busy times, and clocks that change.

A slot's day and start are the player's local time. Its length is real minutes, so a slot across a clock
change still holds as many minutes as were promised.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from dateutil.rrule import rrulestr

from journal.errors import BadInput
from journal.records import BusyTime, FreeTime, Match

MATCH_MINUTES = 180
"""How long a match keeps the player, where nobody says so. Common practice, no source."""
SHORTEST = 10
"""What is left of a slot under this many minutes is not worth the walk. Common practice, no source."""
MOST_SLOTS = 2000


@dataclass(frozen=True, slots=True, order=True)
class Slot:
    """A stretch of free time. day, start: local; start and minutes in minutes, start from midnight."""

    day: date
    start: int
    minutes: int
    at_table: bool = True
    partner: bool = False

    def began(self, zone: tzinfo) -> datetime:
        """The start as an aware UTC time."""
        return moment(self.day, self.start, zone)

    def ended(self, zone: tzinfo) -> datetime:
        """The end as an aware UTC time."""
        return self.began(zone) + timedelta(minutes=self.minutes)


def moment(day: date, minute: int, zone: tzinfo) -> datetime:
    """A local day and minute as UTC.

    A time that a clock change skips is taken with the offset before the change, and of a time that comes
    twice the first is meant. Source: RFC 5545 section 3.3.5.
    """
    local = datetime.combine(day, time()) + timedelta(minutes=minute)
    return local.replace(tzinfo=zone, fold=0).astimezone(UTC)


def rule_on(days: Iterable[date]) -> str:
    """The RFC 5545 recurrence of single days."""
    return "RDATE:" + ",".join(f"{day:%Y%m%d}T000000" for day in days)


def days_of(time_of: FreeTime | BusyTime, first: date, last: date) -> list[date]:
    """The local days on which a rule falls, both ends included, without the excepted days.

    Raises: BadInput when the rule is no RFC 5545 recurrence.
    """
    text = time_of.rule
    try:
        rule = rrulestr(
            text if ":" in text else f"RRULE:{text}",
            dtstart=datetime.combine(time_of.first_day, time()),
            forceset=True,
        )
        begin = datetime.combine(max(first, time_of.first_day), time())
        found = rule.xafter(begin, count=MOST_SLOTS, inc=True)
        except_days = set(time_of.except_days) if isinstance(time_of, FreeTime) else set()
        days: list[date] = []
        for each in found:
            if each.date() > last:
                break
            if each.date().isoformat() not in except_days:
                days.append(each.date())
    except (ValueError, TypeError, AttributeError, OverflowError) as error:
        hint = "Say it like: Tue and Thu 19:00, 45 min. Or as RFC 5545: FREQ=WEEKLY;BYDAY=TU,TH."
        kind = "free" if isinstance(time_of, FreeTime) else "busy"
        raise BadInput(f"the {kind} time's rule {text!r} is not understood: {error}", hint) from error
    return days


@dataclass(frozen=True, slots=True)
class Taken:
    """A stretch that is not free, in UTC."""

    begin: datetime
    end: datetime


def taken_times(
    busy: Iterable[BusyTime], matches: Iterable[Match], first: date, last: date, zone: tzinfo
) -> list[Taken]:
    """Everything that blocks: matches with their usual length, and busy times, those of the day after the last too: a
    slot may run past midnight.
    """
    taken: list[Taken] = []
    for match in matches:
        begin = moment(match.day, match.start_minute, zone)
        taken.append(Taken(begin, begin + timedelta(minutes=MATCH_MINUTES)))
    for each in busy:
        spill = timedelta(days=1 + each.minutes // 1440)
        for day in days_of(each, first - spill, last + timedelta(days=1)):
            begin = moment(day, each.start_minute, zone)
            taken.append(Taken(begin, begin + timedelta(minutes=each.minutes)))
    return sorted(taken, key=lambda one: (one.begin, one.end))


def free_slots(
    free: Sequence[FreeTime],
    busy: Sequence[BusyTime],
    matches: Sequence[Match],
    first: date,
    days: int,
    zone: tzinfo,
) -> tuple[Slot, ...]:
    """Every slot from ``first`` for ``days`` days, cut at what blocks it, none overlapping another.

    Of two free times that overlap the earlier start wins and the other keeps its rest. Raises: BadInput.
    """
    last = first + timedelta(days=days - 1)
    wanted = [
        Slot(day, each.start_minute, each.minutes, each.at_table, each.partner)
        for each in free
        for day in days_of(each, first, last)
    ]
    taken = taken_times(busy, matches, first, last, zone)
    slots: list[Slot] = []
    for slot in sorted(wanted, key=lambda one: (one.began(zone), -one.minutes)):
        for piece in _without(slot, taken, zone):
            if piece.minutes >= SHORTEST:
                slots.append(piece)
                taken = sorted(
                    [*taken, Taken(piece.began(zone), piece.ended(zone))],
                    key=lambda one: (one.begin, one.end),
                )
    return tuple(sorted(slots, key=lambda one: one.began(zone)))


def _without(slot: Slot, taken: Sequence[Taken], zone: tzinfo) -> list[Slot]:
    """The slot's free pieces around what is taken; ``taken`` in order of begin."""
    begin, end = slot.began(zone), slot.ended(zone)
    pieces: list[tuple[datetime, datetime]] = []
    at = begin
    for block in taken:
        if block.end <= at or block.begin >= end:
            continue
        if block.begin > at:
            pieces.append((at, block.begin))
        at = max(at, block.end)
    if at < end:
        pieces.append((at, end))
    return [_local(slot, one, two, zone) for one, two in pieces if one < two]


def _local(slot: Slot, begin: datetime, end: datetime, zone: tzinfo) -> Slot:
    minutes = int((end - begin).total_seconds() // 60)
    if begin == slot.began(zone):
        return replace(slot, minutes=minutes)
    here = begin.astimezone(zone)
    return replace(slot, day=here.date(), start=here.hour * 60 + here.minute, minutes=minutes)
