"""Throw: friction between the balls pushes the object ball off the line of centres.

Source: D. G. Alciatore, technical proof TP A.14 (title from memory); the no-slip limit 1/7 is exact for equal
solid spheres. The three friction constants are a fit to pool balls, from memory: inputs, not facts. Trends
hold whatever the constants: most throw for slow stun near half ball, less when faster, rolling or drawn, none
with gearing side.
"""

from __future__ import annotations

import math

from knowledge.mechanics.inputs import within

FRICTION_FIT = (0.009951, 0.108, 1.088)
"""a, b, c of friction a + b exp(-c v), v in m/s; from memory."""


def throw_angle(
    speed: float,
    cut: float,
    roll: float = 0.0,
    side: float = 0.0,
    fit: tuple[float, float, float] = FRICTION_FIT,
) -> float:
    """Throw of the object ball in radians, positive towards the cue ball's direction of travel.

    speed: arrival, m/s. roll: R·ω along the travel over speed (1 rolling, 0 stun, negative screw).
    side: R·ω about the vertical over speed, positive where it cancels the slip (outside side).
    """
    within("speed", speed, 1e-6, 20.0, "m/s")
    within("cut angle", cut, 0.0, math.radians(89.9), "deg", math.pi / 180)
    across = speed * (math.sin(cut) - side)
    slip = math.hypot(across, speed * roll * math.cos(cut))
    if slip < 1e-12:
        return 0.0
    a, b, c = fit
    normal = speed * math.cos(cut)
    grip = min((a + b * math.exp(-c * slip)) * normal / slip, 1 / 7)
    return math.atan(grip * across / normal)


def gearing_offset(cut: float) -> float:
    """Outside side that makes the balls roll on each other: tip offset over ball radius, (2/5) sin(cut).
    Exact.
    """
    return 0.4 * math.sin(within("cut angle", cut, 0.0, math.pi / 2, "deg", math.pi / 180))
