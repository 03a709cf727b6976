"""The cushion against the plain mirror model and against impulse-by-impulse integration of the nose model.

Sources: elementary mirror model; S. Mathavan, M. R. Jackson & R. M. Parkin, Proc. IMechE C 224 (2010)
1863-1873 for restitution 0.98 and friction 0.14 (snooker); D. G. Alciatore, physical properties, for a
cushion speed ratio of 0.6-0.9.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from knowledge.mechanics.conditions import STANDARD
from knowledge.mechanics.cushion import mirror_angle, rebound, rebound_of
from knowledge.mechanics.motion import Ball


@pytest.mark.parametrize(
    ("angle", "ratio", "out"), [(45, 0.75, 53.130), (30, 0.75, 37.589), (60, 0.8, 65.209)]
)
def test_mirror_model(angle: float, ratio: float, out: float) -> None:
    """tan(out) = tan(in)/e; abs 6e-4 deg."""
    assert math.degrees(mirror_angle(math.radians(angle), ratio)) == pytest.approx(out, abs=6e-4)


def integrate(velocity: np.ndarray, spin: np.ndarray, steps: int = 2_000) -> tuple[np.ndarray, np.ndarray]:
    """Small normal impulses with Coulomb friction at the nose until the restitution's share is given; spin is
    R ω.
    """
    rise = (STANDARD.nose_height - STANDARD.radius) / STANDARD.radius
    normal = np.array([math.sqrt(1 - rise**2), 0.0, rise])
    v, s = velocity.astype(float), spin.astype(float)
    share = (1 + STANDARD.nose_restitution) * float(v @ normal) / steps
    for _ in range(steps):
        slip = v + np.cross(s, normal)
        slip -= (slip @ normal) * normal
        size = float(np.linalg.norm(slip))
        rub = (
            -min(STANDARD.nose_friction * share, 2 / 7 * size) * slip / size if size > 1e-15 else np.zeros(3)
        )
        v = v - share * normal + rub
        s = s + 2.5 * np.cross(normal, rub)
    return v, s


@pytest.mark.parametrize("angle", [0, 20, 45, 70])
@pytest.mark.parametrize(("roll", "side"), [(1.0, 0.0), (0.0, 0.0), (1.0, 0.8), (0.4, -0.8), (-1.0, 0.3)])
def test_closed_form_against_integration(angle: float, roll: float, side: float) -> None:
    """The same contact in 2 000 small blows; abs 2e-3 m/s at 1.5 m/s."""
    velocity = 1.5 * complex(math.cos(math.radians(angle)), math.sin(math.radians(angle)))
    rolled, turn = roll * velocity, side * 1.5
    after = rebound(Ball(0j, velocity, rolled, turn), 1 + 0j, STANDARD)
    # roll = R ω x z, so R ω = (-roll_y, roll_x, side).
    v, s = integrate(np.array([velocity.real, velocity.imag, 0]), np.array([-rolled.imag, rolled.real, turn]))
    assert (after.velocity.real, after.velocity.imag) == pytest.approx((v[0], v[1]), abs=2e-3)
    assert (after.roll.real, after.roll.imag, after.side) == pytest.approx((s[1], -s[0], s[2]), abs=5e-3)


def test_square_rebound_ratio_lies_in_the_published_range() -> None:
    """A rolling ball straight in leaves with 0.6 to 0.95 of its speed (Alciatore: 0.6-0.9 for pool cushions;
    loose).
    """
    found = rebound_of(0.0, 1.5, STANDARD)
    assert 0.6 <= found.speed_out / 1.5 <= 0.95


def test_running_side_widens_and_check_side_narrows() -> None:
    """Common practice, no source; every angle from square to 60 deg, at once after the cushion."""
    for angle in range(0, 61, 10):
        check, plain, running = (
            rebound_of(math.radians(angle), 1.5, STANDARD, side=s).out_deg for s in (-0.8, 0, 0.8)
        )
        assert check < plain + 0.05
        assert running > plain
