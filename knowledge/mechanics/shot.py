"""One shot from the tip to the last ball at rest: where everything goes, how far, and how likely the pot is.

This is what the drills' "what if" and the pictures ask. The player is taken to allow for squirt, swerve and
throw in the aim, so the white arrives at the ghost ball; what he does not allow for is his scatter. Own
assumption, common practice, no source: half of the scatter's variance is the line chosen, half a turn of the
cue about the bridge, which also moves the tip sideways by bridge times turn, so that squirt and swerve add to
it or take from it.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping
from dataclasses import dataclass

from knowledge.mechanics import potting
from knowledge.mechanics.conditions import Conditions
from knowledge.mechanics.contact import struck
from knowledge.mechanics.cueing import cross, legs_to, side_error, struck_ball
from knowledge.mechanics.inputs import ImpossibleInput, within
from knowledge.mechanics.motion import Ball, Leg, miscue_limit
from knowledge.mechanics.run import Run, run
from knowledge.mechanics.table import approach_angle, check_layout, pocket_at
from knowledge.mechanics.throw import throw_angle

DEFAULT_SPREAD = math.radians(0.10)
"""Scatter of a club player's cue direction to start from; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """What the player does. speed: along the cue, m/s. height, side: tip offsets over radius, + above and +
    right.

    butt: slope of the cue, radians. bridge: V to white, metres. spread: scatter of the cue's direction,
    radians.
    """

    speed: float
    height: float = 0.0
    side: float = 0.0
    butt: float = 0.0
    bridge: float = 0.28
    spread: float = DEFAULT_SPREAD
    ball_to_end_mass: float = 30.0

    def __post_init__(self) -> None:
        within("speed", self.speed, 0.0, 20.0, "m/s")
        within("slope of the cue", self.butt, 0.0, math.radians(80), "deg", math.pi / 180)
        within("bridge distance", self.bridge, 0.02, 0.60, "mm", 1e-3)
        within("spread", self.spread, 0.0, math.radians(10), "deg", math.pi / 180)
        within("tip height", self.height, -1.0, 1.0, "ball radii")
        within("side", self.side, -1.0, 1.0, "ball radii")
        if math.hypot(self.height, self.side) > 1:
            raise ImpossibleInput(
                "tip offset", "misses the white", "Stay within 0.5 ball radii of the middle."
            )

    @property
    def miscues(self) -> bool:
        """Whether the tip is likely to slip: offset beyond sin(atan 0.6)."""
        return math.hypot(self.height, self.side) > miscue_limit()


@dataclass(frozen=True, slots=True)
class Played:
    """What the model says of a shot. Angles in radians, lengths in metres.

    white_before: legs to the contact. white, ball: runs after it (None when the white does not get there).
    chance: of the pot, 0 when the object ball stops short, is blocked or the tip slips. travel: of the white
    after contact. gain: how the scatter grows by squirt and swerve (1 for a plain ball). problems: in words.
    """

    aim: potting.Aim
    white_before: tuple[tuple[Leg, float], ...]
    white: Run | None
    ball: Run | None
    contact_speed: float
    roll: float
    throw: float
    margin: float
    chance: float
    gain: float
    problems: tuple[str, ...]

    @property
    def travel(self) -> float:
        """White's way after contact, metres."""
        return self.white.travel if self.white else 0.0


def play(
    layout: Mapping[str, complex], target: str, pocket: str, stroke: Stroke, cloth: Conditions
) -> Played:
    """Play the white at the ball called ``target`` into a pocket; layout: name to place, "white" among them.

    Raises: ImpossibleInput for balls off the table or overlapping, unknown names, or a pot that cannot be
    cut.
    """
    check_layout(layout, cloth.radius)
    for name in ("white", target):
        if name not in layout:
            raise ImpossibleInput("layout", f"there is no {name} on the table", "Place it first.")
    white, ball, mouth = layout["white"], layout[target], pocket_at(pocket)
    aim = potting.aim_at(white, ball, mouth, cloth.diameter)
    others = {k: p for k, p in layout.items() if k not in ("white", target)}
    arrived = _approach(white, aim.ghost, stroke, cloth)
    opening = cloth.middle_opening if pocket.startswith("middle") else cloth.corner_opening
    approach = min(approach_angle(ball, pocket), math.radians(89))
    margin = potting.pocket_margin(abs(mouth - ball), opening, cloth.diameter, approach)
    if arrived is None:
        short = ("the white stops before the ball",)
        return Played(aim, (), None, None, 0.0, 0.0, 0.0, margin, 0.0, 1.0, short)
    meeting, before = arrived
    roll = (meeting.roll / meeting.velocity).real
    white_run, ball_run = _after(meeting, ball, others, cloth)
    gain = scatter_gain(stroke, abs(ball - white), cloth)
    between = max(abs(ball - white), cloth.diameter)
    result = potting.pot(
        abs(mouth - ball),
        opening,
        stroke.spread * gain,
        cloth.diameter,
        cut=aim.cut,
        approach=approach,
        cue_distance=between,
    )
    possible = ball_run.pocket == pocket and not stroke.miscues and not _blocked(before, others, cloth)
    return Played(
        aim=aim,
        white_before=before,
        white=white_run,
        ball=ball_run,
        contact_speed=abs(meeting.velocity),
        roll=roll,
        throw=_throw(meeting, aim, roll),
        margin=margin,
        chance=(result.exact_chance or 0.0) if possible else 0.0,
        gain=gain,
        problems=_problems(stroke, white_run, ball_run, target, pocket, before, others, cloth),
    )


def _after(meeting: Ball, ball: complex, others: Mapping[str, complex], cloth: Conditions) -> tuple[Run, Run]:
    """Runs of white and object ball from the white's state at the contact."""
    line = (ball - meeting.place) / abs(ball - meeting.place)
    after, sent = struck(meeting.velocity, line, cloth.ball_restitution)
    white = run(Ball(meeting.place, after, meeting.roll, meeting.side), cloth, others)
    return white, run(Ball(ball, sent), cloth, others)


def _throw(meeting: Ball, aim: potting.Aim, roll: float) -> float:
    """Throw that the player is taken to allow for; side towards the cut's outside takes the slip away."""
    speed = max(abs(meeting.velocity), 1e-3)
    # Right side turns the white counter-clockwise; that is outside side when the object ball goes left.
    return throw_angle(speed, min(aim.cut, math.radians(89)), roll, aim.hand * meeting.side / speed)


def _approach(
    white: complex, ghost: complex, stroke: Stroke, cloth: Conditions
) -> tuple[Ball, tuple[tuple[Leg, float], ...]] | None:
    """The white on a line chosen so that, swerve included, it passes the ghost ball; None if it stops
    before.
    """
    way = ghost - white
    if abs(way) < 1e-6:
        line = way / abs(way) if way else 1 + 0j
        return struck_ball(stroke.speed, stroke.height, stroke.side, stroke.butt, line, white), ()
    direct = way / abs(way)
    turn = 0.0
    for _ in range(6):
        ball = struck_ball(stroke.speed, stroke.height, stroke.side, stroke.butt, cmath.exp(1j * turn))
        there = cross(ball, 1 + 0j, abs(way), cloth)
        if there is None:
            return None
        if abs(there.place.imag) < 1e-7:
            break
        turn -= math.atan2(there.place.imag, abs(way))
    start = struck_ball(
        stroke.speed, stroke.height, stroke.side, stroke.butt, direct * cmath.exp(1j * turn), white
    )
    found = legs_to(start, direct, (ghost * direct.conjugate()).real, cloth)
    return None if found is None or abs(found[0].velocity) < 1e-6 else (found[0], tuple(found[1]))


def scatter_gain(stroke: Stroke, distance: float, cloth: Conditions) -> float:
    """Growth of the cue's scatter in the white's direction at the object ball: sqrt(1/2 + (1 - k)²/2).

    k = bridge times the change of direction per metre of tip offset (squirt against swerve), by a small
    difference.
    """
    if stroke.speed <= 0:
        return 1.0
    step = 0.01

    def direction(side: float) -> float:
        error = side_error(
            side,
            stroke.butt,
            stroke.speed,
            distance,
            cloth,
            height=stroke.height,
            ball_to_end_mass=stroke.ball_to_end_mass,
        )
        return error.squirt if error.net is None else error.net

    room = math.sqrt(max(0.0, 1 - stroke.height**2))
    high, low = min(stroke.side + step, room), max(stroke.side - step, -room)
    slope = (direction(high) - direction(low)) / ((high - low) * cloth.radius) if high > low else 0.0
    k = -slope * stroke.bridge
    return math.sqrt(0.5 + (1 - k) ** 2 / 2)


def _blocked(
    before: tuple[tuple[Leg, float], ...], others: Mapping[str, complex], cloth: Conditions
) -> str | None:
    """Name of a ball in the white's way before the contact."""
    for leg, t in before:
        steps = max(2, math.ceil(leg.length(t) / 0.01))
        for i in range(steps + 1):
            place = leg.place(t * i / steps)
            for name, there in others.items():
                if abs(place - there) < cloth.diameter - 1e-4:
                    return name
    return None


def _problems(
    stroke: Stroke,
    white: Run,
    ball: Run,
    target: str,
    pocket: str,
    before: tuple[tuple[Leg, float], ...],
    others: Mapping[str, complex],
    cloth: Conditions,
) -> tuple[str, ...]:
    found: list[str] = []
    if stroke.miscues:
        found.append("the tip is likely to slip: struck too far from the middle")
    blocker = _blocked(before, others, cloth)
    if blocker:
        found.append(f"the {blocker} is in the white's way")
    if ball.meets:
        found.append(f"the {target} runs into the {ball.meets}")
    elif ball.pocket != pocket:
        found.append(f"the {target} does not reach the {pocket} pocket")
    if white.pocket:
        found.append(f"in-off: the white runs into the {white.pocket} pocket")
    if white.meets:
        found.append(f"cannon: the white meets the {white.meets}")
    return tuple(found)
