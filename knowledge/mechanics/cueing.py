"""The cue: what of the white it can reach from the cushion, squirt and swerve, cue travel from the arms.

Squirt: R. Shepard, "Everything you always wanted to know about cue ball squirt, but were afraid to ask"
(2001), and D. G. Alciatore, TP A.31, derived again from momentum across the cue. Swerve: Coriolis (1835). The
geometry of rail and arms is plane trigonometry; rail height, tip size and joint limits are common practice,
no source. Left out: the cue's taper and bend, cloth compression, and anything about a particular body.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from knowledge.mechanics.conditions import Conditions
from knowledge.mechanics.inputs import ImpossibleInput, within
from knowledge.mechanics.motion import SPEED_LIMIT, Ball, Leg, miscue_limit, next_leg, time_along

DEGREE = math.pi / 180
RAIL_TOP = 0.038
"""Height of the cushion's upper edge above the bed, metres; common practice, no source."""
TIP_DIAMETER = 0.0095
CUE_LENGTH = 1.45
ADVISED_OFFSET = 0.5
"""Half the radius: the generally accepted limit (Alciatore, "How High or Low Should You Hit the Cue
Ball?").
"""


@dataclass(frozen=True, slots=True)
class RailView:
    """White near a cushion that the cue crosses, at one slope of the cue.

    seen: share of the white's diameter in sight along the cue, 0 to 1. lowest: lowest tip offset over radius
    that the tip reaches (+ above the middle). butt_rise: butt end above the tip, metres. reachable: lowest is
    inside the miscue limit.
    """

    slope: float
    seen: float
    lowest: float
    butt_rise: float
    reachable: bool


def rail_view(
    gap: float,
    slope: float,
    cloth: Conditions,
    *,
    rail_top: float = RAIL_TOP,
    tip: float = TIP_DIAMETER,
    cue_length: float = CUE_LENGTH,
) -> RailView:
    """What can be seen and struck of a white ``gap`` metres off the cushion with the cue sloping down by
    ``slope`` radians.

    The cue's lower side passes over the cushion's edge. lowest = ((h - R) cos - (R + gap) sin + tip radius) /
    R. Raises: ImpossibleInput.
    """
    within("gap to the cushion", gap, 0.0, 1.0, "mm", 1e-3)
    within("slope of the cue", slope, 0.0, math.radians(80), "deg", DEGREE)
    within("rail height", rail_top, 0.01, 0.08, "mm", 1e-3)
    within("tip diameter", tip, 0.006, 0.015, "mm", 1e-3)
    within("cue length", cue_length, 0.914, 2.0, "mm", 1e-3)
    r = cloth.radius
    edge = (rail_top - r) * math.cos(slope) - (r + gap) * math.sin(slope)
    lowest = max(-1.0, (edge + tip / 2) / r)
    seen = min(1.0, max(0.0, (r - edge) / (2 * r)))
    return RailView(slope, seen, lowest, cue_length * math.sin(slope), lowest <= miscue_limit())


def slope_for(
    gap: float, offset: float, cloth: Conditions, *, rail_top: float = RAIL_TOP, tip: float = TIP_DIAMETER
) -> float:
    """Least slope in radians at which the tip reaches this offset over radius; 0 when a level cue does.

    Raises: ImpossibleInput when even a steep cue does not.
    """
    within("tip offset", offset, -1.0, 1.0, "ball radii")
    r = cloth.radius
    if rail_view(gap, 0.0, cloth, rail_top=rail_top, tip=tip).lowest <= offset:
        return 0.0
    # (h - R) cos s - (R + gap) sin s = offset R - tip/2, a single sine in s.
    high, back = rail_top - r, r + gap
    size, phase = math.hypot(high, back), math.atan2(back, high)
    want = (offset * r - tip / 2) / size
    if abs(want) > 1:
        raise ImpossibleInput("tip offset", "cannot be reached over this cushion", "Strike higher.")
    return within("slope of the cue", math.acos(want) - phase, 0.0, math.radians(80), "deg", DEGREE)


def offset_at_contact(cue_offset: float, ball_radius: float, dome: float = 0.0085) -> float:
    """Where a domed tip touches: contact offset over ball radius for the cue's axis ``cue_offset`` metres off
    centre.

    The dome's centre, the touching point and the ball's centre lie on a line: y / (R + dome).
    """
    within("tip dome radius", dome, 0.0, 0.05, "mm", 1e-3)
    within("cue offset", cue_offset, -(ball_radius + dome), ball_radius + dome, "mm", 1e-3)
    return cue_offset / (ball_radius + dome)


def squirt(offset: float, ball_to_end_mass: float = 30.0) -> float:
    """Deflection of the white off the cue's line, radians, away from the side struck (same sign as offset).

    tan = (5/2) b sqrt(1 - b²) / (1 + m/me + (5/2)(1 - b²)), b the side offset over radius. Does not depend on
    speed.
    """
    within("side offset", offset, -1.0, 1.0, "ball radii")
    within("ball mass over end mass", ball_to_end_mass, 1.0, 200.0)
    left = 1 - offset * offset
    return math.atan(2.5 * offset * math.sqrt(left) / (1 + ball_to_end_mass + 2.5 * left))


def struck_ball(
    speed: float, height: float, side: float, slope: float, line: complex, place: complex = 0j
) -> Ball:
    """The white as it leaves the tip along ``line`` (unit): roll, side spin and, with a raised butt, sideways
    roll.

    height, side: tip offsets over radius, seen along the cue (+ above, + right). speed: along the cue, m/s.
    Right side on a raised cue rolls the white to the right. Raises: ImpossibleInput.
    """
    within("speed", speed, 0.0, SPEED_LIMIT, "m/s")
    within("slope of the cue", slope, 0.0, math.radians(80), "deg", DEGREE)
    within("tip height", height, -1.0, 1.0, "ball radii")
    within("side", side, -1.0, 1.0, "ball radii")
    if math.hypot(height, side) > 1:
        raise ImpossibleInput(
            "tip offset", f"{math.hypot(height, side):.2f} radii misses the white", "Stay within 0.5."
        )
    across = -2.5j * side * speed * math.sin(slope)
    return Ball(
        place,
        line * speed * math.cos(slope),
        line * (2.5 * height * speed + across),
        2.5 * side * speed * math.cos(slope),
    )


@dataclass(frozen=True, slots=True)
class SideError:
    """What side does to the white's way, radians, + to the right of the cue's line; offset in metres at the
    distance.

    squirt: at once. swerve: turn of the final direction by the raised butt. net: direction from the tip to
    the place at the distance. None offset and net when the white does not get there.
    """

    squirt: float
    swerve: float
    offset: float | None
    net: float | None


def side_error(
    side: float,
    slope: float,
    speed: float,
    distance: float,
    cloth: Conditions,
    *,
    height: float = 0.0,
    ball_to_end_mass: float = 30.0,
) -> SideError:
    """Squirt and swerve together at ``distance`` metres for a tip offset to the right over radius.

    Raises: ImpossibleInput.
    """
    within("distance", distance, 0.01, 10.0, "m")
    away = squirt(side, ball_to_end_mass)
    line = complex(math.cos(away), math.sin(away))  # left of the cue's line for right side
    ball = struck_ball(speed, height, side, slope, line)
    leg = next_leg(ball, cloth)
    if leg is None:
        return SideError(-away, 0.0, None, None)
    final = leg.ball(leg.duration).velocity / line if leg.kind == "sliding" else leg.start.velocity / line
    swerve = -math.atan2(final.imag, final.real)
    end = cross(ball, 1 + 0j, distance, cloth)
    if end is None:
        return SideError(-away, swerve, None, None)
    offset = -end.place.imag
    return SideError(-away, swerve, offset, math.atan2(offset, distance))


def cross(ball: Ball, direction: complex, distance: float, cloth: Conditions) -> Ball | None:
    """The ball's state when it has advanced this far along a direction from the origin; None if it stops
    before.
    """
    found = legs_to(ball, direction, distance, cloth)
    return found[0] if found else None


def legs_to(
    ball: Ball, direction: complex, distance: float, cloth: Conditions
) -> tuple[Ball, list[tuple[Leg, float]]] | None:
    """State on arrival and the legs (with the seconds used of each) on the way; None if the ball stops
    before.
    """
    used: list[tuple[Leg, float]] = []
    while (leg := next_leg(ball, cloth)) is not None:
        t = time_along(leg, direction, distance)
        if t is not None:
            return leg.ball(t), [*used, (leg, t)]
        used.append((leg, leg.duration))
        ball = leg.ball(leg.duration)
        if leg.kind == "rolling":
            return None
    return None


@dataclass(frozen=True, slots=True)
class CueTravel:
    """Lengths in metres. reach: chest to bridge hand. backswing and through: before and after the white.

    through_room: from the grip hand to the chest at contact. hand_rise: how far a fixed elbow lifts the hand
    at the back. backswing_angle: of the forearm, radians. limit: which of swing, chest or bridge ends the
    follow-through or backswing.
    """

    reach: float
    backswing: float
    through: float
    through_room: float
    hand_rise: float
    backswing_angle: float
    limit: str


def cue_travel(
    upper_arm: float,
    forearm_hand: float,
    elbow_bend: float,
    backswing: float,
    bridge: float,
    grip_to_bridge: float = 1.0,
) -> CueTravel:
    """Cue travel from arm lengths (metres) with the bridge arm bent by ``elbow_bend`` radians (0 straight).

    Reach is the third side of the triangle of upper arm and forearm with hand. The forearm swings from a
    fixed elbow and hangs upright at contact; it swings through as far as it came back, unless the grip hand
    meets the chest first. A bent bridge arm brings the body nearer to the white and the chest nearer to the
    bridge, so the hand has more room behind the chest. The backswing cannot be longer than the bridge
    distance less a tip's safety of 20 mm. Raises: ImpossibleInput.
    """
    within("upper arm", upper_arm, 0.15, 0.50, "mm", 1e-3)
    within("forearm with hand", forearm_hand, 0.25, 0.70, "mm", 1e-3)
    within("bend of the bridge arm", elbow_bend, 0.0, math.radians(150), "deg", DEGREE)
    within("bridge distance", bridge, 0.05, 0.60, "mm", 1e-3)
    within("backswing", backswing, 0.0, 0.60, "mm", 1e-3)
    within("grip to bridge", grip_to_bridge, 0.3, 1.3, "mm", 1e-3)
    inner = math.pi - elbow_bend
    reach = math.sqrt(upper_arm**2 + forearm_hand**2 - 2 * upper_arm * forearm_hand * math.cos(inner))
    # The fist closes about three quarters of the way from elbow to fingertip (common practice, no source).
    pendulum = forearm_hand * 0.75
    back = min(backswing, bridge - 0.02, pendulum * math.sin(math.radians(75)))
    room = max(0.0, grip_to_bridge - reach)
    through = min(back, room)
    angle = math.asin(back / pendulum)
    limit = "bridge" if back < backswing - 1e-9 else ("chest" if room < back else "swing")
    return CueTravel(reach, back, through, room, pendulum * (1 - math.cos(angle)), angle, limit)
