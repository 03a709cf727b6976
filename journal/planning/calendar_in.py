"""Read somebody's calendar file: matches, and the times that are taken.

Recurrences are followed for a good year from today, in the entry's own time zone, and come out as days and
minutes in the player's. Source of the rules: RFC 5545 sections 3.6.1 and 3.8.5.
"""

from __future__ import annotations

import hashlib
import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from dateutil.rrule import rruleset, rrulestr

from journal.days import clock
from journal.errors import BadInput

AHEAD = timedelta(days=400)
MOST_BYTES, MOST_TIMES = 16_000_000, 2000
_MATCH = re.compile(
    r"\b(match(?:es)?|league|tournament|fixture|cup|championship|play-?offs?)\b", re.IGNORECASE
)
_TOO_OFTEN = ("SECONDLY", "MINUTELY", "HOURLY")


@dataclass(frozen=True, slots=True)
class ReadEvent:
    """One entry's times of one length. id: stable for its UID, start and length. days, start: local."""

    id: str
    title: str
    days: tuple[date, ...]
    start: int
    minutes: int
    match: bool


@dataclass(frozen=True, slots=True)
class ReadCalendar:
    """What a file holds. known: the id beginnings of every UID in it, so that older readings can be
    replaced.
    """

    events: tuple[ReadEvent, ...]
    known: tuple[str, ...]
    said: tuple[str, ...]
    skipped: tuple[str, ...]


def read_ics(path: Path, *, today: date, zone_name: str) -> ReadCalendar:
    """Matches and busy times from today on. Raises: BadInput when the file cannot be read or is no
    calendar.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise BadInput(f"{path} is larger than {MOST_BYTES // 1_000_000} MB", "Export fewer years.")
        raw = path.read_bytes()
    except OSError as error:
        raise BadInput(f"{path} cannot be read: {error.strerror}", "Name a calendar file (.ics).") from error
    return parse_ics(raw, today=today, zone_name=zone_name, name=str(path))


def parse_ics(raw: bytes, *, today: date, zone_name: str, name: str = "the calendar") -> ReadCalendar:
    """As read_ics, from the file's bytes."""
    from icalendar import Calendar

    hint = "Export it again as an iCalendar file (.ics)."
    try:
        calendars = Calendar.from_ical(raw, multiple=True)
    except (ValueError, IndexError, KeyError) as error:
        raise BadInput(f"{name} is no calendar file: {error}", hint) from error
    if not calendars or any(each.name != "VCALENDAR" for each in calendars):
        raise BadInput(f"{name} is no calendar file", hint)
    entries: defaultdict[str, list[Any]] = defaultdict(list)
    gone: set[str] = set()
    for calendar in calendars:
        withdrawn = str(calendar.get("method", "")).upper() == "CANCEL"
        for event in calendar.walk("VEVENT"):
            uid = str(event.get("uid") or f"{event.get('summary')}|{event.get('dtstart')}")
            entries[uid].append(event)
            if withdrawn and event.get("recurrence-id") is None:
                gone.add(uid)
    zone = UTC if zone_name == "UTC" else ZoneInfo(zone_name)
    return _all(entries, gone, today, zone)


def _all(entries: dict[str, list[Any]], gone: set[str], today: date, zone: tzinfo) -> ReadCalendar:
    events: list[ReadEvent] = []
    skipped: list[str] = []
    for uid, parts in entries.items():
        if uid in gone:
            continue
        try:
            events.extend(_times(uid, parts, today, zone))
        except KeyError:
            skipped.append(f"{parts[0].get('summary', uid)}: it has no start")
        except (ValueError, TypeError, AttributeError, OverflowError) as error:
            skipped.append(f"{parts[0].get('summary', uid)}: {error}")
    events.sort(key=lambda one: (one.days[0], one.start))
    known = tuple(_prefix(uid) for uid in entries)
    return ReadCalendar(tuple(events), known, tuple(map(_say, events)), tuple(skipped))


def _prefix(uid: str) -> str:
    return "ics" + hashlib.sha256(uid.encode()).hexdigest()[:20]


def _say(event: ReadEvent) -> str:
    times = f" and {len(event.days) - 1} more" if len(event.days) > 1 else ""
    what = "match" if event.match else "busy"
    first = event.days[0]
    when = f"{first:%a} {first.day} {first:%B %Y}{times}, {clock(event.start)}"
    return f"{what}: {event.title}, {when}, {event.minutes} min"


def _times(uid: str, parts: list[Any], today: date, zone: tzinfo) -> Iterator[ReadEvent]:
    """Every time of one UID from today on, those of one start and length together; a match for each of its
    days.
    """
    groups: defaultdict[tuple[str, int, int], set[date]] = defaultdict(set)
    replaced = {
        _utc(part["recurrence-id"].dt, zone) for part in parts if part.get("recurrence-id") is not None
    }
    for part in parts:
        if (
            str(part.get("status", "")).upper() == "CANCELLED"
            or str(part.get("transp", "")).upper() == "TRANSPARENT"
        ):
            continue
        single = part.get("recurrence-id") is not None
        minutes = _minutes(part)
        for begin in _occurrences(part, today, zone, frozenset() if single else replaced):
            local = begin.astimezone(zone)
            if today <= local.date() <= today + AHEAD or local.date() < today < _end_day(local, minutes):
                title = str(part.get("summary") or "untitled")
                groups[title, local.hour * 60 + local.minute, minutes].add(local.date())
    for (title, start, minutes), days in groups.items():
        match = bool(_MATCH.search(title))
        if not match and minutes <= 0:
            continue
        for some in [(day,) for day in sorted(days)] if match else [tuple(sorted(days))]:
            mark = hashlib.sha256(
                f"{start}|{minutes}|{title}|{some[0] if match else ''}".encode()
            ).hexdigest()[:9]
            yield ReadEvent(_prefix(uid) + mark, title, some, start, minutes, match)


def _end_day(local: datetime, minutes: int) -> date:
    return (local + timedelta(minutes=minutes)).date()


def _minutes(part: Any) -> int:
    """Length in whole minutes, rounded up; a whole-day entry without an end lasts one day."""
    start = part["dtstart"].dt
    if part.get("duration") is not None:
        length = part["duration"].dt
    elif part.get("dtend") is not None:
        end = part["dtend"].dt
        length = end - start
    else:
        length = timedelta(0) if isinstance(start, datetime) else timedelta(days=1)
    return int(-(-length.total_seconds() // 60))


def _utc(when: date | datetime, zone: tzinfo) -> datetime:
    """A date or a floating time is meant where the player is."""
    if not isinstance(when, datetime):
        when = datetime.combine(when, time())
    return (when if when.tzinfo is not None else when.replace(tzinfo=zone)).astimezone(UTC)


def _occurrences(
    part: Any, today: date, zone: tzinfo, without: frozenset[datetime] | set[datetime]
) -> Iterator[datetime]:
    """Starts in UTC, from a little before today."""
    start = part["dtstart"].dt
    own_zone = start.tzinfo if isinstance(start, datetime) and start.tzinfo is not None else zone
    wall = start.replace(tzinfo=None) if isinstance(start, datetime) else datetime.combine(start, time())
    excluded = {_utc(each.dt, zone) for each in _listed(part.get("exdate"))} | set(without)
    times = rruleset()
    rule = part.get("rrule")
    if rule is None:
        times.rdate(wall)
    else:
        for each in rule if isinstance(rule, list) else [rule]:
            times.rrule(_rule(each, wall, own_zone))
        times.rdate(wall)
    for each in _listed(part.get("rdate")):
        extra = each.dt[0] if isinstance(each.dt, tuple) else each.dt
        times.rdate(_utc(extra, zone).astimezone(own_zone).replace(tzinfo=None))
    first = datetime.combine(today - timedelta(days=31), time())
    for found in times.xafter(first, count=MOST_TIMES, inc=True):
        if found.date() > today + AHEAD + timedelta(days=2):
            return
        moment = found.replace(tzinfo=own_zone).astimezone(UTC)
        if moment not in excluded:
            yield moment


def _listed(found: Any) -> list[Any]:
    """EXDATE and RDATE come as one list or several."""
    if found is None:
        return []
    return [date for each in (found if isinstance(found, list) else [found]) for date in each.dts]


def _rule(rule: Any, wall: datetime, zone: tzinfo) -> Any:
    """The recurrence in wall-clock time of its zone, so that 19:00 stays 19:00 when clocks change."""
    text = rule.to_ical().decode()
    if any(f"FREQ={often}" in text for often in _TOO_OFTEN):
        raise ValueError("it recurs within a day, which is not followed")
    until = re.search(r"UNTIL=(\d{8}T\d{6})Z", text)
    if until:
        end = datetime.strptime(until[1], "%Y%m%dT%H%M%S").replace(tzinfo=UTC).astimezone(zone)
        text = text.replace(until[0], f"UNTIL={end:%Y%m%dT%H%M%S}")
    elif day := re.search(r"UNTIL=(\d{8})(?!T)", text):
        text = text.replace(day[0], f"UNTIL={day[1]}T235959")
    return rrulestr(text, dtstart=wall)
