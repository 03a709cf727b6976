"""The pack: momentum through balls that touch, and the curved way of a top-spun white into them.

Touching balls pass the blow on at once: impulses at all contacts together, none pulling, none left
approaching (the standard rigid-contact complementarity problem, solved by projected relaxation). Loose balls
are met one by one. Left out: friction between the balls and the true stiffness of the contacts, so the share
of single balls is a sketch; momentum is exact.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

from knowledge.mechanics.conditions import Conditions
from knowledge.mechanics.contact import cut_from_fraction, settled, struck
from knowledge.mechanics.inputs import ImpossibleInput, within
from knowledge.mechanics.motion import Ball, next_leg

TOUCHING = 5e-5


def pass_on(
    places: Sequence[complex], velocities: Sequence[complex], diameter: float, restitution: float
) -> list[complex]:
    """Velocities after one blow through every pair of touching balls (equal masses).

    The pair that approaches fastest sets the blow; pairs at rest against each other may only part.
    Raises: ImpossibleInput when balls overlap.
    """
    pairs: list[tuple[int, int, complex]] = []
    for i in range(len(places)):
        for j in range(i):
            gap = abs(places[i] - places[j]) - diameter
            if gap < -1e-3:
                raise ImpossibleInput(
                    "pack", f"balls {j + 1} and {i + 1} overlap", "Centres lie a ball apart at least."
                )
            if gap <= TOUCHING:
                pairs.append((j, i, (places[i] - places[j]) / abs(places[i] - places[j])))
    closing = [((velocities[a] - velocities[b]) * n.conjugate()).real for a, b, n in pairs]
    wanted = [restitution * max(0.0, c) for c in closing]
    after = list(velocities)
    blows = [0.0] * len(pairs)
    for _ in range(4000):
        moved = 0.0
        for k, (a, b, n) in enumerate(pairs):
            parting = ((after[b] - after[a]) * n.conjugate()).real
            blow = max(0.0, blows[k] + (wanted[k] - parting) / 2)
            change, blows[k] = blow - blows[k], blow
            after[a] -= change * n
            after[b] += change * n
            moved = max(moved, abs(change))
        if moved < 1e-12:
            break
    return after


def triangle(rows: int, apex: complex, diameter: float, gap: float = 0.0) -> list[complex]:
    """Centres of a pack of ``rows`` rows, apex first, rows running on towards +y; gap between balls in
    metres.
    """
    within("rows of the pack", rows, 1, 5)
    step = diameter + within("gap in the pack", gap, 0.0, 0.05, "mm", 1e-3)
    return [
        apex + complex((i - row / 2) * step, row * step * math.sqrt(3) / 2)
        for row in range(rows)
        for i in range(row + 1)
    ]


@dataclass(frozen=True, slots=True)
class PackEntry:
    """White's velocity over arrival speed, along its arrival: at once after the blow, and once it rolls
    again.

    through: True when it goes on into the pack. moved: how many balls the blow moves.
    """

    kept: float
    settled: float
    through: bool
    moved: int


def into_pack(speed: float, roll: float, cloth: Conditions, *, tight: bool, rows: int = 5) -> PackEntry:
    """White straight into the middle of the flat back row of a pack.

    roll: R·ω along the travel over speed (1 rolling, up to 1.25 top). A flat tight face gives way only as one
    body, so the white is thrown back and its follow is spent on coming back to a stop; a loose ball leaves
    alone and takes nearly all the white's speed, and the follow then drives the white through the gap.
    Raises: ImpossibleInput.
    """
    within("speed", speed, 0.01, 20.0, "m/s")
    within("roll", roll, -1.25, 1.25, "of rolling")
    d = cloth.diameter
    if tight:
        # Seen from the white the flat row comes first: the triangle is turned round.
        balls = [-p for p in triangle(rows, 0j, d)]
        face = min(p.imag for p in balls)
        front = min((p for p in balls if abs(p.imag - face) < 1e-9), key=lambda p: (abs(p.real), p.real))
        white = front - 1j * d
        after = pass_on([white, *balls], [1j] + [0j] * len(balls), d, cloth.ball_restitution)
        kept = after[0].imag
        moved = sum(abs(v) > 0.01 for v in after[1:])
    else:
        kept, moved = struck(1j, 1j, cloth.ball_restitution)[0].imag, 1
    end = settled(complex(kept), complex(roll)).real
    return PackEntry(kept, end, end > 0.1, moved)


@dataclass(frozen=True, slots=True)
class Arc:
    """White's curve after contact. points: metres, contact at 0, arrival along +x. bend: off the right-angle
    line, radians.

    rolls_after: metres along the curve until it runs straight; meets: state at the asked distance, or None if
    short.
    """

    points: tuple[complex, ...]
    start_angle: float
    end_angle: float
    bend: float
    rolls_after: float
    meets: Ball | None


def arc_after_contact(
    fraction: float, speed: float, roll: float, cloth: Conditions, reach: float = 0.5
) -> Arc:
    """The curved way of the white after a contact: right-angle line first, bending with top (roll > 0) or
    screw (roll < 0).

    speed, roll: at contact, m/s and R·ω over speed. reach: straight distance from the contact at which the
    pack lies. Raises: ImpossibleInput.
    """
    within("speed", speed, 0.01, 20.0, "m/s")
    within("roll", roll, -1.25, 1.25, "of rolling")
    cut = cut_from_fraction(fraction)
    white, _ = struck(complex(speed), cmath.exp(-1j * cut), cloth.ball_restitution)
    leg = next_leg(Ball(0j, white, complex(roll * speed)), cloth)
    if leg is None:
        return Arc((0j,), 0.0, 0.0, 0.0, 0.0, Ball(0j, 0j))
    end = leg.ball(leg.duration)
    curve = [leg.place(leg.duration * i / 24) for i in range(25)]
    start, final = _phase(white), _phase(end.velocity)
    return Arc(
        points=(*curve, end.place + end.velocity * 0.5),
        start_angle=start,
        end_angle=final,
        bend=final - start,
        rolls_after=leg.length() if leg.kind == "sliding" else 0.0,
        meets=_state_at(Ball(0j, white, complex(roll * speed)), reach, cloth),
    )


def _phase(v: complex) -> float:
    return 0.0 if abs(v) < 1e-12 else cmath.phase(v)


def _state_at(ball: Ball, reach: float, cloth: Conditions) -> Ball | None:
    """State when the ball is first this far from where it began, by bisection inside the leg that crosses
    it.
    """
    begin = ball.place
    while (leg := next_leg(ball, cloth)) is not None:
        steps = 64
        for i in range(1, steps + 1):
            if abs(leg.place(leg.duration * i / steps) - begin) >= reach:
                low, high = leg.duration * (i - 1) / steps, leg.duration * i / steps
                for _ in range(40):
                    mid = (low + high) / 2
                    low, high = (mid, high) if abs(leg.place(mid) - begin) < reach else (low, mid)
                return leg.ball(high)
        ball = leg.ball(leg.duration)
        if leg.kind == "rolling":
            return None
    return None
