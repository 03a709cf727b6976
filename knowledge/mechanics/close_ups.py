"""Scenes that are not the table: a contact seen from above, a pocket, a cushion, the rail and the cue from
the side.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable

from knowledge.mechanics.close_ball import CloseBall
from knowledge.mechanics.contact import Contact
from knowledge.mechanics.cueing import CUE_LENGTH, RAIL_TOP, TIP_DIAMETER, CueTravel, RailView
from knowledge.mechanics.cushion import Rebound
from knowledge.mechanics.drawings import BALL_MM, mms
from knowledge.mechanics.pack import Arc
from knowledge.mechanics.potting import AlongCushion
from knowledge.mechanics.scene import Disc, Item, Line, Note, Point, Scene, Zone


def ray(start: complex, degrees: float, length: float) -> tuple[Point, ...]:
    """Two points in mm: a start and the end of a ray; degrees counter-clockwise from +x."""
    end = start + length * cmath.exp(1j * math.radians(degrees))
    return (start.real, start.imag), (end.real, end.imag)


def _framed(title: str, items: Iterable[Item], words: Iterable[str], edge: float = 12.0) -> Scene:
    """A scene that just holds its items."""
    kept = tuple(items)
    xs: list[float] = []
    ys: list[float] = []
    for item in kept:
        if isinstance(item, Disc):
            xs += [item.x - item.radius, item.x + item.radius]
            ys += [item.y - item.radius, item.y + item.radius]
        elif isinstance(item, Note):
            xs.append(item.x)
            ys.append(item.y)
        else:
            xs += [p[0] for p in item.points]
            ys += [p[1] for p in item.points]
    return Scene(title, min(xs) - edge, min(ys) - edge, max(xs) + edge, max(ys) + edge, kept, tuple(words))


def contact_scene(fraction: float, answer: Contact) -> Scene:
    """White arriving from the left; object ball's line, right-angle line and natural-roll line, life-size
    millimetres.
    """
    cut = math.radians(answer.cut_deg)
    ball = 2 * BALL_MM * cmath.exp(-1j * cut)
    items: list[Item] = [
        Line(((-190, 0), (0, 0)), "aim", dashed=True, arrow=True),
        Line(ray(ball, -answer.cut_deg, 160 * answer.object_speed + 5), "object path", arrow=True),
        Line(ray(0j, answer.stun_deg, 160 * answer.cue_speed + 5), "white path", arrow=True),
        Line(ray(0j, answer.rolling_deg, 150), "white path", dashed=True, arrow=True),
        Disc(0, 0, BALL_MM, "white"),
        Disc(ball.real, ball.imag, BALL_MM, "red"),
    ]
    words = [
        f"{fraction:g} ball: the object ball leaves at {answer.cut_deg:.1f} deg to the white's arrival, "
        f"with {answer.object_speed:.2f} of its speed",
        f"stun: the white goes {answer.stun_deg:.1f} deg off its arrival with {answer.cue_speed:.2f} "
        "of its speed (full line)",
        f"rolling: it settles {answer.rolling_deg:.1f} deg off its arrival (dashed)",
    ]
    if answer.cue_speed < 1e-9:
        words[1] = "stun: the white stops dead"
    return _framed("Contact seen from above", items, words)


def pot_scene(
    distance_mm: float, opening_mm: float, margin: float, chance: float, approach: float = 0.0
) -> Scene:
    """Object ball on the left, pocket opening on the right, the wedge of directions that go in."""
    jaw = opening_mm / 2 * cmath.exp(1j * (math.pi / 2 - approach))
    mouth = complex(distance_mm)
    wedge = [0j, *(distance_mm / math.cos(margin) * cmath.exp(1j * a) for a in (margin, -margin))]
    items: list[Item] = [
        Zone(tuple((p.real, p.imag) for p in wedge), "aim"),
        Line(((0, 0), (distance_mm, 0)), "object path", arrow=True),
        Line(tuple((p.real, p.imag) for p in (mouth + jaw, mouth + jaw * 1.6)), "cushion"),
        Line(tuple((p.real, p.imag) for p in (mouth - jaw, mouth - jaw * 1.6)), "cushion"),
        Disc(0, 0, BALL_MM, "red"),
    ]
    words = [
        f"{distance_mm:.0f} mm to an opening of {opening_mm:.0f} mm: {math.degrees(margin):.2f} deg "
        "to either side",
        f"chance {chance:.1%}",
    ]
    return _framed("Margin of the pot", items, words)


def rebound_scene(answer: Rebound, side: float) -> Scene:
    """A ball into the top cushion: its way in, its way out at once and once it rolls again."""
    back = cmath.exp(1j * math.radians(-90 - answer.in_deg)) * 300
    items: list[Item] = [
        Line(((-330, BALL_MM), (330, BALL_MM)), "cushion"),
        Line(((back.real, back.imag), (0, 0)), "aim", dashed=True, arrow=True),
        Line(ray(0j, -90 + answer.out_deg, 120), "white path", arrow=True),
        Line(ray(0j, -90 + answer.settled_deg, 300), "white path", dashed=True, arrow=True),
        Disc(0, 0, BALL_MM, "white"),
    ]
    kind = "no side" if side == 0 else ("running side" if side > 0 else "check side")
    words = [
        f"{kind}: in at {answer.in_deg:.1f} deg from the square line, off the cushion at "
        f"{answer.out_deg:.1f} deg (full line)",
        f"rolling again it runs at {answer.settled_deg:.1f} deg (dashed), {answer.settled_speed:.2f} m/s",
    ]
    if not answer.trusted:
        words.append("mind: faster across the cushion than the 2.5 m/s the model was measured for")
    return _framed("Off the cushion", items, words)


def rail_scene(view: RailView, gap_mm: float, rail_top_mm: float = RAIL_TOP * 1e3) -> Scene:
    """The white near the cushion from the side, with the cue as low as the rail lets it."""
    edge = -(BALL_MM + gap_mm)
    tip = TIP_DIAMETER * 1e3 / 2
    slope = view.slope
    low = complex(edge, rail_top_mm - BALL_MM)
    way = cmath.exp(-1j * slope)
    axis = low + tip * way * 1j
    # The tip stops where its face meets the white's surface.
    b = max(-1.0, min(1.0, view.lowest)) * BALL_MM
    nearest = max(0.0, abs(b) - tip)
    face = 1j * way * b - way * math.sqrt(BALL_MM**2 - nearest * nearest)
    back = axis - way * 170
    items: list[Item] = [
        Line(
            ((edge - 190, rail_top_mm - BALL_MM), (edge, rail_top_mm - BALL_MM), (edge, -BALL_MM)), "cushion"
        ),
        Line(((edge, -BALL_MM), (95, -BALL_MM)), "marking"),
        *(
            Line(
                tuple((p.real, p.imag) for p in (back + s * tip * way * 1j, face + s * tip * way * 1j)), "cue"
            )
            for s in (1, -1)
        ),
        Line(tuple((p.real, p.imag) for p in (face + tip * way * 1j, face - tip * way * 1j)), "cue"),
        Disc(0, 0, BALL_MM, "white"),
    ]
    words = [
        f"white {gap_mm:.0f} mm off the cushion, cue sloping {math.degrees(slope):.1f} deg: "
        f"{view.seen:.0%} of the white in sight",
        f"lowest hit {abs(view.lowest):.2f} of the radius {'above' if view.lowest > 0 else 'below'} "
        "the middle "
        f"({'inside' if view.reachable else 'beyond'} the miscue limit)",
        f"butt end {view.butt_rise * 1e3:.0f} mm above the tip of a {CUE_LENGTH * 1e3:.0f} mm cue",
    ]
    return _framed("From the cushion, seen from the side", items, words)


def travel_scene(answer: CueTravel, forearm_hand: float) -> Scene:
    """Forearm from the side: back, at contact, and through; the elbow stays where it is."""
    length = forearm_hand * 0.75e3
    forward = math.asin(min(1.0, answer.through / (forearm_hand * 0.75)))
    ends = [-1j * length * cmath.exp(1j * a) for a in (-answer.backswing_angle, 0.0, forward)]
    items: list[Item] = [Line(((0, 0), (p.real, p.imag)), "body", dashed=i != 1) for i, p in enumerate(ends)]
    items.append(Line(((-answer.backswing * 1e3 - 60, -length), (answer.reach * 1e3 + 60, -length)), "cue"))
    items.append(Note(0, 12, "elbow", "middle"))
    words = [
        f"back {answer.backswing * 1e3:.0f} mm, through {answer.through * 1e3:.0f} mm (ended by the "
        f"{answer.limit})",
        f"a fixed elbow lifts the hand {answer.hand_rise * 1e3:.0f} mm at the back",
        f"chest to bridge hand {answer.reach * 1e3:.0f} mm, room for the hand "
        f"{answer.through_room * 1e3:.0f} mm",
    ]
    return _framed("Cue travel, seen from the side", items, words, 25.0)


def run_scene(title: str, marks: Iterable[tuple[float, str]], words: Iterable[str]) -> Scene:
    """A straight run along a strip of cloth: marks at distances in mm with their words."""
    found = list(marks)
    last = max(100.0, *(m for m, _ in found))
    edge = last * 0.04 + 40
    items: list[Item] = [Line(((0, 0), (last, 0)), "white path", arrow=True), Disc(0, 0, BALL_MM, "white")]
    for at, text in found:
        items.append(Line(((at, -edge), (at, edge)), "marking"))
        items.append(Note(at, edge * 1.25, text, "middle"))
    return _framed(title, items, words, edge)


def arc_scene(fraction: float, arc: Arc) -> Scene:
    """The white's curve after a contact, with the right-angle line for comparison."""
    cut = math.degrees(math.asin(1 - fraction))
    ball = 2 * BALL_MM * cmath.exp(-1j * math.radians(cut))
    items: list[Item] = [
        Line(((-200, 0), (0, 0)), "aim", dashed=True, arrow=True),
        Line(ray(0j, math.degrees(arc.start_angle), 300), "marking", dashed=True),
        Line(mms(arc.points), "white path", arrow=True),
        Disc(0, 0, BALL_MM, "white"),
        Disc(ball.real, ball.imag, BALL_MM, "red"),
    ]
    words = [
        f"leaves at {math.degrees(arc.start_angle):.1f} deg, runs straight at "
        f"{math.degrees(arc.end_angle):.1f} deg "
        f"after {arc.rolls_after * 1e3:.0f} mm"
    ]
    return _framed("The curve after contact", items, words, 25.0)


def side_scene(points: Iterable[complex], words: Iterable[str]) -> Scene:
    """The white's way with side; across the line of the cue ten times as wide as in life, so that it can be
    seen.
    """
    path = [complex(p.real * 1e3, p.imag * 1e4) for p in points]
    items: list[Item] = [
        Line(((0, 0), (path[-1].real, 0)), "aim", dashed=True),
        Line(tuple((p.real, p.imag) for p in path), "white path", arrow=True),
        Disc(0, 0, BALL_MM, "white"),
    ]
    return _framed(
        "Side: line of the cue (dashed) and way of the white, across drawn ten times", items, words, 40.0
    )


def along_scene(distance_mm: float, gap_mm: float, answer: AlongCushion) -> Scene:
    """A ball along the top cushion towards a corner on the right, with the window of directions that go
    in.
    """
    top = BALL_MM + gap_mm
    ends = [
        complex(distance_mm, distance_mm * math.tan(a)) for a in (-answer.outward, min(answer.inward, 1.0))
    ]
    items: list[Item] = [
        Zone(((0, 0), (ends[0].real, ends[0].imag), (ends[1].real, min(ends[1].imag, top))), "aim"),
        Line(((-60, top), (distance_mm, top)), "cushion"),
        Line(ray(0j, math.degrees(answer.aim), distance_mm * 0.9), "object path", arrow=True),
        Disc(0, 0, BALL_MM, "red"),
    ]
    touch = "touching the cushion" if gap_mm == 0 else f"{gap_mm:.0f} mm off the cushion"
    words = [
        f"{touch}, {distance_mm:.0f} mm to the corner: goes in from {-math.degrees(answer.outward):.2f} deg "
        f"to {math.degrees(answer.inward):.2f} deg into the cushion",
        f"middle of the window {math.degrees(answer.aim):.2f} deg into the cushion, chance "
        f"{answer.chance:.1%}",
    ]
    return _framed("Along the cushion", items, words)


def spread_scene(margin: float, spread: float | None, words: Iterable[str]) -> Scene:
    """The bell of directions that fits the result, with the margin marked; one standard deviation is 60 mm
    across.
    """
    sd = spread if spread is not None else margin
    one = 60 / sd  # one standard deviation is 60 mm on the picture
    bell = [(60.0 * z / 10, 100 * math.exp(-((z / 10) ** 2) / 2)) for z in range(-30, 31)]
    edge = max(-180.0, min(180.0, margin * one))
    items: list[Item] = [
        Line(tuple(bell), "object path"),
        Line(((-190, 0), (190, 0)), "marking"),
        *(Line(((s * edge, 0), (s * edge, 110)), "cushion", dashed=True) for s in (1, -1)),
        Note(0, -14, "on line", "middle"),
    ]
    return _framed("Scatter of the direction; dashed: what the pocket allows", items, words)


def close_scene(gap_mm: float, fraction: float, butt: float, answer: CloseBall) -> Scene:
    """White and object ball from above, the tip's way as a bar, and where the tip must have stopped."""
    cut = math.asin(1 - fraction)
    along = 2 * BALL_MM * math.cos(cut) + gap_mm
    end = -BALL_MM + min(answer.follow * 1e3, 200.0)
    items: list[Item] = [
        Disc(0, 0, BALL_MM, "white"),
        Disc(along, -2 * BALL_MM * math.sin(cut), BALL_MM, "red"),
        Line(((-BALL_MM - 120, 0), (-BALL_MM, 0)), "cue"),
        Line(((-BALL_MM, -45), (end, -45)), "warning" if answer.push else "cue", arrow=True),
        Note(-BALL_MM, -60, "tip goes"),
    ]
    if math.isfinite(answer.allowed_follow):
        limit = -BALL_MM + answer.allowed_follow * 1e3
        items.append(Line(((limit, -52), (limit, -36)), "cushion"))
    said = "no limit" if math.isinf(answer.allowed_follow) else f"{answer.allowed_follow * 1e3:.0f} mm"
    words = [
        "a push stroke"
        if answer.push
        else ("a very fine edge: no push" if answer.exception else "no push stroke"),
        f"the tip touches the white for its first {answer.touch_length * 1e3:.1f} mm; the gap is "
        f"{gap_mm:.1f} mm",
        f"follow-through {answer.follow * 1e3:.0f} mm with the cue sloping {math.degrees(butt):.0f} "
        f"deg; allowed {said}",
    ]
    return _framed("Close balls, seen from above", items, words)


def pack_scene(tight: float, loose: float, words: Iterable[str]) -> Scene:
    """A flat tight face on the left, a loose one on the right, arrows for what the white does next."""
    items: list[Item] = []
    for centre, kept, gap in ((0.0, tight, 0.0), (420.0, loose, 9.0)):
        step = 2 * BALL_MM + gap
        for row in range(3):
            for i in range(5 - row):
                x, y = centre + (i - (4 - row) / 2) * step, 2 * BALL_MM + row * step * math.sqrt(3) / 2
                items.append(Disc(x, y, BALL_MM, "red"))
        items.append(Line(((centre, -160), (centre, -BALL_MM)), "aim", dashed=True))
        items.append(Disc(centre, 0, BALL_MM, "white"))
        items.append(Line(((centre + 14, 0), (centre + 14, 260 * kept)), "white path", arrow=True))
    items.append(Note(0, -185, "flat and tight", "middle"))
    items.append(Note(420, -185, "loose", "middle"))
    return _framed("Into the pack", items, words, 25.0)
