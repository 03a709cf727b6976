"""Two-ball contact against published figures.

Sources: D. G. Alciatore, Colorado State University, technical proofs TP 3.1 (90-degree rule) and TP 3.3
(30-degree rule), "Fractional Ball Aiming" (14.48, 30, 48.59 degrees read there) and "ball travel distances";
G. Coriolis (1835). Numbers between the published ones were worked out from their formulas in double
precision.
"""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from knowledge.mechanics.contact import (
    WIDEST_NATURAL_ANGLE,
    aim_offset,
    contact,
    cut_from_fraction,
    separation,
    settled_speeds,
    struck,
)
from knowledge.mechanics.throw import gearing_offset, throw_angle

FRACTIONS = [
    (1, 0.0, 0.0, 1.0, 0.0),
    (7 / 8, 7.181, 6.562, 0.9922, 0.125),
    (3 / 4, 14.478, 13.125, 0.9682, 0.25),
    (5 / 8, 22.024, 19.688, 0.9270, 0.375),
    (1 / 2, 30.0, 26.25, 0.8660, 0.5),
    (3 / 8, 38.682, 32.812, 0.7806, 0.625),
    (1 / 4, 48.590, 39.375, 0.6614, 0.75),
    (1 / 8, 61.045, 45.938, 0.4841, 0.875),
    (1 / 16, 69.636, 49.219, 0.3480, 0.9375),
    (0, 90.0, 52.5, 0.0, 1.0),
]


@pytest.mark.parametrize(("fraction", "cut", "offset", "ball", "white"), FRACTIONS)
def test_fraction_cut_offset_and_speeds(
    fraction: float, cut: float, offset: float, ball: float, white: float
) -> None:
    """Alciatore, TP 3.1 and Fractional Ball Aiming; angles abs 0.0006 deg, offsets abs 0.0006 mm, ratios abs
    6e-5.
    """
    found = contact(fraction)
    assert found.cut_deg == pytest.approx(cut, abs=6e-4)
    assert aim_offset(fraction, 0.0525) * 1e3 == pytest.approx(offset, abs=6e-4)
    assert found.object_speed == pytest.approx(ball, abs=6e-5)
    assert found.cue_speed == pytest.approx(white, abs=6e-5)
    assert found.stun_deg == pytest.approx(90 - cut, abs=6e-4)


@pytest.mark.parametrize(
    ("restitution", "cut", "angle"),
    [
        (1.0, 14.4775, 90.0), (0.98, 14.4775, 87.782), (0.98, 30, 89.008), (0.98, 48.5904, 89.495),
        (0.94, 14.4775, 83.373), (0.94, 30, 87.025), (0.94, 48.5904, 88.484), (0.90, 14.4775, 79.041),
        (0.90, 30, 85.050), (0.90, 48.5904, 87.475),
    ],
)  # fmt: skip
def test_the_right_angle_closes_with_less_lively_balls(restitution: float, cut: float, angle: float) -> None:
    """atan(2 tan / (1 - e)), Alciatore TP 3.1; abs 0.005 deg; and the same from the two velocities."""
    assert math.degrees(separation(math.radians(cut), restitution)) == pytest.approx(angle, abs=0.005)
    white, ball = struck(1 + 0j, cmath.exp(-1j * math.radians(cut)), restitution)
    assert math.degrees(cmath.phase(white / ball)) == pytest.approx(angle, abs=0.005)


@pytest.mark.parametrize(
    ("fraction", "angle", "white", "ball"),
    [
        (1, 0.0, 0.2857, 0.7143), (7 / 8, 16.615, 0.3098, 0.7087), (3 / 4, 27.626, 0.3729, 0.6916),
        (5 / 8, 32.742, 0.4591, 0.6622), (1 / 2, 33.670, 0.5579, 0.6186), (3 / 8, 31.679, 0.6636, 0.5576),
        (1 / 4, 27.267, 0.7734, 0.4725), (1 / 8, 19.972, 0.8859, 0.3458), (0, 0.0, 1.0, 0.0),
    ],
)  # fmt: skip
def test_natural_angle_of_a_rolling_white(fraction: float, angle: float, white: float, ball: float) -> None:
    """Alciatore TP 3.3 and Coriolis; abs 0.005 deg, ratios abs 6e-5."""
    assert contact(fraction).rolling_deg == pytest.approx(angle, abs=0.005)
    assert settled_speeds(cut_from_fraction(fraction)) == pytest.approx((white, ball), abs=6e-5)


@pytest.mark.parametrize(
    ("restitution", "half", "three_quarter", "quarter"),
    [(0.94, 31.988, 25.575, 26.254), (0.90, 30.894, 24.297, 25.583)],
)
def test_natural_angle_with_restitution(
    restitution: float, half: float, three_quarter: float, quarter: float
) -> None:
    """Same formula with e < 1; abs 0.005 deg."""
    found = [contact(f, restitution).rolling_deg for f in (0.5, 0.75, 0.25)]
    assert found == pytest.approx([half, three_quarter, quarter], abs=0.005)


def test_widest_natural_angle_lies_just_fuller_than_half_ball() -> None:
    """asin(5/9) = 33.749 deg at f = 0.5286; closed form of TP 3.3, abs 0.001."""
    angles = {f / 10000: contact(f / 10000).rolling_deg for f in range(10001)}
    best = max(angles, key=lambda f: angles[f])
    assert angles[best] == pytest.approx(33.749, abs=0.001)
    assert math.degrees(WIDEST_NATURAL_ANGLE) == pytest.approx(33.749, abs=0.001)
    assert best == pytest.approx(0.5286, abs=0.0002)


def test_full_rolling_contact_shares_five_and_two_sevenths() -> None:
    """e = 1: 5/7 and 2/7, distances 6.25 : 1; e = 0.94: 0.6929, 0.3071, 5.089 (Coriolis; abs 6e-5, 6e-4)."""
    white, ball = struck(1 + 0j, 1 + 0j, 0.94)
    pair = (5 / 7 * ball.real, 5 / 7 * white.real + 2 / 7)
    assert pair == pytest.approx((0.6929, 0.3071), abs=6e-5)
    assert (pair[0] / pair[1]) ** 2 == pytest.approx(5.089, abs=1e-3)
    w, b = settled_speeds(0.0)
    assert (b / w) ** 2 == pytest.approx(6.25)


def test_equal_travel_cuts() -> None:
    """Stun: both 0.7071 at 45 deg. Rolling: both 0.5976 at 33.211 deg (Alciatore, ball travel distances)."""
    found = contact(1 - math.sin(math.pi / 4))
    assert (found.object_speed, found.cue_speed) == pytest.approx((0.7071, 0.7071), abs=6e-5)
    assert settled_speeds(math.radians(33.211)) == pytest.approx((0.5976, 0.5976), abs=6e-5)


@pytest.mark.parametrize("fraction", [0.25, 0.5, 0.75])
def test_natural_angle_by_integrating_the_sliding(fraction: float) -> None:
    """scipy.integrate.solve_ivp on the equations of sliding friction, 2 m/s, friction 0.2; abs 0.02 deg."""
    cut = cut_from_fraction(fraction)
    white, _ = struck(2 + 0j, cmath.exp(-1j * cut), 1.0)

    def slide(_t: float, y: np.ndarray) -> list[float]:
        u = complex(y[0] - y[2], y[1] - y[3])
        push = -0.2 * 9.81 * u / max(abs(u), 1e-9)
        return [push.real, push.imag, -2.5 * push.real, -2.5 * push.imag]

    def rolls(_t: float, y: np.ndarray) -> float:
        return math.hypot(y[0] - y[2], y[1] - y[3]) - 1e-4

    rolls.terminal = True  # type: ignore[attr-defined]
    end = solve_ivp(
        slide, (0, 5), [white.real, white.imag, 2.0, 0.0], events=rolls, rtol=1e-9, atol=1e-10, max_step=0.01
    ).y[:, -1]
    assert math.degrees(math.atan2(end[1], end[0])) == pytest.approx(contact(fraction).rolling_deg, abs=0.02)


THROWS = [
    (0.5, 0, (2.192, 4.715, 4.771, 4.424, 4.221)), (1.0, 0, (2.192, 4.154, 3.433, 2.979, 2.731)),
    (1.341, 0, (2.192, 3.549, 2.773, 2.318, 2.081)), (3.129, 0, (2.192, 1.698, 1.127, 0.895, 0.801)),
    (0.5, 1, (1.077, 2.080, 2.940, 3.599, 4.013)), (1.0, 1, (0.687, 1.327, 1.877, 2.298, 2.563)),
    (3.129, 1, (0.201, 0.388, 0.549, 0.672, 0.749)),
]  # fmt: skip


@pytest.mark.parametrize(("speed", "roll", "angles"), THROWS)
def test_throw(speed: float, roll: float, angles: tuple[float, ...]) -> None:
    """Alciatore TP A.14, friction constants from memory, so inputs here; abs 0.001 deg."""
    fit = (0.009951, 0.108, 1.088)
    found = [math.degrees(throw_angle(speed, math.radians(c), roll, fit=fit)) for c in (15, 30, 45, 60, 75)]
    assert found == pytest.approx(angles, abs=1e-3)


def test_most_throw_is_about_an_inch_a_foot() -> None:
    """Alciatore, throw tutorial: atan(1/12) = 4.764 deg for slow stun near half ball, half of it rolling; abs
    0.5.
    """
    most = max(math.degrees(throw_angle(0.5, math.radians(c))) for c in range(10, 70))
    assert most == pytest.approx(4.764, abs=0.5)


@pytest.mark.parametrize(("cut", "offset"), [(15, 0.1035), (30, 0.2), (45, 0.2828), (60, 0.3464)])
def test_gearing_side_takes_the_throw_away(cut: float, offset: float) -> None:
    """No-slip condition, exact: b/R = (2/5) sin; abs 6e-5; and the throw is then nil."""
    found = gearing_offset(math.radians(cut))
    assert found == pytest.approx(offset, abs=6e-5)
    assert throw_angle(1.0, math.radians(cut), 0.0, 2.5 * found) == pytest.approx(0.0, abs=1e-12)
