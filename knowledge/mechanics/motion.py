"""A ball on the cloth: sliding on a parabola, then rolling straight, then at rest.

Source: G. Coriolis (1835); any rigid-body text. While it slides, friction is constant and points against the
slip of the touching point; the slip keeps its direction, so the path is a parabola. Left out: the nap, and
the change of rolling resistance with speed. Side (spin about the vertical) dies at 10 rad/s² (Alciatore,
physical properties).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from knowledge.mechanics.conditions import GRAVITY, Conditions
from knowledge.mechanics.inputs import within

SIDE_DECAY = 10.0
SPEED_LIMIT = 20.0
MISCUE_FRICTION = 0.6
"""Tip on ball (Alciatore, physical properties)."""


@dataclass(frozen=True, slots=True)
class Ball:
    """place and velocity of the centre; roll: R·ω as the velocity the spin would roll at; side: R·ω_z, ccw
    positive.
    """

    place: complex
    velocity: complex
    roll: complex = 0j
    side: float = 0.0


@dataclass(frozen=True, slots=True)
class Leg:
    """One stretch of constant acceleration; the ball at its start, and how long it lasts in seconds."""

    kind: Literal["sliding", "rolling"]
    start: Ball
    push: complex
    spin_push: complex
    side_loss: float
    duration: float

    def place(self, t: float) -> complex:
        """Centre at t seconds into the leg."""
        return self.start.place + (self.start.velocity + self.push * t / 2) * t

    def ball(self, t: float) -> Ball:
        """Whole state at t seconds into the leg."""
        side = self.start.side
        kept = math.copysign(max(0.0, abs(side) - self.side_loss * t), side)
        return Ball(
            self.place(t), self.start.velocity + self.push * t, self.start.roll + self.spin_push * t, kept
        )

    def length(self, t: float | None = None) -> float:
        """Distance travelled in the leg, up to t: exact for a straight leg, Simpson's rule for a curved
        one.
        """
        end = self.duration if t is None else t
        v, a = self.start.velocity, self.push
        if abs((v * a.conjugate()).imag) < 1e-12 * (1 + abs(v) * abs(a)):
            return _straight_length(v, a, end)
        steps = 32
        speeds = [abs(v + a * end * i / steps) for i in range(steps + 1)]
        return end / steps / 3 * (speeds[0] + speeds[-1] + 4 * sum(speeds[1:-1:2]) + 2 * sum(speeds[2:-1:2]))


def _straight_length(v: complex, a: complex, end: float) -> float:
    """Length of a straight leg, counting a turn back (screw) both ways."""
    if a == 0:
        return abs(v) * end
    turn = -(v * a.conjugate()).real / abs(a) ** 2
    if 0 < turn < end:
        return abs(v) * turn / 2 + abs(v + a * end) * (end - turn) / 2
    return (abs(v) + abs(v + a * end)) / 2 * end


def next_leg(ball: Ball, cloth: Conditions) -> Leg | None:
    """The leg that starts now: sliding while the touching point slips, else rolling to rest; None at rest."""
    slip = ball.velocity - ball.roll
    loss = SIDE_DECAY * cloth.radius
    if abs(slip) > 1e-9:
        push = -cloth.slide_deceleration * slip / abs(slip)
        return Leg("sliding", ball, push, -2.5 * push, loss, 2 * abs(slip) / (7 * cloth.slide_deceleration))
    speed = abs(ball.velocity)
    if speed < 1e-6:
        return None
    push = -cloth.roll_deceleration * ball.velocity / speed
    return Leg("rolling", ball, push, push, loss, speed / cloth.roll_deceleration)


@dataclass(frozen=True, slots=True)
class Settling:
    """Until a ball rolls: seconds, metres, and the speed it then has."""

    time: float
    distance: float
    speed: float


def slide_to_roll(speed: float, height: float, cloth: Conditions) -> Settling:
    """A ball struck at this speed, tip height over ball radius above (+) or below (-) the middle.

    Unspun: time 2v/(7 μ g), distance 12 v²/(49 μ g), speed 5/7 v. Raises: ImpossibleInput.
    """
    within("speed", speed, 0.0, SPEED_LIMIT, "m/s")
    leg = next_leg(Ball(0j, complex(speed), complex(spin_from_offset(height) * speed)), cloth)
    if leg is None or leg.kind == "rolling":
        return Settling(0.0, 0.0, speed)
    end = leg.ball(leg.duration)
    return Settling(leg.duration, end.place.real, end.velocity.real)


def roll_distance(speed: float, cloth: Conditions) -> float:
    """How far a rolling ball goes before it stops: v² / (2 μr g)."""
    return within("speed", speed, 0.0, SPEED_LIMIT, "m/s") ** 2 / (2 * cloth.roll_deceleration)


def roll_time(speed: float, cloth: Conditions) -> float:
    """How long it takes: v / (μr g)."""
    return within("speed", speed, 0.0, SPEED_LIMIT, "m/s") / cloth.roll_deceleration


def speed_to_die_at(distance: float, cloth: Conditions) -> float:
    """Rolling speed that is used up after this distance: sqrt(2 μr g s)."""
    return math.sqrt(2 * cloth.roll_deceleration * within("distance", distance, 0.0, 100.0, "m"))


def rolling_resistance_from_time(distance: float, time: float) -> float:
    """Rolling resistance of a cloth from a roll that stops: 2 s / (g t²). Measure your own table with a tape
    and a watch.
    """
    within("distance", distance, 0.01, 100.0, "m")
    return 2 * distance / (GRAVITY * within("time", time, 0.1, 120.0, "s") ** 2)


def spin_from_offset(offset: float) -> float:
    """R·ω over v for a tip offset over ball radius: 5/2 b/R. Offset 2/5 rolls at once (centre of
    percussion).
    """
    return 2.5 * within("tip offset", offset, -1.0, 1.0, "ball radii")


def miscue_limit(friction: float = MISCUE_FRICTION) -> float:
    """Largest tip offset over ball radius before the tip slips: sin(atan μ). Half the radius is the usual
    advice.
    """
    return math.sin(math.atan(within("tip friction", friction, 0.05, 2.0)))


@dataclass(frozen=True, slots=True)
class Fading:
    """Where screw has gone and the ball is at stun: seconds, metres, and the speed left."""

    time: float
    distance: float
    speed: float


def draw_fades(speed: float, low: float, cloth: Conditions) -> Fading:
    """A ball struck low (tip offset over radius below the middle, 0 to 0.5): when its backspin has worn off.

    t = (b/R) v / (μ g), s = v² [(b/R) - (b/R)²/2] / (μ g), v (1 - b/R) left.
    """
    within("speed", speed, 0.0, SPEED_LIMIT, "m/s")
    within("low offset", low, 0.0, 0.5, "ball radii")
    a = cloth.slide_deceleration
    return Fading(low * speed / a, speed**2 * (low - low**2 / 2) / a, speed * (1 - low))


def arrival(speed: float, height: float, distance: float, cloth: Conditions) -> tuple[float, float] | None:
    """(speed, roll over speed) when a ball struck straight has gone this far; None when it stops before.

    Raises: ImpossibleInput.
    """
    within("distance", distance, 0.0, 100.0, "m")
    within("speed", speed, 0.0, SPEED_LIMIT, "m/s")
    ball = Ball(0j, complex(speed), complex(spin_from_offset(height) * speed))
    while (leg := next_leg(ball, cloth)) is not None:
        t = time_along(leg, 1 + 0j, distance)
        if t is not None:
            there = leg.ball(t)
            v = there.velocity.real
            return (v, there.roll.real / v) if v > 1e-9 else None
        ball = leg.ball(leg.duration)
        if leg.kind == "rolling":
            return None
    return None


def time_along(leg: Leg, direction: complex, distance: float) -> float | None:
    """First moment at which the leg has advanced to ``distance`` along a direction from the frame's
    origin.
    """
    gap = distance - (leg.start.place * direction.conjugate()).real
    v = (leg.start.velocity * direction.conjugate()).real
    a = (leg.push * direction.conjugate()).real
    return first_root(a / 2, v, -gap, leg.duration)


def first_root(a: float, b: float, c: float, limit: float) -> float | None:
    """Smallest root of a t² + b t + c in [0, limit], or None."""
    if abs(a) < 1e-14:
        roots = [] if b == 0 else [-c / b]
    else:
        disc = b * b - 4 * a * c
        if disc < 0:
            return None
        q = -(b + math.copysign(math.sqrt(disc), b)) / 2
        roots = [q / a] + ([c / q] if q != 0 else [])
    good = [t for t in roots if -1e-12 <= t <= limit + 1e-12]
    return max(0.0, min(good)) if good else None
