"""Potting: ghost ball, margin of error, chance of the pot, and the spread behind a player's results.

Model: the object ball must pass wholly between the jaws; the pocket is a straight opening. Angular errors are
normal. Sources: D. G. Alciatore, TP 3.4 and the margin-for-error page, for the trend; the formulas are plain
geometry. Left out: jaws that turn a ball in or out, throw, balls rolling off, and that real misses lean to
one side.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass
from statistics import NormalDist

from knowledge.mechanics.inputs import ImpossibleInput, within

DEGREE = math.pi / 180
_RIGHT = math.radians(89.9)


def pocket_margin(distance: float, opening: float, diameter: float, approach: float = 0.0) -> float:
    """Half-angle in radians that the pocket leaves: atan((P cos(approach) - d) / (2 D)).

    approach: angle between the ball's line and the pocket's middle line, radians. 0 when the opening, seen
    from there, is narrower than the ball. Raises: ImpossibleInput.
    """
    within("distance to the pocket", distance, 1e-3, 10.0, "mm", 1e-3)
    within("pocket opening", opening, diameter, 0.3, "mm", 1e-3)
    within("approach angle", approach, 0.0, _RIGHT, "deg", DEGREE)
    return max(0.0, math.atan((opening * math.cos(approach) - diameter) / (2 * distance)))


def amplification(cue_distance: float, cut: float, diameter: float) -> float:
    """How many times an aiming error grows in the object ball: L cos(α0) / (d cos(φ)) - 1.

    cue_distance: centre to centre, more than a ball. Raises: ImpossibleInput, also where the cut cannot be
    reached.
    """
    check_reach(cue_distance, cut, diameter)
    aim = math.asin(diameter * math.sin(cut) / cue_distance)
    return cue_distance * math.cos(aim) / (diameter * math.cos(cut)) - 1


def check_reach(cue_distance: float, cut: float, diameter: float) -> None:
    """Refuse overlapping balls, cuts of a right angle or more, and ghost balls behind the cue ball."""
    within("cut angle", cut, 0.0, _RIGHT, "deg", DEGREE)
    if cue_distance < diameter:
        raise ImpossibleInput(
            "distance between the balls",
            f"{cue_distance * 1e3:g} mm means that they overlap",
            f"Centres are at least {diameter * 1e3:g} mm apart.",
        )
    within("distance between the balls", cue_distance, diameter, 10.0, "mm", 1e-3)


def object_direction(aim: float, cue_distance: float, diameter: float) -> float | None:
    """Object ball's direction off the line of centres for an aim off it (radians); None when the ball is
    missed.
    """
    reach = cue_distance * math.sin(aim) / diameter
    return None if abs(reach) > 1 else math.asin(reach) - aim


def aim_for(direction: float, cue_distance: float, diameter: float) -> float:
    """Aim off the line of centres that sends the object ball in a direction off it: the ghost ball seen from
    the white.
    """
    return math.atan2(diameter * math.sin(direction), cue_distance - diameter * math.cos(direction))


def chance(margin: float, spread: float) -> float:
    """Chance that a normal error with this standard deviation stays within ± margin: erf(margin / (spread
    √2)).
    """
    within("margin", margin, 0.0, math.pi / 2, "deg", DEGREE)
    within("spread", spread, 0.0, math.radians(45), "deg", DEGREE)
    if spread == 0:
        return 1.0 if margin > 0 else 0.0
    return math.erf(margin / (spread * math.sqrt(2)))


@dataclass(frozen=True, slots=True)
class Pot:
    """margin: of the object ball's direction; aim_margin: of the cue ball's (None without its distance);
    radians.

    thin, thick: how far the aim may be off towards thinner and thicker, exact. chance: with the linear
    amplification; exact_chance: with the exact geometry (the two agree within 0.002 for ordinary shots).
    """

    margin: float
    chance: float
    amplification: float | None = None
    aim_margin: float | None = None
    thin: float | None = None
    thick: float | None = None
    exact_chance: float | None = None


def pot(
    distance: float,
    opening: float,
    spread: float,
    diameter: float,
    *,
    cut: float = 0.0,
    approach: float = 0.0,
    cue_distance: float | None = None,
) -> Pot:
    """Margin and chance of a pot.

    spread: standard deviation of the object ball's direction, or, when cue_distance (centre to centre) is
    given, of the cue ball's. Without cue_distance the cut angle plays no part: the spread is already the
    object ball's. Raises: ImpossibleInput.
    """
    margin = pocket_margin(distance, opening, diameter, approach)
    if cue_distance is None:
        within("cut angle", cut, 0.0, _RIGHT, "deg", DEGREE)
        return Pot(margin, chance(margin, spread))
    gain = amplification(cue_distance, cut, diameter)
    middle = math.asin(diameter * math.sin(cut) / cue_distance)
    direction = cut - middle
    # Beyond the square cut no thinner contact exists: the widest direction is where the aim grazes the ball.
    widest = math.pi / 2 - math.asin(diameter / cue_distance)
    thin = aim_for(min(direction + margin, widest), cue_distance, diameter) - middle
    thick = middle - aim_for(direction - margin, cue_distance, diameter)
    exact = chance(margin, spread) if spread == 0 else _between(-thick, thin, spread)
    linear = chance(margin, spread * gain) if gain > 0 else 1.0
    return Pot(margin, linear, gain, margin / gain if gain > 0 else math.pi / 2, thin, thick, exact)


def _between(low: float, high: float, spread: float) -> float:
    root = spread * math.sqrt(2)
    return (math.erf(high / root) - math.erf(low / root)) / 2


@dataclass(frozen=True, slots=True)
class Spread:
    """Standard deviation in radians behind a result, with the ends of its 95 % interval; None where none
    exists.
    """

    likely: float | None
    low: float | None
    high: float | None


def spread_from_results(hits: int, tries: int, margin: float, gain: float = 1.0) -> Spread:
    """The spread that would pot ``hits`` of ``tries`` at this margin; gain: amplification for a cue spread.

    The interval turns Wilson's 95 % score interval for the rate (Wilson 1927) into spreads. All potted leaves
    only a top end, none potted only a bottom end. Raises: ImpossibleInput.
    """
    if tries < 1 or not 0 <= hits <= tries:
        raise ImpossibleInput(
            "results", f"{hits} of {tries} is not possible", "Give hits from 0 to tries, tries 1 up."
        )
    within("margin", margin, 1e-9, math.pi / 2, "deg", DEGREE)
    within("growth of the error", gain, 1e-6, 1e4)
    z = 1.959964
    rate = hits / tries
    middle = (rate + z * z / (2 * tries)) / (1 + z * z / tries)
    half = z / (1 + z * z / tries) * math.sqrt(rate * (1 - rate) / tries + z * z / (4 * tries * tries))
    allowed = margin / gain
    return Spread(
        likely=_spread_at(rate, allowed),
        low=_spread_at(middle + half, allowed),
        high=_spread_at(middle - half, allowed),
    )


def _spread_at(rate: float, allowed: float) -> float | None:
    if not 1e-9 < rate < 1 - 1e-9:
        return None
    return allowed / NormalDist().inv_cdf((1 + rate) / 2)


def pots_in_a_row(rate: float) -> float:
    """Mean number potted before the first miss: p / (1 - p)."""
    return within("pot chance", rate, 0.0, 0.9999) / (1 - rate)


@dataclass(frozen=True, slots=True)
class Aim:
    """ghost: where the cue ball's centre must be at contact. cut and side of the cut (+1 object goes left),
    radians.

    travel: the cue ball's way to the ghost ball, metres. fraction: ball fraction. offset: metres.
    """

    ghost: complex
    cut: float
    hand: int
    travel: float
    fraction: float
    offset: float


def aim_at(cue: complex, ball: complex, target: complex, diameter: float) -> Aim:
    """Ghost-ball aim. Raises: ImpossibleInput for overlapping balls or a cut of 90 degrees or more."""
    if abs(ball - cue) < diameter - 1e-3:
        raise ImpossibleInput("white", "overlaps the object ball", "Centres lie a ball apart at least.")
    if target == ball:
        raise ImpossibleInput("object ball", "lies at its target", "Place it on the table.")
    line = (target - ball) / abs(target - ball)
    ghost = ball - diameter * line
    way = ghost - cue
    turn = cmath.phase(line / way) if abs(way) > 1e-9 else cmath.phase(line / (ball - cue))
    if abs(turn) >= math.pi / 2:
        raise ImpossibleInput(
            "cut angle",
            f"{abs(math.degrees(turn)):.0f} deg cannot be cut",
            "Choose another pocket or place the white anew.",
        )
    fraction = 1 - math.sin(abs(turn))
    return Aim(ghost, abs(turn), 1 if turn >= 0 else -1, abs(way), fraction, diameter * (1 - fraction))


@dataclass(frozen=True, slots=True)
class AlongCushion:
    """Window of directions in radians: outward is away from the cushion, inward into it; aim: its middle,
    inward positive.
    """

    outward: float
    inward: float
    aim: float
    chance: float


def along_cushion(
    distance: float, gap: float, opening: float, spread: float, diameter: float, cushion_ratio: float
) -> AlongCushion:
    """Object ball running along a cushion to a corner pocket, touching (gap 0) or clear of it by ``gap``
    metres.

    The pocket takes a ball whose centre comes no farther out than P cos 45° - d beyond the touching line; a
    ball sent into the cushion leaves it with its slope times the cushion ratio. The window has the same width
    touching or not (a (1 + 1/ratio)/D); what changes is where it lies: a touching ball forgives an aim into
    the cushion, a ball clear of it must be sent inward. Raises: ImpossibleInput.
    """
    within("distance to the pocket", distance, 0.01, 4.0, "mm", 1e-3)
    within("gap to the cushion", gap, 0.0, 0.3, "mm", 1e-3)
    within("pocket opening", opening, diameter, 0.3, "mm", 1e-3)
    within("spread", spread, 0.0, math.radians(45), "deg", DEGREE)
    accepts = opening * math.cos(math.pi / 4) - diameter
    if accepts <= 0:
        return AlongCushion(0.0, 0.0, math.atan2(gap, distance), 0.0)
    low = math.atan((gap - accepts) / distance)
    high = math.atan((gap + accepts / cushion_ratio) / distance)
    half = (high - low) / 2
    return AlongCushion(-low, high, (low + high) / 2, chance(half, spread))
