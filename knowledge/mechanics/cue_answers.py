"""Answers about the cue: side, close balls, the cushion under the cue, and cue travel. SI in, trade "
"units out."""

from __future__ import annotations

import math

from knowledge.mechanics import close_ups
from knowledge.mechanics.answers import Answer, Figure, degrees
from knowledge.mechanics.close_ball import close_ball
from knowledge.mechanics.conditions import STANDARD, Conditions
from knowledge.mechanics.cueing import (
    cue_travel,
    legs_to,
    rail_view,
    side_error,
    slope_for,
    squirt,
    struck_ball,
)
from knowledge.mechanics.drawings import leg_points


def millimetres(length: float | None) -> float | None:
    """Metres to millimetres; None and infinity (no limit) become None."""
    return None if length is None or math.isinf(length) else length * 1e3


def side_answer(
    *,
    side: float,
    speed: float,
    distance: float,
    cloth: Conditions,
    butt: float = 0.0,
    end_mass: float = 30.0,
) -> Answer:
    """Squirt against swerve at a distance."""
    found = side_error(side, butt, speed, distance, cloth, ball_to_end_mass=end_mass)
    figures: dict[str, Figure] = {
        "squirt_deg": degrees(found.squirt),
        "swerve_deg": degrees(found.swerve),
        "offset_mm": millimetres(found.offset),
        "net_deg": degrees(found.net),
    }
    away = squirt(side, end_mass)
    ball = struck_ball(speed, 0.0, side, butt, complex(math.cos(away), math.sin(away)))
    way = legs_to(ball, 1 + 0j, distance, cloth)
    points = leg_points(way[1]) if way else [0j, complex(distance)]
    words = [
        f"squirt {abs(math.degrees(found.squirt)):.2f} deg to the {'left' if found.squirt < 0 else 'right'}, "
        f"swerve {abs(math.degrees(found.swerve)):.2f} deg back in the end"
    ]
    if found.offset is None:
        words.append("the white stops before the distance")
    else:
        where = "right" if found.offset > 0 else "left"
        words.append(
            f"after {distance * 1e3:.0f} mm it is {abs(found.offset) * 1e3:.1f} mm {where} of the cue's line"
        )
    return Answer(figures, close_ups.side_scene(points, words))


def close_answer(
    *,
    gap: float,
    speed: float,
    follow: float,
    butt: float = 0.0,
    fraction: float = 1.0,
    cloth: Conditions = STANDARD,  # noqa: ARG001
) -> Answer:
    """Would this be a push stroke?"""
    found = close_ball(gap, speed, follow, butt=butt, fraction=fraction)
    figures: dict[str, Figure] = {
        "push": found.push,
        "touching_at_contact": found.touching_at_contact,
        "second_hit": found.second_hit,
        "touch_length_mm": found.touch_length * 1e3,
        "allowed_follow_mm": millimetres(found.allowed_follow),
        "follow_mm": found.follow * 1e3,
        "white_speed_m_s": found.white_speed,
        "fine_edge": found.exception,
    }
    return Answer(figures, close_ups.close_scene(gap * 1e3, fraction, butt, found))


def rail_answer(
    *, cloth: Conditions, gap: float = 0.0, butt: float | None = None, height: float = 0.4
) -> Answer:
    """What can be struck from the cushion; without a slope, the least slope that reaches ``height``."""
    slope = slope_for(gap, height, cloth) if butt is None else butt
    found = rail_view(gap, slope, cloth)
    figures: dict[str, Figure] = {
        "butt_deg": math.degrees(slope),
        "seen": found.seen,
        "lowest_offset": found.lowest,
        "butt_rise_mm": found.butt_rise * 1e3,
        "reachable": found.reachable,
    }
    return Answer(figures, close_ups.rail_scene(found, gap * 1e3))


def travel_answer(
    *,
    upper_arm: float,
    forearm: float,
    bend: float,
    backswing: float,
    bridge: float,
    grip: float = 1.0,
    cloth: Conditions = STANDARD,  # noqa: ARG001
) -> Answer:
    """Cue travel from arm lengths."""
    found = cue_travel(upper_arm, forearm, bend, backswing, bridge, grip)
    figures: dict[str, Figure] = {
        "reach_mm": found.reach * 1e3,
        "backswing_mm": found.backswing * 1e3,
        "through_mm": found.through * 1e3,
        "hand_room_mm": found.through_room * 1e3,
        "hand_rise_mm": found.hand_rise * 1e3,
        "ended_by": found.limit,
    }
    return Answer(figures, close_ups.travel_scene(found, forearm))
