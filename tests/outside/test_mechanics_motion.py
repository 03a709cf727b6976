"""Sliding, rolling, screw and swerve against the textbook's closed forms and against scipy's integration.

Sources: G. Coriolis (1835); any rigid-body text; D. G. Alciatore, "How High or Low Should You Hit the Cue
Ball?" (half the radius) and "Physics of Pool and Billiards" (tip friction 0.6, speed words). R. Shepard
(2001) for squirt.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from knowledge.mechanics.conditions import STANDARD, Conditions
from knowledge.mechanics.contact import settled
from knowledge.mechanics.cueing import side_error, squirt, struck_ball
from knowledge.mechanics.motion import (
    Ball,
    arrival,
    draw_fades,
    miscue_limit,
    next_leg,
    roll_distance,
    roll_time,
    rolling_resistance_from_time,
    slide_to_roll,
    speed_to_die_at,
    spin_from_offset,
)
from knowledge.mechanics.units import SPEED_WORDS


def cloth(sliding: float = 0.2, rolling: float = 0.01) -> Conditions:
    return replace(STANDARD, sliding=sliding, rolling=rolling)


@pytest.mark.parametrize(
    ("sliding", "speed", "time", "distance", "rolls"),
    [
        (0.20, 0.5, 0.0728, 0.0312, 0.3571),
        (0.20, 1, 0.1456, 0.1248, 0.7143),
        (0.20, 2, 0.2912, 0.4993, 1.4286),
        (0.20, 3, 0.4369, 1.1234, 2.1429),
        (0.20, 5, 0.7281, 3.1205, 3.5714),
        (0.15, 2, 0.3883, 0.6657, 1.4286),
        (0.25, 2, 0.2330, 0.3994, 1.4286),
    ],
)
def test_slide_to_roll(sliding: float, speed: float, time: float, distance: float, rolls: float) -> None:
    """Coriolis: 2v/(7 μ g), 12 v²/(49 μ g), 5/7 v; abs 6e-5."""
    found = slide_to_roll(speed, 0.0, cloth(sliding))
    assert (found.time, found.distance, found.speed) == pytest.approx((time, distance, rolls), abs=6e-5)


def test_slide_to_roll_against_step_by_step_integration() -> None:
    """A published-formula check by time steps of 1e-5 s gave 1.4288 m/s, 0.2911 s, 0.4991 m at 2 m/s; abs
    3e-4.
    """
    found = slide_to_roll(2.0, 0.0, cloth())
    assert (found.speed, found.time, found.distance) == pytest.approx((1.4288, 0.2911, 0.4991), abs=3e-4)


@pytest.mark.parametrize(
    ("rolling", "speed", "distance", "time"),
    [
        (0.005, 0.5, 2.548, 10.194),
        (0.01, 0.5, 1.274, 5.097),
        (0.01, 1, 5.097, 10.194),
        (0.01, 2, 20.387, 20.387),
        (0.015, 1, 3.398, 6.796),
    ],
)
def test_rolling_to_rest(rolling: float, speed: float, distance: float, time: float) -> None:
    """v²/(2 μr g) and v/(μr g); abs 6e-4."""
    assert roll_distance(speed, cloth(rolling=rolling)) == pytest.approx(distance, abs=6e-4)
    assert roll_time(speed, cloth(rolling=rolling)) == pytest.approx(time, abs=6e-4)


@pytest.mark.parametrize(
    ("rolling", "distance", "speed"),
    [
        (0.01, 1, 0.4429),
        (0.01, 2, 0.6264),
        (0.01, 3.5165, 0.8306),
        (0.005, 1, 0.3132),
        (0.005, 2, 0.4429),
        (0.005, 3.5165, 0.5873),
    ],
)
def test_speed_that_dies_at_a_distance(rolling: float, distance: float, speed: float) -> None:
    """sqrt(2 μr g s); abs 6e-5."""
    assert speed_to_die_at(distance, cloth(rolling=rolling)) == pytest.approx(speed, abs=6e-5)


def test_cloth_from_a_timed_roll() -> None:
    """2 s/(g t²): a table's length less a ball in 8.0 s is 0.01120; abs 6e-6."""
    assert rolling_resistance_from_time(3.5165, 8.0) == pytest.approx(0.01120, abs=6e-6)


@pytest.mark.parametrize(
    ("offset", "spin", "high", "low"),
    [
        (0.0, 0.0, 0.7143, 0.7143),
        (0.1, 0.25, 0.7857, 0.6429),
        (0.2, 0.5, 0.8571, 0.5714),
        (0.3, 0.75, 0.9286, 0.5),
        (0.4, 1.0, 1.0, 0.4286),
        (0.5, 1.25, 1.0714, 0.3571),
    ],
)
def test_height_of_hit(offset: float, spin: float, high: float, low: float) -> None:
    """R ω/v = 5/2 b/R; settled 5/7 (1 ± b/R); rolls at once at 2/5 (centre of percussion); abs 6e-5."""
    assert spin_from_offset(offset) == pytest.approx(spin)
    assert slide_to_roll(1.0, offset, cloth()).speed == pytest.approx(high, abs=6e-5)
    assert slide_to_roll(1.0, -offset, cloth()).speed == pytest.approx(low, abs=6e-5)
    if offset == 0.4:
        assert slide_to_roll(1.0, offset, cloth()).distance == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("friction", "limit"), [(0.6, 0.5145), (0.5774, 0.5), (0.7, 0.5735)])
def test_miscue_limit(friction: float, limit: float) -> None:
    """sin(atan μ), tip friction 0.6 and half the radius from Alciatore; abs 6e-5."""
    assert miscue_limit(friction) == pytest.approx(limit, abs=6e-5)


@pytest.mark.parametrize(("low", "speed", "time", "distance", "left"), [
    (0.2, 1, 0.1019, 0.0917, 0.8), (0.2, 2, 0.2039, 0.3670, 1.6), (0.4, 2, 0.4077, 0.6524, 1.2),
    (0.4, 3, 0.6116, 1.4679, 1.8), (0.5, 2, 0.5097, 0.7645, 1.0), (0.5, 4, 1.0194, 3.0581, 2.0)])  # fmt: skip
def test_screw_wears_off(low: float, speed: float, time: float, distance: float, left: float) -> None:
    """From the sliding equations; abs 6e-5; the general path agrees that the ball is at stun there."""
    found = draw_fades(speed, low, cloth())
    assert (found.time, found.distance, found.speed) == pytest.approx((time, distance, left), abs=6e-5)
    there = arrival(speed, -low, found.distance, cloth())
    assert there is not None
    assert there == pytest.approx((left, 0.0), abs=1e-6)


def test_head_on_draw_returns_at_two_sevenths() -> None:
    """(2/7) k v: 0.5714 m/s and 1.664 m for k 1, v 2; 0.416 m for k 0.5; abs 6e-4."""
    assert settled(0j, -2 + 0j).real == pytest.approx(-0.5714, abs=6e-5)
    assert roll_distance(4 / 7, cloth()) == pytest.approx(1.664, abs=6e-4)
    assert roll_distance(2 / 7, cloth()) == pytest.approx(0.416, abs=6e-4)


def test_raised_cue_final_direction() -> None:
    """Coriolis's example: v (2, 0), R ω (-0.4, 0, 1) settles at (1.4286, 0.1143), turned 4.574 deg; abs
    6e-5.
    """
    leg = next_leg(Ball(0j, 2 + 0j, 0.4j, 1.0), cloth())
    assert leg is not None
    end = leg.ball(leg.duration).velocity
    assert (end.real, end.imag) == pytest.approx((1.4286, 0.1143), abs=6e-5)
    assert math.degrees(math.atan2(end.imag, end.real)) == pytest.approx(4.574, abs=6e-4)


@pytest.mark.parametrize(
    ("ratio", "angles"),
    [(20, (0.607, 1.485, 2.709)), (30, (0.426, 1.040, 1.886)), (40, (0.328, 0.800, 1.446))],
)
def test_squirt(ratio: float, angles: tuple[float, ...]) -> None:
    """R. Shepard (2001); Alciatore TP A.31; derived again from momentum; abs 6e-4 deg."""
    assert [math.degrees(squirt(b, ratio)) for b in (0.1, 0.25, 0.5)] == pytest.approx(angles, abs=6e-4)


def test_speed_words() -> None:
    """Alciatore, physical properties: touch 1.5 mph … power 15 mph; 1 mph = 0.44704 m/s; abs 0.001."""
    found = [
        SPEED_WORDS[w] for w in ("touch", "slow", "medium-soft", "medium", "medium-fast", "fast", "power")
    ]
    assert found == pytest.approx([0.671, 1.341, 2.235, 3.129, 3.576, 5.364, 6.706], abs=1e-3)


@pytest.mark.parametrize(("side", "slope", "height"), [(0.3, 10, 0.0), (-0.2, 25, 0.2), (0.4, 5, -0.3)])
def test_swerve_path_against_integration(side: float, slope: float, height: float) -> None:
    """The parabola against scipy on the three-dimensional spin vector and Coulomb friction; abs 0.2 mm, 1e-3
    m/s.
    """
    radius, mu, g = 0.02625, 0.2, 9.81
    ball = struck_ball(3.0, height, side, math.radians(slope), 1 + 0j)
    # Angular momentum of the blow: r x J about the centre, offsets taken square to the cue.
    down = math.radians(slope)
    way = np.array([math.cos(down), 0.0, -math.sin(down)])
    up, right = np.array([math.sin(down), 0.0, math.cos(down)]), np.array([0.0, -1.0, 0.0])
    omega = 2.5 / radius**2 * np.cross(radius * (height * up + side * right), 3.0 * way)

    def slide(_t: float, y: np.ndarray) -> np.ndarray:
        slip = y[2:4] + np.cross(y[4:7], [0, 0, -radius])[:2]
        push = -mu * g * slip / max(float(np.linalg.norm(slip)), 1e-9)
        spin = 2.5 / radius**2 * np.cross([0, 0, -radius], [*push, 0.0])
        return np.array([*y[2:4], *push, *spin])

    leg = next_leg(ball, cloth())
    assert leg is not None
    start = [0, 0, 3 * way[0], 0, *omega]
    times = np.linspace(0, leg.duration * 0.98, 20)
    found = solve_ivp(slide, (0, times[-1]), start, t_eval=times, rtol=1e-9, atol=1e-11)
    for t, y in zip(times, found.y.T, strict=True):
        there = leg.ball(float(t))
        assert (there.place.real, there.place.imag) == pytest.approx((y[0], y[1]), abs=2e-4)
        assert (there.velocity.real, there.velocity.imag) == pytest.approx((y[2], y[3]), abs=1e-3)


def test_right_side_squirts_left_and_a_raised_butt_brings_it_back() -> None:
    """Signs as in Shepard (2001): right side sends the white left; raising the butt makes it curve back
    right.
    """
    level, raised = (
        side_error(0.3, 0.0, 2.0, 2.0, STANDARD),
        side_error(0.3, math.radians(10), 2.0, 2.0, STANDARD),
    )
    assert level.squirt < 0
    assert level.offset is not None
    assert level.offset < 0
    assert raised.offset is not None
    assert raised.offset > level.offset
