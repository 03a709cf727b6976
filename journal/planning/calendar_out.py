"""The plan as an RFC 5545 calendar: one entry a session, with its time zone, a stable UID, updates and
cancellations.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from journal.planning.layout import DAY_OFF, WARM_UP, WIND_DOWN
from journal.planning.slots import MATCH_MINUTES, moment
from journal.records import ItemKind, ItemStatus, PlanItem
from knowledge.rulebase import RuleBase

PRODUCT = "-//plainball//practice plan//EN"
ALARM = timedelta(minutes=30)
PAUSES = {WARM_UP: "warm-up", WIND_DOWN: "wind-down"}


def to_ics(
    items: Iterable[PlanItem],
    rules: RuleBase,
    *,
    zone_name: str,
    now: datetime,
    alarm: timedelta | None = ALARM,
    name: str = "Practice plan",
) -> bytes:
    """The calendar file, with CR LF line ends and lines folded at 75 octets.

    items: open, done and cancelled ones; those with one UID become one entry. alarm: how long before the
    start, None for none. Rest is not written. Sources: RFC 5545 sections 3.1, 3.6.1, 3.6.5, 3.6.6; RFC 7986
    for the name.
    """
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("name", name)
    groups: dict[str, list[PlanItem]] = {}
    for item in items:
        if item.ref != DAY_OFF:
            groups.setdefault(item.uid, []).append(item)
    for uid in sorted(groups, key=lambda each: (groups[each][0].day, groups[each][0].start_minute, each)):
        calendar.add_component(_event(uid, groups[uid], rules, zone_name, now, alarm))
    if zone_name != "UTC" and groups:
        first = min(item.day for group in groups.values() for item in group)
        last = max(item.day for group in groups.values() for item in group)
        _add_zone(calendar, zone_name, first, last)
    return bytes(calendar.to_ical())


def _add_zone(calendar: Any, zone_name: str, first: date, last: date) -> None:
    """The VTIMEZONE for the years at hand; it stands before the entries that use it."""
    from icalendar import Timezone

    zone = Timezone.from_tzid(
        zone_name, first_date=date(first.year - 1, 1, 1), last_date=date(last.year + 2, 1, 1)
    )
    calendar.subcomponents.insert(0, zone)


def _event(
    uid: str,
    group: Sequence[PlanItem],
    rules: RuleBase,
    zone_name: str,
    now: datetime,
    alarm: timedelta | None,
) -> Any:
    from icalendar import Event

    live = [item for item in group if item.status is not ItemStatus.CANCELLED]
    shown = sorted(live or group, key=lambda item: item.start_minute)
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", now)
    begin, end = _span(shown, zone_name)
    event.add("dtstart", begin)
    event.add("dtend", end)
    event.add("sequence", max(item.sequence for item in group))
    event.add("summary", _summary(shown, rules))
    event.add("description", "\n".join(_line(item, rules) for item in shown))
    event.add("status", "CONFIRMED" if live else "CANCELLED")
    event.add("transp", "OPAQUE" if live else "TRANSPARENT")
    if alarm is not None and live:
        event.add_component(_alarm(alarm, _summary(shown, rules)))
    return event


def _span(shown: Sequence[PlanItem], zone_name: str) -> tuple[datetime, datetime]:
    """Start and end in the zone; minutes are real ones, so a clock change in between moves the end on the
    clock.

    An end whose local time comes twice that night cannot be told apart in local time; it is then written in
    UTC.
    """
    from datetime import UTC

    zone = UTC if zone_name == "UTC" else ZoneInfo(zone_name)
    first, last = shown[0], shown[-1]
    begin = moment(first.day, first.start_minute, zone)
    minutes = last.start_minute + (last.minutes or MATCH_MINUTES) - first.start_minute
    ends = [begin + timedelta(minutes=minutes), begin]
    local = [each.astimezone(zone) for each in ends]
    if any(each.fold for each in local):
        return begin, ends[0]
    return local[1], local[0]


def _summary(shown: Sequence[PlanItem], rules: RuleBase) -> str:
    if shown[0].kind is ItemKind.MATCH:
        return shown[0].why
    names = [_name(item, rules) for item in shown if item.kind is not ItemKind.REST]
    more = f" and {len(names) - 2} more" if len(names) > 2 else ""
    return f"Practice: {', '.join(names[:2])}{more}"


def _name(item: PlanItem, rules: RuleBase) -> str:
    entry = rules.drills.get(item.ref) or rules.faults.get(item.ref)
    name = entry.name if entry else item.ref
    return f"re-check: {name}" if item.kind is ItemKind.RECHECK else PAUSES.get(item.ref, name)


def _line(item: PlanItem, rules: RuleBase) -> str:
    if item.kind is ItemKind.MATCH:
        return "Nothing new today: routine, pace and looking at the table."
    return f"{item.minutes:g} min  {_name(item, rules)}. {item.why}"


def _alarm(before: timedelta, words: str) -> Any:
    from icalendar import Alarm

    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("trigger", -before)
    alarm.add("description", words)
    return alarm
