"""The calendar against RFC 5545 and a general iCalendar library.

Sources: RFC 5545 (B. Desruisseaux, ed., 2009), sections named beside each check; library: icalendar (BSD);
dates of the recurrence examples: RFC 5545 section 3.8.5.3, computed with python-dateutil too.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from journal.errors import BadInput
from journal.planning.calendar_in import parse_ics
from journal.planning.calendar_out import to_ics
from journal.planning.slots import days_of
from journal.records import FreeTime, ItemKind, ItemStatus, PlanItem, PlayerId, RecordId
from knowledge.rulebase import RuleBase

NOW = datetime(2026, 1, 5, 12, 0, tzinfo=UTC)
DRILL = "drill.freeze_finish"


def item(day: date, start: int = 1140, minutes: float = 20, **more: object) -> PlanItem:
    made = PlanItem(
        PlayerId("p"),
        RecordId(f"{day}{start}"),
        RecordId("plan"),
        day,
        start,
        minutes,
        ItemKind.DRILL,
        DRILL,
        "because",
        f"u-{day}@plainball",
    )
    return replace(made, **more)  # type: ignore[arg-type]


def events(raw: bytes) -> list[Calendar]:
    return list(Calendar.from_ical(raw).walk("VEVENT"))


def test_lines_end_in_cr_lf_and_are_folded_at_75_octets(rules: RuleBase) -> None:
    """Section 3.1: CR LF, never a bare LF; at most 75 octets; no character cut; unfolding gives the text
    back.
    """
    why = "é" * 100 + "x" * 200 + "雪" * 60
    raw = to_ics([item(date(2026, 1, 6), why=why)], rules, zone_name="UTC", now=NOW)
    assert raw.endswith(b"\r\n")
    assert b"\n" not in raw.replace(b"\r\n", b"")
    for line in raw.split(b"\r\n"):
        assert len(line) <= 75
        line.decode("utf-8")
    assert why in raw.replace(b"\r\n ", b"").decode("utf-8")


def test_text_is_escaped(rules: RuleBase) -> None:
    """Section 3.3.11: backslash, semicolon, comma and line feed are escaped; colon and quotes are not."""
    why = 'Stance; head, bridge \\ and "feet"\nline two: end'
    raw = (
        to_ics([item(date(2026, 1, 6), why=why)], rules, zone_name="UTC", now=NOW)
        .replace(b"\r\n ", b"")
        .decode()
    )
    assert 'Stance\\; head\\, bridge \\\\ and "feet"\\nline two: end' in raw
    (event,) = events(raw.encode())
    assert why in str(event["description"])


def test_the_frame_and_what_every_entry_needs(rules: RuleBase) -> None:
    """Sections 3.6, 3.6.1, 3.7.3, 3.7.4: VERSION and PRODID once; UID and DTSTAMP in UTC; never DTEND with
    DURATION.
    """
    raw = to_ics([item(date(2026, 1, 6)), item(date(2026, 1, 8))], rules, zone_name="Europe/Paris", now=NOW)
    calendar = Calendar.from_ical(raw)
    assert (calendar["version"], raw.count(b"PRODID:"), raw.count(b"\r\nVERSION:2.0\r\n")) == ("2.0", 1, 1)
    for event in calendar.walk("VEVENT"):
        assert event["uid"].endswith("@plainball")
        assert event["dtstamp"].to_ical().endswith(b"Z")
        assert "duration" not in event
        assert event["dtend"].dt > event["dtstart"].dt
    assert len(list(calendar.walk("VTIMEZONE"))) == 1


def test_the_alarm_comes_before_the_start(rules: RuleBase) -> None:
    """Sections 3.6.6 and 3.8.6.3: ACTION, TRIGGER (-PT15M is 15 minutes before) and DESCRIPTION for
    DISPLAY.
    """
    raw = to_ics([item(date(2026, 1, 6))], rules, zone_name="UTC", now=NOW, alarm=timedelta(minutes=15))
    assert b"TRIGGER:-PT15M\r\n" in raw
    (alarm,) = Calendar.from_ical(raw).walk("VALARM")
    assert (alarm["action"], alarm["trigger"].dt) == ("DISPLAY", timedelta(minutes=-15))
    assert alarm["description"]


def test_one_session_is_one_entry(rules: RuleBase) -> None:
    first = item(date(2026, 1, 6))
    second = replace(first, id=RecordId("2"), start_minute=1160, minutes=25)
    (event,) = events(to_ics([second, first], rules, zone_name="UTC", now=NOW))
    assert event["dtstart"].dt == datetime(2026, 1, 6, 19, tzinfo=UTC)
    assert event["dtend"].dt == datetime(2026, 1, 6, 19, 45, tzinfo=UTC)


def test_updates_count_up_and_cancellations_say_so(rules: RuleBase) -> None:
    """Sections 3.8.7.4 and 3.8.1.11: the same UID with a higher SEQUENCE replaces; STATUS:CANCELLED takes it
    out.
    """
    (event,) = events(to_ics([item(date(2026, 1, 6), sequence=3)], rules, zone_name="UTC", now=NOW))
    assert (event["uid"], event["sequence"], event["status"]) == ("u-2026-01-06@plainball", 3, "CONFIRMED")
    gone = item(date(2026, 1, 6), sequence=4, status=ItemStatus.CANCELLED)
    (event,) = events(to_ics([gone], rules, zone_name="UTC", now=NOW))
    assert (event["sequence"], event["status"]) == (4, "CANCELLED")
    assert not list(event.walk("VALARM"))


@pytest.mark.parametrize(
    ("zone", "day", "start", "minutes", "begin", "end"),
    [
        ("Europe/Paris", date(2026, 3, 28), 1140, 60, (28, 18, 0), (28, 19, 0)),
        ("Europe/Paris", date(2026, 3, 29), 1140, 60, (29, 17, 0), (29, 18, 0)),
        ("Europe/Paris", date(2026, 3, 29), 60, 120, (29, 0, 0), (29, 2, 0)),  # over the gap: two real hours
        ("Europe/Paris", date(2026, 3, 29), 150, 60, (29, 1, 30), (29, 2, 30)),  # starts in the gap
        (
            "Europe/Paris",
            date(2026, 10, 25),
            90,
            60,
            (24, 23, 30),
            (25, 0, 30),
        ),  # ends where the clock comes twice
        ("Europe/Paris", date(2026, 10, 25), 90, 150, (24, 23, 30), (25, 2, 0)),
        ("Europe/Paris", date(2028, 2, 29), 1410, 60, (29, 22, 30), (29, 23, 30)),  # leap day, over midnight
        ("America/New_York", date(2026, 3, 8), 1380, 90, (9, 3, 0), (9, 4, 30)),
        ("Pacific/Apia", date(2026, 1, 6), 0, 30, (5, 11, 0), (5, 11, 30)),
    ],
)
def test_clock_changes_leap_day_and_midnight(
    rules: RuleBase,
    zone: str,
    day: date,
    start: int,
    minutes: float,
    begin: tuple[int, int, int],
    end: tuple[int, int, int],
) -> None:
    """Expected UTC times from the zones' published rules; section 3.3.5 for skipped and doubled times."""
    (event,) = events(to_ics([item(day, start, minutes)], rules, zone_name=zone, now=NOW))
    for name, (on, hour, minute) in (("dtstart", begin), ("dtend", end)):
        assert event[name].dt.astimezone(UTC) == datetime(day.year, day.month, on, hour, minute, tzinfo=UTC)


def test_the_time_zone_definition_alone_gives_the_right_time(rules: RuleBase) -> None:
    """Section 3.6.5: a reader that knows no zone names reckons with VTIMEZONE; here under a made-up name."""
    raw = to_ics([item(date(2026, 7, 7)), item(date(2026, 12, 8))], rules, zone_name="Europe/Paris", now=NOW)
    strange = raw.replace(b"Europe/Paris", b"Nowhere/Odd1")
    starts = [e["dtstart"].dt.astimezone(UTC).hour for e in events(strange)]
    assert starts == [17, 18]


@settings(max_examples=60, deadline=None)
@given(
    st.dates(date(2024, 1, 1), date(2032, 12, 31)),
    st.integers(0, 1439),
    st.integers(2, 180),
    st.sampled_from(["UTC", "Europe/London", "America/Sao_Paulo", "Asia/Kathmandu", "Australia/Lord_Howe"]),
    st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=80),
)
def test_any_session_comes_back_from_the_file(
    day: date, start: int, minutes: int, zone: str, why: str
) -> None:
    from knowledge.rulebase import RuleBase

    raw = to_ics([item(day, start, minutes, why=why)], RuleBase({}), zone_name=zone, now=NOW)
    (event,) = events(raw)
    assert event["dtend"].dt.astimezone(UTC) - event["dtstart"].dt.astimezone(UTC) == timedelta(
        minutes=minutes
    )
    assert why in str(event["description"])
    read = parse_ics(raw, today=day - timedelta(days=2), zone_name=zone)
    (back,) = read.events
    local = event["dtstart"].dt.astimezone(UTC if zone == "UTC" else ZoneInfo(zone))
    assert (back.days, back.start, back.minutes) == ((local.date(),), local.hour * 60 + local.minute, minutes)


RRULES = [
    ("FREQ=DAILY;COUNT=10", date(1997, 9, 2), [date(1997, 9, d) for d in range(2, 12)]),
    (
        "FREQ=DAILY;INTERVAL=10;COUNT=5",
        date(1997, 9, 2),
        [date(1997, 9, 2), date(1997, 9, 12), date(1997, 9, 22), date(1997, 10, 2), date(1997, 10, 12)],
    ),
    (
        "FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH",
        date(1997, 9, 2),
        [date(1997, 9, d) for d in (2, 4, 16, 18, 30)] + [date(1997, 10, d) for d in (2, 14, 16)],
    ),
    (
        "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO",
        date(1997, 8, 5),
        [date(1997, 8, d) for d in (5, 10, 19, 24)],
    ),
    (
        "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU",
        date(1997, 8, 5),
        [date(1997, 8, d) for d in (5, 17, 19, 31)],
    ),
    (
        "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5",
        date(2007, 1, 15),
        [date(2007, 1, 15), date(2007, 1, 30), date(2007, 2, 15), date(2007, 3, 15), date(2007, 3, 30)],
    ),
]


@pytest.mark.parametrize(("rule", "first", "days"), RRULES)
def test_recurrences_fall_on_the_days_of_the_standard(rule: str, first: date, days: list[date]) -> None:
    """RFC 5545 section 3.8.5.3, examples."""
    free = FreeTime(PlayerId("p"), RecordId("1"), rule, first, 540, 60)
    assert days_of(free, first, date(2008, 1, 1)) == days


@pytest.mark.parametrize(("rule", "first", "days"), RRULES)
def test_recurring_entries_are_read_on_the_days_of_the_standard(
    rule: str, first: date, days: list[date]
) -> None:
    text = entry(f"DTSTART;TZID=America/New_York:{first:%Y%m%d}T090000", "DURATION:PT1H", f"RRULE:{rule}")
    (event,) = parse_ics(text, today=first, zone_name="America/New_York").events
    assert (event.days, event.start, event.minutes) == (tuple(days), 540, 60)


def entry(*lines: str, uid: str = "e1", title: str = "Shift") -> bytes:
    body = [f"UID:{uid}", "DTSTAMP:20260101T000000Z", f"SUMMARY:{title}", *lines]
    return calendar("BEGIN:VEVENT", *body, "END:VEVENT")


def calendar(*lines: str) -> bytes:
    return "\r\n".join(
        ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//a//b//EN", *lines, "END:VCALENDAR", ""]
    ).encode()


def read(raw: bytes, zone: str = "Europe/Paris") -> list[tuple[list[str], int, int]]:
    found = parse_ics(raw, today=date(2026, 3, 1), zone_name=zone)
    return [([day.isoformat() for day in e.days], e.start, e.minutes) for e in found.events]


def test_a_whole_day_ends_before_its_end_date() -> None:
    """Section 3.6.1: DTEND is exclusive; without DTEND a DATE lasts one day."""
    assert read(entry("DTSTART;VALUE=DATE:20260305", "DTEND;VALUE=DATE:20260307")) == [
        (["2026-03-05"], 0, 2880)
    ]
    assert read(entry("DTSTART;VALUE=DATE:20260305")) == [(["2026-03-05"], 0, 1440)]


def test_work_elsewhere_keeps_its_own_clock() -> None:
    """19:00 in New York is 01:00 in Paris, but 00:00 in the three weeks when only New York has changed its
    clock.
    """
    found = read(
        entry("DTSTART;TZID=America/New_York:20260304T190000", "DURATION:PT1H", "RRULE:FREQ=WEEKLY;COUNT=4")
    )
    assert found == [(["2026-03-05"], 60, 60), (["2026-03-12", "2026-03-19", "2026-03-26"], 0, 60)]


def test_exceptions_moves_and_cancellations_within_a_series() -> None:
    """Sections 3.8.5.1 EXDATE and 3.8.4.4 RECURRENCE-ID."""
    raw = calendar(
        "BEGIN:VEVENT",
        "UID:s",
        "DTSTAMP:20260101T000000Z",
        "SUMMARY:Shift",
        "DTSTART;TZID=Europe/Paris:20260302T180000",
        "DTEND;TZID=Europe/Paris:20260302T190000",
        "RRULE:FREQ=WEEKLY;COUNT=5",
        "EXDATE;TZID=Europe/Paris:20260309T180000",
        "END:VEVENT",
        "BEGIN:VEVENT",
        "UID:s",
        "DTSTAMP:20260101T000000Z",
        "SUMMARY:Shift",
        "RECURRENCE-ID;TZID=Europe/Paris:20260316T180000",
        "DTSTART;TZID=Europe/Paris:20260317T200000",
        "DTEND;TZID=Europe/Paris:20260317T210000",
        "END:VEVENT",
        "BEGIN:VEVENT",
        "UID:s",
        "DTSTAMP:20260101T000000Z",
        "SUMMARY:Shift",
        "RECURRENCE-ID;TZID=Europe/Paris:20260323T180000",
        "DTSTART;TZID=Europe/Paris:20260323T180000",
        "STATUS:CANCELLED",
        "END:VEVENT",
    )
    assert read(raw) == [(["2026-03-02", "2026-03-30"], 1080, 60), (["2026-03-17"], 1200, 60)]


def test_what_takes_no_time_or_was_withdrawn_is_left_out() -> None:
    assert read(entry("DTSTART:20260305T180000Z", "DTEND:20260305T190000Z", "TRANSP:TRANSPARENT")) == []
    assert read(entry("DTSTART:20260305T180000Z", "DTEND:20260305T190000Z", "STATUS:CANCELLED")) == []
    assert (
        read(
            entry("DTSTART:20260305T180000Z", "DTEND:20260305T190000Z").replace(
                b"VERSION", b"METHOD:CANCEL\r\nVERSION"
            )
        )
        == []
    )


def test_matches_are_told_from_work() -> None:
    found = parse_ics(
        entry("DTSTART:20260305T180000Z", title="Cup match, away"), today=date(2026, 3, 1), zone_name="UTC"
    )
    assert [e.match for e in found.events] == [True]


@pytest.mark.parametrize(
    "raw",
    [
        b"",
        b"hello",
        b"\xff\xfe\x00",
        b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n",
        b"BEGIN:VEVENT\r\nEND:VEVENT\r\n",
    ],
)
def test_what_is_no_calendar_is_refused(raw: bytes) -> None:
    with pytest.raises(BadInput):
        parse_ics(raw, today=date(2026, 3, 1), zone_name="UTC")


def test_one_bad_entry_does_not_spoil_the_others() -> None:
    raw = calendar(
        "BEGIN:VEVENT",
        "UID:bad",
        "DTSTAMP:20260101T000000Z",
        "SUMMARY:Odd",
        "END:VEVENT",
        "BEGIN:VEVENT",
        "UID:busy",
        "DTSTAMP:20260101T000000Z",
        "SUMMARY:Tick",
        "DTSTART:20260101T000000Z",
        "DURATION:PT1S",
        "RRULE:FREQ=SECONDLY",
        "END:VEVENT",
        "BEGIN:VEVENT",
        "UID:ok",
        "DTSTAMP:20260101T000000Z",
        "SUMMARY:Shift",
        "DTSTART:20260305T180000Z",
        "DURATION:PT1H",
        "END:VEVENT",
    )
    found = parse_ics(raw, today=date(2026, 3, 1), zone_name="UTC")
    assert [e.title for e in found.events] == ["Shift"]
    assert len(found.skipped) == 2
