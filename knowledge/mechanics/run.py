"""A ball's whole run over the table: legs, cushions, a ball it meets, a pocket it finds, until rest.

Events are found in closed form (a quadratic for each cushion; a line and circle for a rolling ball) except
where a curving ball meets another, which is bracketed by steps of at most 4 mm and halved. Pocket jaws are
not modelled: a ball whose centre reaches a cushion line inside a pocket's mouth counts as in.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from knowledge.mechanics.conditions import Conditions
from knowledge.mechanics.cushion import rebound
from knowledge.mechanics.motion import Ball, Leg, first_root, next_leg
from knowledge.mechanics.table import LENGTH, WIDTH

CushionName = Literal["left", "right", "baulk", "top"]
OUTWARD: dict[CushionName, complex] = {"left": -1 + 0j, "right": 1 + 0j, "baulk": -1j, "top": 1j}
MOST_CUSHIONS = 12


@dataclass(frozen=True, slots=True)
class Run:
    """legs with the seconds used of each; cushions in order; end: rest, or place of the meeting or pocket.

    meets: name of the first ball touched (the run ends there). pocket: name of the pocket run into. travel:
    metres. time: seconds.
    """

    legs: tuple[tuple[Leg, float], ...]
    cushions: tuple[CushionName, ...]
    end: Ball
    meets: str | None
    pocket: str | None

    @property
    def travel(self) -> float:
        """Length of the run in metres."""
        return sum(leg.length(t) for leg, t in self.legs)

    @property
    def time(self) -> float:
        """Seconds from start to end."""
        return sum(t for _, t in self.legs)

    def points(self, most: float = 0.02) -> list[complex]:
        """Points along the run, metres: curved legs every ``most`` metres about, straight legs their ends."""
        if not self.legs:
            return [self.end.place]
        found = [self.legs[0][0].start.place]
        for leg, t in self.legs:
            curved = abs((leg.start.velocity * leg.push.conjugate()).imag) > 1e-9
            steps = min(60, max(4, math.ceil(leg.length(t) / most))) if curved else 1
            found.extend(leg.place(t * i / steps) for i in range(1, steps + 1))
        return found


def run(ball: Ball, cloth: Conditions, others: Mapping[str, complex] | None = None) -> Run:
    """Follow a ball to rest, to the first of the other balls it touches, or into a pocket."""
    legs: list[tuple[Leg, float]] = []
    cushions: list[CushionName] = []
    obstacles = dict(others or {})
    while (leg := next_leg(ball, cloth)) is not None:
        hit = _first_cushion(leg, cloth.radius)
        until = leg.duration if hit is None else hit[0]
        met = _first_ball(leg, until, obstacles, cloth.diameter)
        if met is not None:
            legs.append((leg, met[0]))
            return Run(tuple(legs), tuple(cushions), leg.ball(met[0]), met[1], None)
        legs.append((leg, until))
        ball = leg.ball(until)
        if hit is None:
            continue
        pocket = pocket_entered(ball.place, hit[1], cloth)
        if pocket is not None or len(cushions) >= MOST_CUSHIONS:
            return Run(tuple(legs), tuple(cushions), ball, None, pocket)
        cushions.append(hit[1])
        ball = rebound(ball, OUTWARD[hit[1]], cloth)
    return Run(tuple(legs), tuple(cushions), ball, None, None)


def _first_cushion(leg: Leg, radius: float) -> tuple[float, CushionName] | None:
    """When the leg first reaches a cushion while moving towards it."""
    best: tuple[float, CushionName] | None = None
    p, v, a = leg.start.place, leg.start.velocity, leg.push
    limits = (
        ("left", -p.real, -v.real, -a.real, -radius),
        ("right", p.real, v.real, a.real, WIDTH - radius),
        ("baulk", -p.imag, -v.imag, -a.imag, -radius),
        ("top", p.imag, v.imag, a.imag, LENGTH - radius),
    )
    for name, x, speed, push, limit in limits:
        t = _reach(push / 2, speed, x - limit, leg.duration)
        if t is not None and (best is None or t < best[0]):
            best = (t, name)  # type: ignore[assignment]
    return best


def _reach(a: float, b: float, c: float, limit: float) -> float | None:
    """First t in [0, limit] at which a t² + b t + c turns from negative to positive (arrival at a wall)."""
    if c >= -1e-12:  # at the wall: only a ball that moves into it arrives
        if b > 1e-12:
            return 0.0
        if b > -1e-12 and a > 1e-12:
            return 0.0
        # leaving the wall; it may come back under screw: the second root
        return -b / a if a > 1e-12 and b < 0 and -b / a <= limit else None
    return first_root(a, b, c, limit)


def _first_ball(
    leg: Leg, until: float, others: dict[str, complex], diameter: float
) -> tuple[float, str] | None:
    """First moment up to ``until`` at which the ball touches another."""
    best: tuple[float, str] | None = None
    if not others:
        return None
    reach = leg.length(until)
    for name, place in others.items():
        if abs(place - leg.start.place) > reach + diameter:
            continue
        t = _touch(leg, until, place, diameter, reach)
        if t is not None and (best is None or t < best[0]):
            best = (t, name)
    return best


def _touch(leg: Leg, until: float, place: complex, diameter: float, reach: float) -> float | None:
    steps = max(4, math.ceil(reach / 0.004)) if leg.kind == "sliding" else 0
    if steps == 0:
        return _touch_straight(leg, until, place, diameter)
    before = abs(leg.start.place - place)
    for i in range(1, steps + 1):
        now = abs(leg.place(until * i / steps) - place)
        if now < diameter and now < before - 1e-12:
            low, high = until * (i - 1) / steps, until * i / steps
            for _ in range(40):
                mid = (low + high) / 2
                low, high = (mid, high) if abs(leg.place(mid) - place) > diameter else (low, mid)
            return high
        before = now
    return None


def _touch_straight(leg: Leg, until: float, place: complex, diameter: float) -> float | None:
    speed = abs(leg.start.velocity)
    way = leg.start.velocity / speed
    rel = (place - leg.start.place) * way.conjugate()
    if abs(rel.imag) >= diameter or rel.real <= 0:
        return None
    distance = rel.real - math.sqrt(diameter**2 - rel.imag**2)
    if distance < 0:
        return 0.0
    return first_root(-abs(leg.push) / 2, speed, -distance, until)


def pocket_entered(place: complex, cushion: CushionName, cloth: Conditions) -> str | None:
    """The pocket whose mouth a ball at a cushion line stands in, or None."""
    corner = cloth.corner_opening / math.sqrt(2)
    if cushion in ("left", "right"):
        for row, mouth, reach in (
            ("bottom", 0.0, corner),
            ("top", LENGTH, corner),
            ("middle", LENGTH / 2, cloth.middle_opening / 2),
        ):
            if abs(place.imag - mouth) < reach:
                return f"{row} {cushion}"
        return None
    end = "bottom" if cushion == "baulk" else "top"
    for hand, mouth in (("left", 0.0), ("right", WIDTH)):
        if abs(place.real - mouth) < corner:
            return f"{end} {hand}"
    return None
