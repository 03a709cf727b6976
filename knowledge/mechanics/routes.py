"""Routes to the next ball: right side and wrong side of a colour, ways out, cannons, and lines that stay on
the ball.

Every figure here comes out of ``shot.play`` on the stated cloth; the trade's own figures for the blue (about
4 ft of travel from the right side, about 16 ft from the wrong one) are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from knowledge.mechanics import potting
from knowledge.mechanics.conditions import Conditions
from knowledge.mechanics.inputs import ImpossibleInput, within
from knowledge.mechanics.run import Run
from knowledge.mechanics.shot import Played, Stroke, play
from knowledge.mechanics.table import BAULK_COLOURS, LENGTH, SPOTS, pocket_at

Corners = Sequence[complex]
REDS_AREA: tuple[complex, ...] = (0.589 + 2.500j, 1.189 + 2.500j, 1.189 + 2.950j, 0.589 + 2.950j)
SPEEDS = (0.8, 1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 2.3, 2.6, 3.0, 3.4, 3.9, 4.4, 5.0)
HEIGHTS = (-0.4, -0.2, 0.0, 0.2, 0.4)
SIDES = (-0.3, 0.0, 0.3)


@dataclass(frozen=True, slots=True)
class Route:
    """One way to play a shot. travel: white after contact, metres. cannon: ball it would meet. name: the way
    in words.
    """

    name: str
    stroke: Stroke
    played: Played
    travel: float
    cannon: str | None
    in_off: str | None


def strokes(
    speeds: Iterable[float] = SPEEDS, heights: Iterable[float] = HEIGHTS, sides: Iterable[float] = SIDES
) -> list[Stroke]:
    """The strokes that a search tries: every mix of these speeds and tip offsets that does not miscue."""
    heights, sides = tuple(heights), tuple(sides)
    tried = [Stroke(v, h, s) for v in speeds for h in heights for s in sides]
    return [stroke for stroke in tried if not stroke.miscues]


def inside(place: complex, corners: Corners) -> bool:
    """Whether a place lies in a simple polygon (crossing number)."""
    odd = False
    for i, a in enumerate(corners):
        b = corners[i - 1]
        if (a.imag > place.imag) != (b.imag > place.imag):
            x = a.real + (place.imag - a.imag) / (b.imag - a.imag) * (b.real - a.real)
            odd ^= place.real < x
    return odd


def shortest_to(
    layout: Mapping[str, complex],
    target: str,
    pocket: str,
    area: Corners,
    cloth: Conditions,
    tried: Sequence[Stroke] | None = None,
) -> Route | None:
    """The stroke that pots the ball and leaves the white in an area with the least travel; None when none of
    those tried does.

    Raises: ImpossibleInput for a layout that cannot be.
    """
    best: Route | None = None
    for stroke in strokes() if tried is None else tried:
        route = _route(play(layout, target, pocket, stroke, cloth), stroke)
        if route is None or route.cannon or route.in_off or route.played.white is None:
            continue
        if inside(route.played.white.end.place, area) and (best is None or route.travel < best.travel):
            best = route
    return best


def _route(played: Played, stroke: Stroke) -> Route | None:
    if played.white is None or played.ball is None or played.ball.pocket is None:
        return None
    white = played.white
    return Route(_name(white), stroke, played, white.travel, white.meets, white.pocket)


def _name(white: Run) -> str:
    """The way in words: which gap of the baulk colours it takes, or which cushions it goes round by."""
    gap = gap_taken(white)
    order = ", ".join(white.cushions)
    if gap:
        return f"between {gap[0]} and {gap[1]}" + (f", {order} cushion" if order else "")
    if len(white.cushions) >= 3:
        return f"round the table ({order})"
    return f"off {order} cushion" if order else "direct"


def gap_taken(white: Run) -> tuple[str, str] | None:
    """The two baulk colours between whose spots the run first crosses the baulk line, going down; None
    otherwise.
    """
    line = SPOTS["brown"].imag
    points = white.points()
    for a, b in pairwise(points):
        if a.imag > line >= b.imag:
            x = a.real + (b.real - a.real) * (a.imag - line) / (a.imag - b.imag)
            if SPOTS["green"].real < x < SPOTS["brown"].real:
                return ("green", "brown")
            if SPOTS["brown"].real < x < SPOTS["yellow"].real:
                return ("brown", "yellow")
            return None
    return None


@dataclass(frozen=True, slots=True)
class Sides:
    """Least travel in metres from either side of the blue to the reds; None when no stroke tried gets
    there.
    """

    right: Route | None
    wrong: Route | None


def white_for_cut(
    ball: complex, pocket: str, cut: float, distance: float, up: bool, diameter: float
) -> complex:
    """A place for the white ``distance`` metres from the ghost ball, for a cut in radians to a pocket.

    up: True puts it on the top side of the straight line, False on the baulk side.
    """
    within("cut angle", cut, 0.0, math.radians(85), "deg", math.pi / 180)
    line = pocket_at(pocket) - ball
    line /= abs(line)
    ghost = ball - diameter * line
    both = [ghost - distance * line * complex(math.cos(cut), s * math.sin(cut)) for s in (1, -1)]
    return max(both, key=lambda p: p.imag) if up else min(both, key=lambda p: p.imag)


def blue_sides(cut: float, distance: float, cloth: Conditions, pocket: str = "middle right") -> Sides:
    """Blue off its spot with the white on the right (baulk) side and on the wrong (top) side; all colours on
    their spots.

    cut in radians, distance white to ghost ball in metres. Raises: ImpossibleInput.
    """
    routes: list[Route | None] = []
    for up in (False, True):
        layout = {**SPOTS, "white": white_for_cut(SPOTS["blue"], pocket, cut, distance, up, cloth.diameter)}
        routes.append(shortest_to(layout, "blue", pocket, REDS_AREA, cloth))
    return Sides(*routes)


def escapes(
    cut: float, distance: float, cloth: Conditions, pocket: str = "middle left", past: float = LENGTH / 2
) -> list[Route]:
    """Ways out from the wrong side of the blue: potted, and the white back past a line up the table, shortest
    of each way first.

    Every way is listed once, with its least travel; a way that would meet a baulk colour is listed too, its
    ``cannon`` named. Raises: ImpossibleInput.
    """
    layout = {**SPOTS, "white": white_for_cut(SPOTS["blue"], pocket, cut, distance, True, cloth.diameter)}
    found: dict[tuple[str, str | None], Route] = {}
    for stroke in strokes():
        route = _route(play(layout, "blue", pocket, stroke, cloth), stroke)
        if route is None or route.in_off or route.played.white is None:
            continue
        end = route.played.white.end.place
        risky = route.cannon in BAULK_COLOURS
        if not risky and (end.imag <= past or route.cannon or "baulk" not in route.played.white.cushions):
            continue
        key = (f"meets {route.cannon}" if risky else route.name, route.cannon)
        if key not in found or route.travel < found[key].travel:
            found[key] = route
    return sorted(found.values(), key=lambda r: (r.cannon is not None, r.travel))


@dataclass(frozen=True, slots=True)
class Stay:
    """How long a line stays on the next ball: metres of travel in it, and the widest miss of pace that still
    does.
    """

    length: float
    first: float
    last: float


def stays_on(
    path: Sequence[complex],
    ball: complex,
    pocket: str,
    cloth: Conditions,
    least_cut: float = math.radians(10),
    most_cut: float = math.radians(45),
) -> Stay:
    """The longest stretch of a path from which the next ball is on at a cut between two angles (radians).

    path: points in metres. first, last: travel along the path where the stretch begins and ends. A line along
    the zone stays longer than one across it, so a miss of pace costs less. Raises: ImpossibleInput for fewer
    than two points.
    """
    if len(path) < 2:
        raise ImpossibleInput("path", "has fewer than two points", "Give a line to follow.")
    gone, begun, best = 0.0, None, Stay(0.0, 0.0, 0.0)
    for a, b in pairwise(path):
        steps = max(1, math.ceil(abs(b - a) / 0.005))
        for i in range(steps):
            place = a + (b - a) * i / steps
            at = gone + abs(b - a) * i / steps
            if _on(place, ball, pocket, cloth, least_cut, most_cut):
                begun = at if begun is None else begun
                if at - begun > best.length:
                    best = Stay(at - begun, begun, at)
            else:
                begun = None
        gone += abs(b - a)
    return best


def _on(place: complex, ball: complex, pocket: str, cloth: Conditions, least: float, most: float) -> bool:
    try:
        cut = potting.aim_at(place, ball, pocket_at(pocket), cloth.diameter).cut
    except ImpossibleInput:
        return False
    return least <= cut <= most
