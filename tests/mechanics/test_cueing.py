"""Cue, rail, arms and close balls."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from knowledge.mechanics.close_ball import (
    BALL_MASS,
    CONTACT_TIME,
    CUE_MASS,
    TIP_RESTITUTION,
    close_ball,
    follow_limit,
)
from knowledge.mechanics.conditions import STANDARD
from knowledge.mechanics.cueing import cue_travel, offset_at_contact, rail_view, slope_for, squirt
from knowledge.mechanics.inputs import ImpossibleInput


def test_a_level_cue_on_the_cushion_miscues_and_a_raised_butt_does_not() -> None:
    level, raised = rail_view(0.0, 0.0, STANDARD), rail_view(0.0, math.radians(15), STANDARD)
    assert not level.reachable
    assert raised.reachable
    assert raised.seen > level.seen


@given(st.floats(0.0, 0.3), st.floats(0.0, 1.2), st.floats(0.01, 0.15))
def test_raising_the_butt_shows_more_of_the_white(gap: float, slope: float, more: float) -> None:
    low, high = rail_view(gap, slope, STANDARD), rail_view(gap, slope + more, STANDARD)
    assert high.seen >= low.seen
    assert high.lowest <= low.lowest
    assert high.butt_rise > low.butt_rise


@given(st.floats(0.0, 0.1), st.floats(0.0, 0.5))
def test_the_slope_found_just_reaches_the_height(gap: float, height: float) -> None:
    slope = slope_for(gap, height, STANDARD)
    assert rail_view(gap, slope, STANDARD).lowest <= height + 1e-9
    if slope > 0:
        assert rail_view(gap, slope, STANDARD).lowest == pytest.approx(height, abs=1e-9)


def test_a_domed_tip_touches_nearer_the_middle_than_the_cue_points() -> None:
    assert offset_at_contact(0.01, 0.02625, 0.0085) == pytest.approx(0.01 / 0.03475)
    assert offset_at_contact(0.01, 0.02625, 0.0085) < 0.01 / 0.02625


@given(st.floats(-0.5, 0.5), st.floats(5, 100))
def test_squirt_is_odd_and_falls_with_a_lighter_end(side: float, ratio: float) -> None:
    assert squirt(-side, ratio) == pytest.approx(-squirt(side, ratio))
    assert abs(squirt(side, ratio * 2)) <= abs(squirt(side, ratio))


def test_a_bent_bridge_arm_gives_the_hand_more_room() -> None:
    straight, bent = (cue_travel(0.335, 0.48, math.radians(b), 0.25, 0.30, 0.95) for b in (0, 60))
    assert bent.reach < straight.reach
    assert straight.reach == pytest.approx(0.335 + 0.48)
    assert bent.through > straight.through


def test_the_backswing_cannot_leave_the_bridge() -> None:
    found = cue_travel(0.335, 0.48, 0.5, 0.40, 0.20)
    assert found.backswing == pytest.approx(0.18)
    assert found.limit == "bridge"


def test_a_longer_backswing_goes_farther_through_and_lifts_the_hand_more() -> None:
    short, long = (cue_travel(0.335, 0.48, 1.0, b, 0.35) for b in (0.10, 0.25))
    assert long.through > short.through
    assert long.hand_rise > short.hand_rise


def test_momentum_and_restitution_of_the_hit() -> None:
    """Two masses, restitution 0.73 for a leather tip (Alciatore, physical properties)."""
    found = close_ball(0.05, 2.0, 0.0)
    assert pytest.approx(CUE_MASS * found.cue_speed + BALL_MASS * found.white_speed) == CUE_MASS * 2.0
    assert found.white_speed - found.cue_speed == pytest.approx(TIP_RESTITUTION * 2.0)


def test_the_touch_lasts_as_long_as_the_half_sine_force_says() -> None:
    """A half-sine force that brings the white to its speed, integrated by scipy; rel 1e-6."""
    found = close_ball(0.05, 2.0, 0.0)
    peak = found.white_speed * math.pi / (2 * CONTACT_TIME)

    def speed(t: float) -> float:
        return float(quad(lambda s: peak * math.sin(math.pi * s / CONTACT_TIME), 0, t)[0])

    assert speed(CONTACT_TIME) == pytest.approx(found.white_speed)
    assert found.touch_length == pytest.approx(float(quad(speed, 0, CONTACT_TIME)[0]), rel=1e-6)


def test_a_gap_smaller_than_the_touch_is_a_push() -> None:
    found = close_ball(0.0005, 2.0, 0.0)
    assert found.touching_at_contact
    assert found.push


def test_following_through_a_full_contact_is_a_push_and_stopping_is_not() -> None:
    through, stopped = close_ball(0.01, 1.0, 0.08), close_ball(0.01, 1.0, 0.008)
    assert through.push
    assert through.second_hit
    assert not stopped.push
    assert through.allowed_follow == pytest.approx(0.01)


def test_a_thin_contact_lets_the_tip_follow_and_a_very_fine_edge_is_no_push() -> None:
    """The exception for a very fine edge: official rules of snooker, push stroke."""
    assert (
        close_ball(0.005, 2.0, 0.1, fraction=0.3).allowed_follow > close_ball(0.005, 2.0, 0.1).allowed_follow
    )
    fine = close_ball(0.0005, 2.0, 0.1, fraction=0.1)
    assert fine.exception
    assert not fine.push


def test_raising_the_butt_shortens_the_follow_through_until_it_saves_the_shot() -> None:
    assert follow_limit(0.0) == math.inf
    assert follow_limit(math.radians(45)) == pytest.approx(0.02625 - 0.00475)
    assert close_ball(0.01, 1.0, 0.1, butt=math.radians(30)).push
    assert not close_ball(0.01, 1.0, 0.1, butt=math.radians(70)).push


@pytest.mark.parametrize(
    "call",
    [
        lambda: close_ball(-0.001, 1.0, 0.1),
        lambda: close_ball(0.01, -1.0, 0.1),
        lambda: close_ball(0.01, 1.0, 0.1, fraction=1.5),
        lambda: rail_view(0.0, 2.0, STANDARD),
        lambda: rail_view(-0.01, 0.1, STANDARD),
        lambda: slope_for(0.0, -0.95, STANDARD),
        lambda: cue_travel(0.01, 0.48, 0.5, 0.2, 0.3),
        lambda: squirt(1.2),
    ],
)
def test_impossible_cueing_is_refused(call) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ImpossibleInput):
        call()
