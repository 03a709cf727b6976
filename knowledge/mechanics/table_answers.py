"""Answers that need the whole table: one shot played, right and wrong side, ways out."""

from __future__ import annotations

import math
from collections.abc import Mapping

from knowledge.mechanics.answers import Answer, Figure
from knowledge.mechanics.conditions import Conditions
from knowledge.mechanics.drawings import known_role, mms, played_scene, table_scene
from knowledge.mechanics.inputs import ImpossibleInput
from knowledge.mechanics.routes import REDS_AREA, Route, blue_sides, escapes, stays_on, white_for_cut
from knowledge.mechanics.scene import Disc, Item, Line, Zone
from knowledge.mechanics.shot import DEFAULT_SPREAD, Stroke, play
from knowledge.mechanics.table import SPOTS, spot_at
from knowledge.mechanics.units import feet_said

BALL_MM = 26.25


def read_place(name: str, text: str) -> complex:
    """ "X,Y" in mm as a place. Raises: ImpossibleInput."""
    parts = text.split(",")
    try:
        x, y = (float(part) for part in parts)
    except ValueError:
        raise ImpossibleInput(
            name, f"{text!r} is not X,Y", "Give two numbers in mm, such as 889,737."
        ) from None
    return complex(x, y) * 1e-3


def _named(text: str) -> tuple[str, complex]:
    name, colon, place = text.strip().partition(":")
    known_role(name)
    return name, read_place(name, place) if colon else spot_at(name)


def read_layout(white: str, ball: str, others: str) -> tuple[dict[str, complex], str]:
    """(layout, name of the object ball) from the words of the command line; others may be "spots".

    Raises: ImpossibleInput.
    """
    layout = {"white": read_place("white", white)}
    target, place = _named(ball)
    if others.strip() == "spots":
        layout.update(SPOTS)
    elif others.strip():
        layout.update(_named(part) for part in others.split(";"))
    layout[target] = place
    return layout, target


def play_answer(
    *,
    white: str,
    ball: str,
    pocket: str,
    speed: float,
    cloth: Conditions,
    height: float = 0.0,
    side: float = 0.0,
    butt: float = 0.0,
    bridge: float = 0.28,
    spread: float = DEFAULT_SPREAD,
    others: str | None = None,
) -> Answer:
    """One shot from the words of the command line (see ``read_layout``). Raises: ImpossibleInput."""
    layout, target = read_layout(white, ball, others or "")
    return shot_answer(layout, target, pocket, Stroke(speed, height, side, butt, bridge, spread), cloth)


def shot_answer(
    layout: Mapping[str, complex], target: str, pocket: str, stroke: Stroke, cloth: Conditions
) -> Answer:
    """One shot. Raises: ImpossibleInput."""
    played = play(layout, target, pocket, stroke, cloth)
    end = None if played.white is None else played.white.end.place
    figures: dict[str, Figure] = {
        "cut_deg": math.degrees(played.aim.cut),
        "fraction": played.aim.fraction,
        "margin_deg": math.degrees(played.margin),
        "chance": played.chance,
        "contact_speed_m_s": played.contact_speed,
        "roll_at_contact": played.roll,
        "throw_deg": math.degrees(played.throw),
        "travel_mm": played.travel * 1e3,
        "cushions": [] if played.white is None else [str(name) for name in played.white.cushions],
        "white_stops_mm": None if end is None else [end.real * 1e3, end.imag * 1e3],
        "problems": list(played.problems),
    }
    return Answer(figures, played_scene(layout, target, pocket, played))


def _route_figures(route: Route | None) -> dict[str, object]:
    if route is None:
        return {"name": None}
    return {
        "name": route.name,
        "travel_mm": route.travel * 1e3,
        "travel_ft": route.travel / 0.3048,
        "speed_m_s": route.stroke.speed,
        "height": route.stroke.height,
        "side": route.stroke.side,
        "cannon": route.cannon,
        "chance": route.played.chance,
    }


def _hit_words(route: Route) -> str:
    height, side = route.stroke.height, route.stroke.side
    up = "middle" if height == 0 else f"{abs(height):g} R {'above' if height > 0 else 'below'} the middle"
    across = "" if side == 0 else f", {abs(side):g} R {'right' if side > 0 else 'left'}-hand side"
    return f"{route.stroke.speed:g} m/s, {up}{across}"


def sides_answer(*, angle: float, distance: float, cloth: Conditions) -> Answer:
    """Least travel to the reds from either side of the blue."""
    pocket = "middle right"
    found = blue_sides(angle, distance, cloth, pocket)
    items: list[Item] = [Zone(mms(REDS_AREA))]
    words = []
    for up, name, route in ((False, "right", found.right), (True, "wrong", found.wrong)):
        white = white_for_cut(SPOTS["blue"], pocket, angle, distance, up, cloth.diameter)
        if route is not None and route.played.white is not None:
            items.append(
                Line(mms(route.played.white.points()), "white path" if not up else "warning", arrow=True)
            )
            words.append(f"{name} side: {feet_said(route.travel)}, {route.name}; {_hit_words(route)}")
        else:
            words.append(f"{name} side: no stroke tried gets there")
        items.append(Disc(white.real * 1e3, white.imag * 1e3, BALL_MM, "white", f"{name} side"))
    items += [Disc(p.real * 1e3, p.imag * 1e3, BALL_MM, known_role(n)) for n, p in SPOTS.items()]
    words.append(
        "players reckon about 4 ft from the right side and 16 ft from the wrong one: common "
        "practice, no source"
    )
    figures: dict[str, Figure] = {
        "right_mm": None if found.right is None else found.right.travel * 1e3,
        "wrong_mm": None if found.wrong is None else found.wrong.travel * 1e3,
        "routes": [_route_figures(found.right), _route_figures(found.wrong)],
    }
    return Answer(figures, table_scene("Right side and wrong side of the blue", items, words))


def escape_answer(*, angle: float, distance: float, cloth: Conditions) -> Answer:
    """Ways out from the wrong side; how long each stays on the pink, and which meet a baulk colour."""
    pocket = "middle left"
    routes = escapes(angle, distance, cloth, pocket)
    listed: list[dict[str, object]] = []
    words: list[str] = []
    items: list[Item] = []
    drawn = 0
    for route in routes:
        path = [] if route.played.white is None else route.played.white.points()
        stay = max(
            (stays_on(path, SPOTS["pink"], p, cloth).length for p in ("top left", "top right")), default=0.0
        )
        listed.append({**_route_figures(route), "stays_on_pink_mm": stay * 1e3})
        if route.cannon is None and len(words) < 6:
            words.append(
                f"{route.name}: {feet_said(route.travel)}, {feet_said(stay)} of it on the pink; "
                f"{_hit_words(route)}"
            )
        if drawn < 3:
            items.append(
                Line(mms(path), "warning" if route.cannon else "white path", dashed=drawn > 0, arrow=True)
            )
            drawn += 1
    if not words:
        words.append("no stroke tried pots the blue and brings the white back up the table")
    risky = sorted({route.cannon for route in routes if route.cannon})
    if risky:
        words.append(f"risk: other strokes of this shot meet the {', the '.join(risky)}")
    white = white_for_cut(SPOTS["blue"], pocket, angle, distance, True, cloth.diameter)
    items += [Disc(p.real * 1e3, p.imag * 1e3, BALL_MM, known_role(n)) for n, p in SPOTS.items()]
    items.append(Disc(white.real * 1e3, white.imag * 1e3, BALL_MM, "white"))
    return Answer({"routes": listed}, table_scene("Ways out from the wrong side of the blue", items, words))
