"""One question about a shot, one answer: figures to read by program, and a scene to draw. SI in, trade units
out.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass

from knowledge.mechanics import close_ups, potting
from knowledge.mechanics.conditions import STANDARD, Conditions
from knowledge.mechanics.contact import contact, cut_from_fraction, settled_speeds
from knowledge.mechanics.cushion import rebound_of
from knowledge.mechanics.inputs import ImpossibleInput
from knowledge.mechanics.motion import (
    arrival,
    draw_fades,
    roll_distance,
    roll_time,
    rolling_resistance_from_time,
    slide_to_roll,
    speed_to_die_at,
    spin_from_offset,
)
from knowledge.mechanics.pack import arc_after_contact, into_pack
from knowledge.mechanics.scene import Scene
from knowledge.mechanics.throw import throw_angle

Figure = (
    float | int | str | bool | None | list[str] | list[float] | dict[str, float] | list[dict[str, object]]
)


@dataclass(frozen=True, slots=True)
class Answer:
    """figures: names end in their unit; None where there is no number. scene: what to draw; its words say it
    all.
    """

    figures: dict[str, Figure]
    scene: Scene


def degrees(angle: float | None) -> float | None:
    """Radians to degrees; None stays None."""
    return None if angle is None else math.degrees(angle)


def contact_answer(*, fraction: float, restitution: float = 1.0, cloth: Conditions = STANDARD) -> Answer:  # noqa: ARG001
    """Angles and speeds directly after a contact."""
    found = contact(fraction, restitution)
    return Answer(dict(asdict(found)), close_ups.contact_scene(fraction, found))


def pot_answer(
    *,
    distance: float,
    spread: float,
    cloth: Conditions,
    opening: float | None = None,
    angle: float = 0.0,
    approach: float = 0.0,
    cue_distance: float | None = None,
    pocket: str = "corner",
) -> Answer:
    """Margin and chance of a pot; with the distance between the balls also what the aim may be off.

    angle: the cut. opening: None takes the cloth's for the pocket, "corner" or "middle". Raises:
    ImpossibleInput.
    """
    known = {"corner": cloth.corner_opening, "middle": cloth.middle_opening}
    if pocket not in known:
        raise ImpossibleInput("pocket", f"{pocket!r} is unknown", "Say corner or middle.")
    wide = known[pocket] if opening is None else opening
    found = potting.pot(
        distance, wide, spread, cloth.diameter, cut=angle, approach=approach, cue_distance=cue_distance
    )
    figures: dict[str, Figure] = {"margin_deg": degrees(found.margin), "chance": found.chance}
    if cue_distance is not None:
        figures["amplification"] = found.amplification
        figures["allowed_aim_deg"] = degrees(found.aim_margin)
        figures["allowed_thinner_deg"] = degrees(found.thin)
        figures["allowed_thicker_deg"] = degrees(found.thick)
        figures["exact_chance"] = found.exact_chance
    return Answer(
        figures, close_ups.pot_scene(distance * 1e3, wide * 1e3, found.margin, found.chance, approach)
    )


def along_answer(
    *, distance: float, gap: float, spread: float, cloth: Conditions, opening: float | None = None
) -> Answer:
    """A ball along a cushion, touching it or not."""
    wide = cloth.corner_opening if opening is None else opening
    found = potting.along_cushion(distance, gap, wide, spread, cloth.diameter, cloth.cushion_ratio)
    figures: dict[str, Figure] = {
        "outward_deg": degrees(found.outward),
        "inward_deg": degrees(found.inward),
        "aim_into_cushion_deg": degrees(found.aim),
        "chance": found.chance,
    }
    return Answer(figures, close_ups.along_scene(distance * 1e3, gap * 1e3, found))


def spread_answer(
    *,
    hits: int,
    of: int,
    distance: float,
    cloth: Conditions,
    opening: float | None = None,
    angle: float = 0.0,
    cue_distance: float | None = None,
) -> Answer:
    """The spread behind a result: the object ball's, or the white's when the distance between the "
    "balls is given."""
    wide = cloth.corner_opening if opening is None else opening
    margin = potting.pocket_margin(distance, wide, cloth.diameter)
    gain = 1.0 if cue_distance is None else potting.amplification(cue_distance, angle, cloth.diameter)
    found = potting.spread_from_results(hits, of, margin, gain)
    figures: dict[str, Figure] = {
        "spread_deg": degrees(found.likely),
        "low_deg": degrees(found.low),
        "high_deg": degrees(found.high),
        "margin_deg": degrees(margin / gain),
    }
    words = [f"{hits} of {of} at a margin of {math.degrees(margin / gain):.3f} deg"]
    if found.likely is not None:
        words.append(
            f"your direction scatters by about {math.degrees(found.likely):.3f} deg either way (one "
            "standard deviation)"
        )
    if found.low is not None and found.high is not None:
        words.append(
            f"these few shots fit anything from {math.degrees(found.low):.3f} to "
            f"{math.degrees(found.high):.3f} deg"
        )
    return Answer(figures, close_ups.spread_scene(margin / gain, found.likely, words))


def roll_answer(
    *, cloth: Conditions, speed: float | None = None, distance: float | None = None, time: float | None = None
) -> Answer:
    """How far and how long a rolling ball goes; or the speed that dies at a distance, and with the seconds a
    roll took, the cloth's own rolling resistance.

    Raises: ImpossibleInput unless just one of speed and distance is given.
    """
    if speed is not None and distance is None:
        far, seconds = roll_distance(speed, cloth), roll_time(speed, cloth)
        words = [
            f"{speed:.2f} m/s rolls {far:.2f} m in {seconds:.1f} s on {cloth.name}",
            "no cushion is reckoned",
        ]
        scene = close_ups.run_scene("Rolling to rest", [(far * 1e3, "stops")], words)
        return Answer({"distance_mm": far * 1e3, "time_s": seconds}, scene)
    if distance is None or speed is not None:
        raise ImpossibleInput("roll", "needs either a speed or a distance", "Give one of the two.")
    needed = speed_to_die_at(distance, cloth)
    words = [f"{needed:.3f} m/s dies after {distance:.2f} m on {cloth.name}"]
    figures: dict[str, Figure] = {"speed_m_s": needed}
    if time is not None:
        own = rolling_resistance_from_time(distance, time)
        figures["rolling_resistance"] = own
        words.append(f"{distance:.2f} m that stop after {time:.1f} s mean a rolling resistance of {own:.4f}")
    return Answer(figures, close_ups.run_scene("Speed for a distance", [(distance * 1e3, "stops")], words))


def slide_answer(*, speed: float, cloth: Conditions, height: float = 0.0) -> Answer:
    """When a struck ball begins to roll."""
    found = slide_to_roll(speed, height, cloth)
    figures: dict[str, Figure] = {
        "time_s": found.time,
        "distance_mm": found.distance * 1e3,
        "speed_m_s": found.speed,
        "speed_ratio": found.speed / speed if speed else None,
    }
    words = [
        f"rolls after {found.distance * 1e3:.0f} mm and {found.time:.2f} s, then at {found.speed:.2f} m/s"
    ]
    scene = close_ups.run_scene("From sliding to rolling", [(found.distance * 1e3, "rolls")], words)
    return Answer(figures, scene)


def draw_answer(*, speed: float, low: float, cloth: Conditions, distance: float | None = None) -> Answer:
    """Where screw fades; with a distance, what spin is left at the object ball and how far a full contact
    draws back.
    """
    fades = draw_fades(speed, low, cloth)
    figures: dict[str, Figure] = {
        "stun_after_mm": fades.distance * 1e3,
        "stun_after_s": fades.time,
        "speed_there_m_s": fades.speed,
    }
    marks = [(fades.distance * 1e3, "stun")]
    words = [f"the screw has worn off after {fades.distance * 1e3:.0f} mm, with {fades.speed:.2f} m/s left"]
    if distance is not None:
        there = arrival(speed, -low, distance, cloth)
        figures["arrival_speed_m_s"] = None if there is None else there[0]
        figures["arrival_roll"] = None if there is None else there[1]
        back = 0.0 if there is None else max(0.0, -there[1]) * there[0] * 2 / 7
        figures["draws_back_mm"] = roll_distance(back, cloth) * 1e3
        marks.append((distance * 1e3, "ball"))
        if there is not None:
            kind = "screw" if there[1] < -0.02 else ("follow" if there[1] > 0.02 else "stun")
            words.append(
                f"at the ball: {there[0]:.2f} m/s, {abs(there[1]):.2f} of rolling as {kind}; "
                f"a full contact draws back {roll_distance(back, cloth) * 1e3:.0f} mm"
            )
        else:
            words.append("it stops before the ball")
    return Answer(figures, close_ups.run_scene("Screw that wears off", marks, words))


def natural_answer(*, fraction: float, restitution: float = 1.0, cloth: Conditions = STANDARD) -> Answer:  # noqa: ARG001
    """The rolling white's deflection and both settled speeds."""
    found = contact(fraction, restitution)
    white, ball = settled_speeds(cut_from_fraction(fraction))
    figures: dict[str, Figure] = {
        "cut_deg": found.cut_deg,
        "rolling_deg": found.rolling_deg,
        "cue_settled_speed": white,
        "object_settled_speed": ball,
    }
    return Answer(figures, close_ups.contact_scene(fraction, found))


def cushion_answer(
    *, angle: float, speed: float, cloth: Conditions, roll: float = 1.0, side: float = 0.0
) -> Answer:
    """Off a cushion; side as tip offset over radius at once after the hit, + running, - check."""
    spin = spin_from_offset(side)
    found = rebound_of(angle, speed, cloth, roll, spin)
    return Answer(dict(asdict(found)), close_ups.rebound_scene(found, side))


def pack_answer(*, speed: float, cloth: Conditions, roll: float = 1.0) -> Answer:
    """White into a flat tight pack and into a loose one."""
    tight, loose = (into_pack(speed, roll, cloth, tight=t) for t in (True, False))
    figures: dict[str, Figure] = {
        "tight_kept": tight.kept,
        "tight_settled": tight.settled,
        "tight_through": tight.through,
        "loose_kept": loose.kept,
        "loose_settled": loose.settled,
        "loose_through": loose.through,
    }
    words = [
        f"tight: thrown back with {-tight.kept:.2f} of its speed, rolls on with {tight.settled:+.2f}; "
        f"{tight.moved} balls move",
        f"loose: keeps {loose.kept:.2f}, its spin carries it on with {loose.settled:+.2f}",
        "momentum is exact; which of the balls takes how much is a sketch",
    ]
    return Answer(figures, close_ups.pack_scene(tight.settled, loose.settled, words))


def arc_answer(
    *, fraction: float, speed: float, cloth: Conditions, roll: float = 1.0, distance: float = 0.5
) -> Answer:
    """The curve after a contact, and how the white meets what lies ``distance`` metres away."""
    found = arc_after_contact(fraction, speed, roll, cloth, distance)
    meets = None if found.meets is None else abs(found.meets.velocity)
    figures: dict[str, Figure] = {
        "start_deg": degrees(found.start_angle),
        "end_deg": degrees(found.end_angle),
        "straight_after_mm": found.rolls_after * 1e3,
        "speed_at_reach_m_s": meets,
    }
    return Answer(figures, close_ups.arc_scene(fraction, found))


def throw_answer(
    *,
    speed: float,
    angle: float,
    roll: float = 1.0,
    side: float = 0.0,
    cloth: Conditions = STANDARD,  # noqa: ARG001
) -> Answer:
    """Throw of the object ball; angle: the cut, side: spin about the upright over speed, + outside."""
    thrown = throw_angle(speed, angle, roll, side)
    fraction = 1 - math.sin(angle)
    found = contact(fraction)
    words = f"throw {math.degrees(thrown):.2f} deg; friction constants are a fit to pool balls, from memory"
    scene = close_ups.contact_scene(fraction, found)
    kept = Scene(
        scene.title, scene.left, scene.bottom, scene.right, scene.top, scene.items, (words, *scene.words)
    )
    return Answer({"throw_deg": degrees(thrown)}, kept)
