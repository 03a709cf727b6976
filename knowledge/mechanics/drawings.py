"""Scenes of the table: drills from plain values, shots with their paths, landing zone and margin."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import get_args

from knowledge.mechanics.inputs import ImpossibleInput
from knowledge.mechanics.motion import Leg
from knowledge.mechanics.scene import Disc, Item, Line, Note, Point, Role, Scene, Zone
from knowledge.mechanics.shot import Played
from knowledge.mechanics.table import (
    BAULK,
    D_RADIUS,
    LENGTH,
    POCKETS,
    SPOTS,
    WIDTH,
    check_on_table,
    pocket_at,
)
from knowledge.mechanics.units import feet_said

BALL_MM = 26.25
EDGE_MM = 60.0
POCKET_MM = 42.0


def mm(place: complex) -> Point:
    """A place in metres as a point in mm."""
    return place.real * 1e3, place.imag * 1e3


def mms(places: Iterable[complex]) -> tuple[Point, ...]:
    """Places in metres as points in mm."""
    return tuple(mm(p) for p in places)


def table_items() -> tuple[Item, ...]:
    """Cushion faces, pockets, baulk line, D and spots."""
    w, long, line = WIDTH * 1e3, LENGTH * 1e3, BAULK * 1e3
    half = [
        SPOTS["brown"] + D_RADIUS * cmath.exp(1j * math.pi * (1 + i / 24)) for i in range(25)
    ]  # the half circle on the baulk side
    return (
        Line(((0, 0), (w, 0), (w, long), (0, long), (0, 0)), "cushion"),
        Line(((0, line), (w, line)), "marking"),
        Line(mms(half), "marking"),
        *(Disc(*mm(p), 6.0, "mark") for p in SPOTS.values()),
        *(Zone(_round(p, POCKET_MM), "cushion") for p in POCKETS.values()),
    )


def _round(centre: complex, radius_mm: float) -> tuple[Point, ...]:
    return mms(centre + radius_mm * 1e-3 * cmath.exp(2j * math.pi * i / 24) for i in range(24))


def table_scene(title: str, items: Iterable[Item], words: Iterable[str] = ()) -> Scene:
    """A scene of the whole table with items on it."""
    w, long = WIDTH * 1e3, LENGTH * 1e3
    return Scene(
        title,
        -EDGE_MM,
        -EDGE_MM,
        w + EDGE_MM,
        long + EDGE_MM,
        (*table_items(), *items),
        tuple(words),
        table=True,
    )


def drill_scene(
    balls: Iterable[tuple[str, float, float]],
    pocket: str | None,
    title: str = "Positions",
    zones: Sequence[Sequence[Point]] = (),
) -> Scene:
    """The picture of a drill. balls: (role, x, y) in mm, table frame; zones: corners in mm.

    With a pocket, a white and one object ball in it, the lines of the pot are drawn too. Raises:
    ImpossibleInput for an unknown role or pocket, or a ball off the table.
    """
    discs: list[Disc] = []
    for name, x, y in balls:
        role = known_role(name)
        if role != "mark":
            check_on_table(role, complex(x, y) * 1e-3, BALL_MM * 1e-3)
        discs.append(Disc(x, y, 10.0 if role == "mark" else BALL_MM, role))
    target = mm(pocket_at(pocket)) if pocket else None
    items: list[Item] = [Zone(tuple((x, y) for x, y in z)) for z in zones]
    items += _pot_lines(discs, target)
    words = [f"{d.role} at ({d.x:.0f}, {d.y:.0f}) mm" for d in discs]
    if pocket:
        words.append(f"into the {pocket} pocket")
    return table_scene(title, [*items, *discs], words)


def _pot_lines(discs: Sequence[Disc], target: Point | None) -> list[Item]:
    """Aim and object-ball lines, when it is plain which ball goes where."""
    white = [d for d in discs if d.role == "white"]
    objects = [d for d in discs if d.role not in ("white", "mark", "block", "ghost")]
    if target is None or len(objects) != 1:
        return []
    ball = complex(objects[0].x, objects[0].y)
    line = complex(*target) - ball
    items: list[Item] = [Line(((ball.real, ball.imag), target), "object path", arrow=True)]
    if len(white) == 1 and line:
        ghost = ball - 2 * BALL_MM * line / abs(line)
        items.append(Line(((white[0].x, white[0].y), (ghost.real, ghost.imag)), "aim", dashed=True))
    return items


def leg_points(legs: Sequence[tuple[Leg, float]]) -> list[complex]:
    """Points along a chain of legs in metres, curves included."""
    found: list[complex] = []
    for leg, t in legs:
        found.extend(leg.place(t * i / 16) for i in range(17))
    return found


def played_scene(
    layout: Mapping[str, complex],
    target: str,
    pocket: str,
    played: Played,
    title: str = "The shot",
    zone: Sequence[complex] = (),
) -> Scene:
    """A shot: paths, ghost ball, where the white stops, and the margin of the pot as a wedge."""
    items: list[Item] = [Zone(mms(zone))] if zone else []
    mouth = pocket_at(pocket)
    ball = layout[target]
    if played.margin > 0:
        way = mouth - ball
        items.append(
            Zone(
                mms(
                    [
                        ball,
                        ball + way * cmath.exp(1j * played.margin),
                        ball + way * cmath.exp(-1j * played.margin),
                    ]
                ),
                "aim",
            )
        )
    before = leg_points(played.white_before)
    if before:
        items.append(Line(mms(before), "aim", dashed=True))
    if played.white is not None:
        if played.ball is not None:
            items.append(Line(mms(played.ball.points()), "object path", arrow=True))
        items.append(Line(mms(played.white.points()), "white path", arrow=True))
        items.append(Disc(*mm(played.white.end.place), BALL_MM, "ghost", "stops"))
    items.append(Disc(*mm(played.aim.ghost), BALL_MM, "ghost"))
    items += [Disc(*mm(p), BALL_MM, _role(name)) for name, p in layout.items()]
    return table_scene(title, items, played_words(played, target, pocket))


def known_role(name: str) -> Role:
    """The role called so. Raises: ImpossibleInput for an unknown one."""
    roles: tuple[Role, ...] = get_args(Role)
    for role in roles:
        if name == role:
            return role
    raise ImpossibleInput("ball", f"no ball is called {name!r}", f"Known: {', '.join(roles)}.")


def _role(name: str) -> Role:
    return known_role(name) if name in get_args(Role) else "object"


def played_words(played: Played, target: str, pocket: str) -> list[str]:
    """The shot in sentences, for the caption and for people who do not see the picture."""
    words = [
        f"{target} to the {pocket} pocket: cut {math.degrees(played.aim.cut):.1f} deg, "
        f"{played.aim.fraction:.2f} ball, chance {played.chance:.0%}",
        f"pocket margin {math.degrees(played.margin):.2f} deg to either side",
    ]
    if played.white is not None:
        cushions = ", ".join(played.white.cushions) or "no"
        words.append(
            f"white after contact: {feet_said(played.white.travel)} ({played.white.travel * 1e3:.0f} mm), "
            f"{cushions} cushion"
        )
    return [*words, *(f"mind: {p}" for p in played.problems)]


def words_scene(
    title: str, width: float, height: float, items: Iterable[Item], words: Iterable[str]
) -> Scene:
    """A scene in its own frame, 0 to width and 0 to height in mm."""
    return Scene(title, 0.0, 0.0, width, height, tuple(items), tuple(words))


__all__ = [
    "Note",
    "drill_scene",
    "leg_points",
    "mm",
    "mms",
    "played_scene",
    "played_words",
    "table_scene",
    "words_scene",
]
