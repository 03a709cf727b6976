"""Free times become slots: exceptions, busy times, clock changes, midnight and leap days."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from journal.errors import BadInput
from journal.planning.slots import Slot, days_of, free_slots, moment, rule_on
from journal.records import BusyTime, FreeTime, Match, PlayerId, RecordId

PARIS = ZoneInfo("Europe/Paris")
P = PlayerId("p")


def free(rule: str, first: date, start: int, minutes: int, *but: str, n: str = "1") -> FreeTime:
    return FreeTime(P, RecordId(n), rule, first, start, minutes, except_days=but)


def busy(rule: str, first: date, start: int, minutes: int, n: str = "1") -> BusyTime:
    return BusyTime(P, RecordId(n), rule, first, start, minutes)


def test_tuesdays_and_thursdays_but_not_on_the_14th() -> None:
    slots = free_slots(
        [free("FREQ=WEEKLY;BYDAY=TU,TH", date(2026, 5, 5), 1140, 45, "2026-05-14")],
        [],
        [],
        date(2026, 5, 4),
        14,
        PARIS,
    )
    assert [s.day.day for s in slots] == [5, 7, 12]


def test_the_29th_of_february_comes_in_leap_years_only() -> None:
    rule = free("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29", date(2024, 1, 1), 600, 60)
    assert days_of(rule, date(2024, 1, 1), date(2033, 1, 1)) == [
        date(2024, 2, 29),
        date(2028, 2, 29),
        date(2032, 2, 29),
    ]


def test_a_slot_over_midnight_keeps_its_day_and_its_minutes() -> None:
    (slot,) = free_slots(
        [free("FREQ=DAILY;COUNT=1", date(2026, 5, 5), 1410, 60)], [], [], date(2026, 5, 5), 1, PARIS
    )
    assert (slot.day, slot.start, slot.minutes) == (date(2026, 5, 5), 1410, 60)
    assert slot.ended(PARIS) == datetime(2026, 5, 5, 22, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("day", "minute", "utc"),
    [
        (date(2026, 3, 28), 1140, datetime(2026, 3, 28, 18, tzinfo=UTC)),  # winter time
        (date(2026, 3, 29), 1140, datetime(2026, 3, 29, 17, tzinfo=UTC)),  # summer time began that night
        (date(2026, 3, 29), 150, datetime(2026, 3, 29, 1, 30, tzinfo=UTC)),  # 02:30 was skipped
        (date(2026, 10, 25), 150, datetime(2026, 10, 25, 0, 30, tzinfo=UTC)),  # 02:30 came twice: the first
        (date(2026, 10, 25), 1140, datetime(2026, 10, 25, 18, tzinfo=UTC)),
    ],
)
def test_local_times_hold_across_clock_changes(day: date, minute: int, utc: datetime) -> None:
    """RFC 5545 section 3.3.5: a skipped time takes the offset before the gap, a doubled one means the
    first.
    """
    assert moment(day, minute, PARIS) == utc


def test_an_hour_is_an_hour_when_the_clock_changes_within() -> None:
    slot = Slot(date(2026, 10, 25), 120, 90)
    assert slot.ended(PARIS) - slot.began(PARIS) == timedelta(minutes=90)


def test_a_match_and_work_cut_slots() -> None:
    times = [free("FREQ=DAILY;COUNT=3", date(2026, 5, 4), 18 * 60, 240)]
    work = [busy(rule_on([date(2026, 5, 5)]), date(2026, 5, 5), 19 * 60, 60)]
    match = Match(P, RecordId("m"), date(2026, 5, 6), 20 * 60)
    slots = free_slots(times, work, [match], date(2026, 5, 4), 7, PARIS)
    assert [(s.day.day, s.start, s.minutes) for s in slots] == [
        (4, 1080, 240),
        (5, 1080, 60),
        (5, 1200, 120),
        (6, 1080, 120),
    ]


@given(
    st.lists(
        st.tuples(st.integers(0, 6), st.integers(0, 1439), st.integers(10, 400), st.booleans()), max_size=8
    ),
    st.sampled_from(["Europe/Paris", "UTC", "America/New_York", "Australia/Lord_Howe"]),
    st.dates(date(2024, 1, 1), date(2027, 12, 31)),
)
@example([(5, 1041, 400, False), (6, 0, 10, True)], "Europe/Paris", date(2024, 5, 9))
def test_no_two_slots_overlap_and_none_lies_in_busy_time(
    made: list[tuple[int, int, int, bool]], zone_name: str, first: date
) -> None:
    zone = ZoneInfo(zone_name)
    times, work = [], []
    for n, (d, s, m, is_busy) in enumerate(made):
        rule = f"FREQ=WEEKLY;BYDAY={('MO', 'TU', 'WE', 'TH', 'FR', 'SA', 'SU')[d]}"
        if is_busy:
            work.append(busy(rule, first, s, m, n=str(n)))
        else:
            times.append(free(rule, first, s, m, n=str(n)))
    slots = free_slots(times, work, [], first, 10, zone)
    spans = sorted((s.began(zone), s.ended(zone)) for s in slots)
    assert all(one[1] <= two[0] for one, two in pairwise(spans))
    blocks = [
        (
            moment(day, each.start_minute, zone),
            moment(day, each.start_minute, zone) + timedelta(minutes=each.minutes),
        )
        for each in work
        for day in days_of(each, first - timedelta(days=2), first + timedelta(days=10))
    ]
    assert not any(a < end and begin < b for begin, end in spans for a, b in blocks)


@pytest.mark.parametrize("rule", ["every tuesday", "FREQ=SOMETIMES", "FREQ=WEEKLY;BYDAY=XX", ""])
def test_a_broken_rule_is_told(rule: str) -> None:
    with pytest.raises(BadInput, match="not understood"):
        days_of(free(rule, date(2026, 5, 4), 0, 60), date(2026, 5, 4), date(2026, 6, 4))
