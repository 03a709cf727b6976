"""The next look at a mended fault: dates equal the closed form and move the way a coach expects."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.planning.followups import (
    BEFORE_MATCH,
    DAYS,
    KEPT_AFTER_RELAPSE,
    LATEST,
    LOOK_WORTH,
    SHAPE,
    SOONEST,
    Belief,
    Look,
    belief_after,
    next_look,
    wait_days,
    wait_for_chance,
)

START = date(2026, 3, 2)


@given(st.integers(0, 12), st.floats(0.5, 3.0), st.integers(1, 40))
def test_the_date_after_clean_looks_equals_the_closed_form(cleans: int, severity: float, gap: int) -> None:
    """After n clean looks over T days the belief is Gamma(1, 14 + T); t = 2 s sqrt(b) + s², s = sqrt(c /
    2a).
    """
    looks = [Look(START + timedelta(days=gap * n), True) for n in range(1, cleans + 1)]
    s = math.sqrt(LOOK_WORTH / severity / 2)
    t = 2 * s * math.sqrt(14 + gap * cleans) + s * s
    expected = START + timedelta(days=gap * cleans + min(LATEST, max(SOONEST, round(t))))
    assert next_look("head.lifts", START, looks, severity=severity).due == expected


def test_looks_fall_where_the_best_density_of_looks_adds_up_to_one() -> None:
    """Integral of sqrt(h(t) / 2c) from 0 to the next look is 1, by the midpoint rule over the Lomax
    hazard.
    """
    belief = Belief(2.3, 31.0)
    end, steps = wait_days(belief, 1.4), 20_000
    total = sum(
        math.sqrt(belief.hazard((n + 0.5) * end / steps) / (2 * LOOK_WORTH / 1.4)) * end / steps
        for n in range(steps)
    )
    assert total == pytest.approx(1.0, abs=1e-6)


@given(st.floats(0.5, 20), st.floats(1, 500), st.floats(0.01, 0.99))
def test_the_wait_for_a_chance_inverts_the_survival(a: float, b: float, chance: float) -> None:
    belief = Belief(a, b)
    assert 1 - belief.stays_away(wait_for_chance(belief, chance)) == pytest.approx(chance, abs=1e-9)


def test_each_clean_look_moves_the_next_one_out_and_a_relapse_pulls_it_in() -> None:
    waits, looks, at = [], [], START
    for _ in range(5):
        due = next_look("head.lifts", START, looks).due
        waits.append((due - at).days)
        looks, at = [*looks, Look(due, True)], due
    assert waits == sorted(waits)
    assert waits[0] < waits[-1]
    relapsed = next_look("head.lifts", START, [*looks, Look(at + timedelta(days=20), False)])
    assert (relapsed.due - at).days - 20 < waits[-1]
    assert relapsed.why.startswith("It came back on")


def test_a_relapse_discounts_what_was_learnt_and_counts_half_of_the_gap() -> None:
    belief, _ = belief_after(
        START, [Look(START + timedelta(days=10), True), Look(START + timedelta(days=30), False)]
    )
    assert belief.a == pytest.approx(SHAPE + 1)
    assert belief.b == pytest.approx(DAYS + KEPT_AFTER_RELAPSE * (DAYS + 10 + 10 - DAYS))


def test_a_fault_that_was_never_away_has_not_come_back() -> None:
    looks = [Look(START + timedelta(days=n), False) for n in (2, 4, 9)]
    belief, at = belief_after(START, looks)
    assert (belief, at) == (Belief(), START + timedelta(days=9))
    assert "came back" not in next_look("head.lifts", START, looks).why


def test_a_graver_fault_is_looked_at_sooner() -> None:
    assert next_look("x", START, [], severity=3.0).due < next_look("x", START, [], severity=1.0).due


@pytest.mark.parametrize("after_due", [1, 0, -3, -7])
def test_a_look_in_the_shadow_of_a_match_comes_before_it(after_due: int) -> None:
    free = next_look("x", START, [])
    match = free.due + timedelta(days=after_due)
    found = next_look("x", START, [], match_days=[match])
    assert found.due == match - timedelta(days=BEFORE_MATCH)
    assert found.why.startswith(f"Brought forward because of the match on {match.day} {match:%B}")
    assert f"without it the day would be {free.due.day} {free.due:%B}" in found.why
    assert "looked at again after" not in found.why, "the wait is not what made the day"


def test_a_distant_match_moves_nothing() -> None:
    free = next_look("x", START, [])
    assert next_look("x", START, [], match_days=[free.due + timedelta(days=9)]).due == free.due


@pytest.mark.parametrize(
    ("marks", "words"),
    [
        ("", "Not looked at since 2 March"),
        ("c", "Clean once, last on 7 March"),
        ("cc", "Clean 2 times in a row, last on 12 March"),
        ("cbc", "Clean once (it had come back once before)"),
        ("cb", "It came back on 12 March"),
    ],
)
def test_the_date_is_explained_in_a_sentence(marks: str, words: str) -> None:
    looks = [Look(START + timedelta(days=5 * (n + 1)), mark == "c") for n, mark in enumerate(marks)]
    assert next_look("x", START, looks).why.startswith(words)
