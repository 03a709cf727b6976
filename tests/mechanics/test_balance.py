"""Energy and momentum: nothing is made, momentum is kept where nothing outside pushes."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from knowledge.mechanics.conditions import STANDARD
from knowledge.mechanics.contact import contact, settled, struck
from knowledge.mechanics.cushion import rebound
from knowledge.mechanics.motion import Ball, next_leg
from knowledge.mechanics.pack import arc_after_contact, into_pack, pass_on, triangle

speeds = st.floats(0.01, 8.0)
turns = st.floats(-math.pi, math.pi)
spins = st.complex_numbers(max_magnitude=8.0, allow_nan=False, allow_infinity=False)


def energy(ball: Ball) -> float:
    """Twice the energy over the mass: v² + (2/5)(R ω)²."""
    return abs(ball.velocity) ** 2 + 0.4 * (abs(ball.roll) ** 2 + ball.side**2)


@given(speeds, turns, turns, st.floats(0.5, 1.0))
def test_two_balls_keep_momentum_and_lose_only_what_restitution_takes(
    speed: float, way: float, line: float, e: float
) -> None:
    v, n = speed * cmath.exp(1j * way), cmath.exp(1j * line)
    assume((v * n.conjugate()).real > 0)
    white, ball = struck(v, n, e)
    assert white + ball == pytest.approx(v)
    along = (v * n.conjugate()).real
    lost = speed**2 - abs(white) ** 2 - abs(ball) ** 2
    assert lost == pytest.approx((1 - e * e) / 2 * along**2, abs=1e-9)


@given(st.floats(0, 1))
def test_an_ideal_contact_keeps_the_energy(fraction: float) -> None:
    found = contact(fraction)
    assert found.object_speed**2 + found.cue_speed**2 == pytest.approx(1.0)
    assert found.stun_deg + found.cut_deg == pytest.approx(90.0, abs=1e-6)


@given(spins, spins)
def test_settling_keeps_angular_momentum_about_the_cloth(velocity: complex, roll: complex) -> None:
    """Friction acts at the cloth, so v + (2/5) R ω stays; energy can only fall."""
    end = settled(velocity, roll)
    assert 7 * end == pytest.approx(5 * velocity + 2 * roll, abs=1e-9)
    assert energy(Ball(0j, end, end)) <= energy(Ball(0j, velocity, roll)) + 1e-9


@given(spins, spins, st.floats(-8, 8))
def test_a_slide_ends_in_rolling_and_never_gains_energy(
    velocity: complex, roll: complex, side: float
) -> None:
    ball = Ball(1 + 1j, velocity, roll, side)
    leg = next_leg(ball, STANDARD)
    assume(leg is not None)
    assert leg is not None
    before = energy(ball)
    for i in range(1, 11):
        now = energy(leg.ball(leg.duration * i / 10))
        assert now <= before + 1e-9
        before = now
    if leg.kind == "sliding":
        end = leg.ball(leg.duration)
        assert abs(end.velocity - end.roll) < 1e-6
        assert end.velocity == pytest.approx(settled(velocity, roll), abs=1e-6)


@given(speeds, st.floats(-1.4, 1.4), spins, st.floats(-8, 8), st.floats(0.5, 1.0), st.floats(0, 0.4))
def test_a_cushion_never_gives_energy(
    speed: float, way: float, roll: complex, side: float, e: float, friction: float
) -> None:
    cloth = replace(STANDARD, nose_restitution=e, nose_friction=friction)
    ball = Ball(0j, speed * cmath.exp(1j * way), roll, side)
    assert energy(rebound(ball, 1 + 0j, cloth)) <= energy(ball) + 1e-9


@given(st.floats(-1.5, 1.5), spins, st.floats(-5, 5), st.sampled_from([1 + 0j, -1 + 0j, 1j, -1j]))
def test_every_cushion_is_the_same_cushion(way: float, roll: complex, side: float, outward: complex) -> None:
    """Turning the table turns the answer with it."""
    v = 2 * cmath.exp(1j * way)
    plain = rebound(Ball(0j, v, roll, side), 1 + 0j, STANDARD)
    turned = rebound(Ball(0j, v * outward, roll * outward, side), outward, STANDARD)
    assert turned.velocity == pytest.approx(plain.velocity * outward)
    assert turned.roll == pytest.approx(plain.roll * outward)
    assert turned.side == pytest.approx(plain.side)


@settings(max_examples=25, deadline=None)
@given(st.integers(2, 5), st.floats(0.0, 1.0), st.floats(-0.4, 0.4))
def test_a_pack_keeps_momentum_and_gains_no_energy(rows: int, e: float, way: float) -> None:
    d = STANDARD.diameter
    balls = triangle(rows, 0j, d)
    white = -1j * d * cmath.exp(1j * way)
    velocity = 1j * cmath.exp(1j * way)
    after = pass_on([white, *balls], [velocity] + [0j] * len(balls), d, e)
    assert sum(after) == pytest.approx(velocity, abs=1e-9)
    assert sum(abs(v) ** 2 for v in after) <= 1 + 1e-9


def test_three_in_a_row_pass_the_blow_to_the_group() -> None:
    """White into two touching balls: no ball is left approaching, and the last one leaves fastest or
    together.
    """
    d = STANDARD.diameter
    after = pass_on([0j, d + 0j, 2 * d + 0j], [1 + 0j, 0j, 0j], d, 1.0)
    assert after[1].real - after[0].real == pytest.approx(1.0, abs=1e-6)
    assert after[2].real >= after[1].real - 1e-9


def test_a_flat_tight_pack_holds_the_white_and_a_loose_one_lets_it_through() -> None:
    for roll in (0.5, 1.0, 1.25):
        tight, loose = (into_pack(3.0, roll, STANDARD, tight=t) for t in (True, False))
        assert not tight.through
        assert tight.settled < 0.1
        assert loose.through
        assert tight.moved > loose.moved


def test_top_spin_bends_the_white_forward_and_screw_bends_it_back() -> None:
    top, stun, screw = (arc_after_contact(0.5, 3.0, r, STANDARD) for r in (1.0, 0.0, -0.8))
    assert top.end_angle < top.start_angle
    assert stun.bend == pytest.approx(0.0, abs=1e-9)
    assert screw.end_angle > screw.start_angle
    assert top.meets is not None
    assert abs(top.meets.place) == pytest.approx(0.5, abs=1e-6)


def test_a_harder_shot_carries_the_arc_farther_out() -> None:
    soft, hard = (arc_after_contact(0.5, v, 1.0, STANDARD).rolls_after for v in (1.5, 3.0))
    assert hard == pytest.approx(4 * soft, rel=1e-3)
