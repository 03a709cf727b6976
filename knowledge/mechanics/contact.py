"""Cue ball meets object ball: fullness, cut angle, speeds, right-angle line and natural angle.

Two equal smooth balls; restitution along the line of centres. Sources: D. G. Alciatore, technical proofs TP
3.1 (right angle) and TP 3.3 (rolling cue ball); G. Coriolis, "Théorie mathématique des effets du jeu de
billard" (1835), for the 5/7 and 2/7 of the settled ball. Left out: friction between the balls (see
``throw``), the hop of the cue ball.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass

from knowledge.mechanics.inputs import within


@dataclass(frozen=True, slots=True)
class Contact:
    """Directly after contact. Angles of the cue ball's path against its arrival, degrees; speeds over arrival
    speed.

    At a full contact with restitution 1 the cue ball stops dead: ``cue_speed`` is 0 and ``stun_deg`` is the
    limit 90.
    """

    cut_deg: float
    stun_deg: float
    rolling_deg: float
    object_speed: float
    cue_speed: float


def cut_from_fraction(fraction: float) -> float:
    """Cut angle in radians for a ball fraction (1 full, 0 a graze): asin(1 - f). Alciatore TP 3.1."""
    return math.asin(1 - within("ball fraction", fraction, 0.0, 1.0))


def fraction_from_cut(cut: float) -> float:
    """Ball fraction for a cut angle in radians, 0 to a right angle."""
    return 1 - math.sin(within("cut angle", cut, 0.0, math.pi / 2, "deg", math.pi / 180))


def aim_offset(fraction: float, diameter: float) -> float:
    """Distance of the line of aim from the object ball's centre, metres: d (1 - f)."""
    return diameter * (1 - within("ball fraction", fraction, 0.0, 1.0))


def struck(velocity: complex, line: complex, restitution: float) -> tuple[complex, complex]:
    """Velocities (cue ball, object ball) after a cue ball with this velocity meets a resting ball.

    line: unit vector from the cue ball's to the object ball's centre.
    """
    along = (velocity * line.conjugate()).real
    gained = (1 + restitution) / 2 * along * line
    return velocity - gained, gained


def settled(velocity: complex, roll: complex) -> complex:
    """Velocity once sliding has ended: 5/7 of the centre's and 2/7 of what the spin would roll at (Coriolis
    1835).
    """
    return (5 * velocity + 2 * roll) / 7


def _turn(velocity: complex, fallback: float) -> float:
    return fallback if abs(velocity) < 1e-12 else abs(math.degrees(cmath.phase(velocity)))


def contact(fraction: float, restitution: float = 1.0) -> Contact:
    """Angles and speeds for a ball fraction; arrival along the real axis with speed 1.

    Raises: ImpossibleInput for a fraction outside 0 to 1 or a restitution outside 0.5 to 1.
    """
    cut = cut_from_fraction(fraction)
    within("ball restitution", restitution, 0.5, 1.0)
    cue, ball = struck(1 + 0j, cmath.exp(-1j * cut), restitution)
    return Contact(
        cut_deg=math.degrees(cut),
        stun_deg=_turn(cue, 90.0),
        rolling_deg=_turn(settled(cue, 1 + 0j), 0.0),
        object_speed=abs(ball),
        cue_speed=abs(cue),
    )


def separation(cut: float, restitution: float) -> float:
    """Angle between the two paths after a stun contact, radians: atan(2 tan(cut) / (1 - e)); 90 degrees at e
    = 1.
    """
    within("cut angle", cut, 0.0, math.pi / 2, "deg", math.pi / 180)
    if restitution == 1.0:
        return math.pi / 2
    return math.atan2(
        2 * math.sin(cut), (1 - within("ball restitution", restitution, 0.5, 1.0)) * math.cos(cut)
    )


def settled_speeds(cut: float) -> tuple[float, float]:
    """(cue ball, object ball) speeds over arrival once both roll, cue ball arriving rolling, restitution 1.

    Cue ball (1/7) sqrt(45 sin² + 4), object ball (5/7) cos. They are equal at sin² = 0.3, that is 33.211
    degrees.
    """
    within("cut angle", cut, 0.0, math.pi / 2, "deg", math.pi / 180)
    return math.sqrt(45 * math.sin(cut) ** 2 + 4) / 7, 5 / 7 * math.cos(cut)


WIDEST_NATURAL_ANGLE = math.asin(5 / 9)
"""Largest deflection of a rolling cue ball, 33.749 degrees, at a cut of half acos(5/9) (closed form of TP
3.3).
"""
