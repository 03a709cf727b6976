"""Plain words become free times and matches, said back in full."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.errors import BadInput
from journal.planning.wishes import understand

WEDNESDAY = date(2026, 5, 6)

CASES = [
    (
        "Tue and Thu 19:00, 45 min, not on the 14th",
        ["free every Tue Thu, 19:00 to 19:45 (45 min), but not Thu 14 May 2026"],
    ),
    (
        "four evenings a week, half an hour, match on Saturday",
        [
            "free every Mon Wed Fri Sun, 19:00 to 19:30 (30 min)",
            "match on Sat 9 May 2026, 19:00 (time not said, taken as usual)",
        ],
    ),
    (
        "Mon, Wed and Fri mornings at 7:30 for an hour; Sat 10:00-12:00 with a partner",
        [
            "free every Mon Wed Fri, 07:30 to 08:30 (60 min)",
            "free every Sat, 10:00 to 12:00 (120 min), with a partner",
        ],
    ),
    (
        "every day 20 minutes without a table",
        ["free every Mon Tue Wed Thu Fri Sat Sun, 19:00 to 19:20 (20 min), away from a table"],
    ),
    (
        "weekdays from 7 to 8:30pm except Friday until 30 June",
        ["free every Mon Tue Wed Thu until Tue 30 June 2026, 19:00 to 20:30 (90 min)"],
    ),
    (
        "Tuesday 19:00, Saturday 10:00, 45 min",
        ["free every Tue, 19:00 to 19:45 (45 min)", "free every Sat, 10:00 to 10:45 (45 min)"],
    ),
    ("tomorrow at 6, 1h30", ["free Thu 7 May 2026, 18:00 to 19:30 (90 min)"]),
    ("every other Sunday afternoon, two hours", ["free every second Sun, 15:00 to 17:00 (120 min)"]),
    (
        "twice a week, match next Friday 19:30, not on 2026-05-14",
        [
            "free every Mon Thu, 19:00 to 19:45 (45 min), but not Thu 14 May 2026",
            "match on Fri 15 May 2026, 19:30",
        ],
    ),
    ("mon-fri 23:30 60 min", ["free every Mon Tue Wed Thu Fri, 23:30 to 00:30 (60 min)"]),
    ("half past seven on Tuesdays", ["free every Tue, 19:30 to 20:15 (45 min)"]),
    ("29 February 18:00 30 min", ["free Tue 29 February 2028, 18:00 to 18:30 (30 min)"]),
    (
        "I'm free Tuesdays and Thursdays in the evening for an hour and a half, but not on 14 and 21 May",
        ["free every Tue Thu, 19:00 to 20:30 (90 min), but not Thu 14 May 2026, Thu 21 May 2026"],
    ),
    ("match on Saturday at 3pm", ["match on Sat 9 May 2026, 15:00"]),
    ("friendly on 14 May", ["friendly on Thu 14 May 2026, 19:00 (time not said, taken as usual)"]),
    ("three quarters of an hour on Mondays at 6:15 pm", ["free every Mon, 18:15 to 19:00 (45 min)"]),
    ("weekends 10 am 2 hours", ["free every Sat Sun, 10:00 to 12:00 (120 min)"]),
    ("between 6 and 7 on Tuesdays", ["free every Tue, 18:00 to 19:00 (60 min)"]),
    ("Sundays at noon, 1.5 hours", ["free every Sun, 12:00 to 13:30 (90 min)"]),
    ("thirty minutes every morning", ["free every Mon Tue Wed Thu Fri Sat Sun, 09:00 to 09:30 (30 min)"]),
    ("Mondays at 18:00 for forty-five minutes", ["free every Mon, 18:00 to 18:45 (45 min)"]),
    ("Mondays at 18:00 for a hundred and twenty minutes", ["free every Mon, 18:00 to 20:00 (120 min)"]),
    ("seventeen minutes on Fridays at eight", ["free every Fri, 20:00 to 20:17 (17 min)"]),
]


@pytest.mark.parametrize(("words", "said"), CASES)
def test_words_are_understood(words: str, said: list[str]) -> None:
    wishes = understand(words, WEDNESDAY)
    assert (list(wishes.said), list(wishes.unknown)) == (said, [])


def test_what_is_not_understood_is_named() -> None:
    wishes = understand("Tue 19:00 sharpish, 45 min", WEDNESDAY)
    assert wishes.unknown == ("sharpish",)
    assert len(wishes.free) == 1


@pytest.mark.parametrize("words", ["", "whenever", "45 min", "25:00", "31 June 19:00"])
def test_words_without_a_day_are_refused(words: str) -> None:
    with pytest.raises(BadInput):
        understand(words, WEDNESDAY)


def test_days_a_week_keep_away_from_the_match_and_from_one_another() -> None:
    (free,) = understand("three times a week, match on Saturday", WEDNESDAY).free
    assert free.rule == "FREQ=WEEKLY;BYDAY=MO,WE,FR"


@given(st.text(max_size=200), st.dates(date(2020, 1, 1), date(2060, 1, 1)))
def test_any_text_is_understood_or_refused(words: str, today: date) -> None:
    try:
        wishes = understand(words, today)
    except BadInput:
        return
    assert wishes.free or wishes.matches or wishes.not_on


_PIECES = st.sampled_from(
    [
        "Mon",
        "Tue and Thu",
        "every day",
        "weekends",
        "19:00",
        "at 7",
        "45 min",
        "half an hour",
        "an hour",
        "match on Saturday",
        "not on the 14th",
        "until 30 June",
        "tomorrow",
        "31 June",
        ",",
        ";",
        "twice a week",
        "friendly",
        "next Friday",
        "from 9 to 10",
        "without a table",
        "29 Feb",
        "0 min",
        "24:00",
        "99th",
    ]
)


@given(st.lists(_PIECES, max_size=10).map(" ".join))
def test_any_mix_of_its_own_words_gives_usable_times(words: str) -> None:
    try:
        wishes = understand(words, WEDNESDAY)
    except BadInput:
        return
    for free in wishes.free:
        assert 0 <= free.start_minute <= 1440
        assert 5 <= free.minutes <= 720
    assert all(0 <= match.start_minute <= 1440 for match in wishes.matches)


@pytest.mark.parametrize(
    ("words", "days"),
    [
        ("not on Thursday", [date(2026, 5, 7)]),
        ("not on the 14th and not tomorrow", [date(2026, 5, 7), date(2026, 5, 14)]),
    ],
)
def test_days_told_alone_are_days_that_fall_out(words: str, days: list[date]) -> None:
    wishes = understand(words, WEDNESDAY)
    assert (wishes.free, list(wishes.not_on)) == ((), days)
