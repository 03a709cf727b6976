"""The ball meets a cushion: a plain mirror with a loss, and the published nose model with running or check
side.

Nose model: rigid impulse at a nose above the ball's middle, restitution across it, Coulomb friction along it,
solved in closed form (sticking when the friction cone allows, else sliding); the structure is that of I. Han,
"Dynamics in carom and three cushion billiards", J. Mech. Sci. Technol. 19 (2005) 976-984 (from memory,
derived again here). Restitution 0.98 and friction 0.14: Mathavan, Jackson & Parkin (2010), whose model adds
bed friction, left out here. Not to be trusted above 2.5 m/s across the cushion, nor for a ball that hops.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from knowledge.mechanics.conditions import Conditions
from knowledge.mechanics.contact import settled
from knowledge.mechanics.inputs import within
from knowledge.mechanics.motion import Ball

TRUSTED_SPEED = 2.5
"""Speed across the cushion up to which the snooker measurement holds, m/s (Mathavan et al. 2010)."""


def mirror_angle(angle_in: float, ratio: float) -> float:
    """Angle out, from the cushion's normal, of the plain model: tan(out) = tan(in) / ratio. Radians."""
    within("angle in", angle_in, 0.0, math.radians(89.99), "deg", math.pi / 180)
    return math.atan(math.tan(angle_in) / within("cushion speed ratio", ratio, 0.1, 1.0))


def rebound(ball: Ball, outward: complex, cloth: Conditions) -> Ball:
    """The ball directly after the cushion whose unit normal, pointing off the table, is ``outward``."""
    along = 1j * outward
    v_n, v_t = (ball.velocity * outward.conjugate()).real, (ball.velocity * along.conjugate()).real
    w_n, w_t = (ball.roll * outward.conjugate()).real, (ball.roll * along.conjugate()).real
    rise = (cloth.nose_height - cloth.radius) / cloth.radius
    level = math.sqrt(1 - rise * rise)
    slip_t = v_t + ball.side * level + w_t * rise
    slip_q = -v_n * rise - w_n
    normal = (1 + cloth.nose_restitution) * v_n * level
    slip = math.hypot(slip_t, slip_q)
    grip = 0.0 if slip == 0 else min(2 / 7 * slip, cloth.nose_friction * normal) / slip
    rub_t, rub_q = -grip * slip_t, -grip * slip_q
    velocity = (v_n - normal * level - rub_q * rise) * outward + (v_t + rub_t) * along
    roll = (w_n - 2.5 * rub_q) * outward + (w_t + 2.5 * rub_t * rise) * along
    return Ball(ball.place, velocity, roll, ball.side + 2.5 * rub_t * level)


@dataclass(frozen=True, slots=True)
class Rebound:
    """Angles from the cushion's normal in degrees (out_deg at once, settled_deg once rolling), speeds in m/s.

    trusted: False above 2.5 m/s across the cushion.
    """

    in_deg: float
    out_deg: float
    settled_deg: float
    speed_out: float
    settled_speed: float
    trusted: bool


def rebound_of(
    angle_in: float, speed: float, cloth: Conditions, roll: float = 1.0, side: float = 0.0
) -> Rebound:
    """A ball meeting a cushion at an angle from the normal (radians).

    roll: R·ω along the travel over speed (1 rolling). side: R·ω_z over speed; positive is running side
    (widens), negative is check side. Raises: ImpossibleInput.
    """
    within("angle in", angle_in, 0.0, math.radians(89.0), "deg", math.pi / 180)
    within("speed", speed, 1e-3, 20.0, "m/s")
    within("roll", roll, -1.5, 1.5, "of rolling")
    within("side spin", side, -1.5, 1.5, "of speed")
    # Outward is +x, the ball runs towards +y; the nose drives it along +y when its side is clockwise.
    velocity = speed * complex(math.cos(angle_in), math.sin(angle_in))
    after = rebound(Ball(0j, velocity, roll * velocity, -side * speed), 1 + 0j, cloth)
    rolling = settled(after.velocity, after.roll)
    return Rebound(
        in_deg=math.degrees(angle_in),
        out_deg=_from_normal(after.velocity),
        settled_deg=_from_normal(rolling),
        speed_out=abs(after.velocity),
        settled_speed=abs(rolling),
        trusted=velocity.real <= TRUSTED_SPEED,
    )


def _from_normal(velocity: complex) -> float:
    return math.degrees(math.atan2(velocity.imag, -velocity.real))
