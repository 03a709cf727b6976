"""Quantities with a unit, in every way that people write and say them.

Units and their symbols: ISO 80000-3 (length, angle, time) and the international yard and pound agreement of 1959
(1 yd = 3 ft, 1 ft = 12 in). Of a range the lower end is taken, as for counts: common practice, no source.
"""

import pytest

from knowledge.reading.measures import measures_in

SAID = {
    "half an hour on the long ones": [(0.5, "h")],
    "three quarters of an hour": [(0.75, "h")],
    "two and a half hours": [(2.5, "h")],
    "an hour and twenty minutes": [(80, "min")],
    "1h30 tonight": [(90, "min")],
    "1 hr 20": [(80, "min")],
    "1½ hours": [(1.5, "h")],
    "hour and a half": [(1.5, "h")],
    "20 min warm up, 40 min of blues": [(20, "min"), (40, "min")],
    "twenty odd minutes": [(20, "min")],
    "forty-five minutes": [(45, "min")],
    "nine and a half mil tip": [(9.5, "mm")],
    "31.5 cm": [(31.5, "cm")],
    "a foot and a half short": [(1.5, "ft")],
    "a good foot off the cue": [(1, "ft")],
    "an inch or two": [(1, "in")],
    "two to three inches": [(2, "in")],
    "10-12 inches": [(10, "in")],
    "a couple of inches": [(2, "in")],
    "a quarter inch": [(0.25, "in")],
    "3/4 inch": [(0.75, "in")],
    "an 8-inch bridge": [(8, "in")],
    '12" behind the white': [(12, "in")],
    "five foot eight": [(5.67, "ft")],
    "5'8\"": [(5.67, "ft")],
    "2 ft 6": [(2.5, "ft")],
    "a yard too far": [(3, "ft")],
    "half a metre": [(0.5, "m")],
    "about ten degrees": [(10, "deg")],
    "30°": [(30, "deg")],
    "two hands behind the white": [(2, "hands")],
    "half a hand in front of the ball": [(0.5, "hands")],
    "a hand and a half": [(1.5, "hands")],
    "a hand’s breadth": [(1, "hands")],
    "between 20 and 30 cm": [(20, "cm")],
    "an eighth of an inch": [(0.125, "in")],
    "three quarter inch": [(0.75, "in")],
    "two thirds of a metre": [(0.667, "m")],
    "a half-hour and no more": [(0.5, "h")],
    "a minute and a half": [(1.5, "min")],
    "metre and a half past": [(1.5, "m")],
    "off by ten degs": [(10, "deg")],
    "on the twelve footer": [(12, "ft")],
}
NO_MEASURE = (
    "both hands on the cue",
    "my foot work was poor",
    "one hand on the table",
    "played 3 in a row",
    "went one foot wrong",
    "wait a minute",
    "just a second",
    "we met on 3/5/2026 at 7:30",
    "three in the corner",
    "he's 15 in March",
    "an eighth frame",
    "gave him a hand in the kitchen",
)


@pytest.mark.parametrize("text", SAID)
def test_said(text):
    assert [(round(each.value, 3), each.unit) for each in measures_in(text, [])] == SAID[text]


@pytest.mark.parametrize("text", NO_MEASURE)
def test_no_measure(text):
    assert measures_in(text, []) == []


def test_a_letter_that_grows_in_lower_case_moves_no_span():
    text = "İİ bridge 35 cm"
    (found,) = measures_in(text, [])
    assert text[found.start : found.end] == found.words == "35 cm"
