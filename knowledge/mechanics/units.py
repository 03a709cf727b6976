"""Units as players say them, turned into SI and back.

One inch is 25.4 mm and one mile an hour 0.44704 m/s exactly (international yard, 1959). The speed words are
those of D. G. Alciatore, "Physics of Pool and Billiards", section on physical properties.
"""

from __future__ import annotations

import math
import re
from typing import Literal

from knowledge.mechanics.inputs import ImpossibleInput

Kind = Literal["length", "speed", "angle", "time"]

MM = 1e-3
INCH = 0.0254
FOOT = 0.3048
MPH = 0.44704

UNITS: dict[Kind, dict[str, float]] = {
    "length": {
        **{"mm": MM, "cm": 1e-2, "m": 1.0, "in": INCH, "inch": INCH, "inches": INCH, '"': INCH},
        **{"ft": FOOT, "foot": FOOT, "feet": FOOT, "'": FOOT},
    },
    "speed": {"m/s": 1.0, "mph": MPH, "km/h": 1 / 3.6, "ft/s": FOOT},
    "angle": {"deg": math.pi / 180, "degrees": math.pi / 180, "°": math.pi / 180, "rad": 1.0},
    "time": {"s": 1.0, "ms": 1e-3},
}

SPEED_WORDS: dict[str, float] = {
    "touch": 1.5 * MPH,
    "slow": 3 * MPH,
    "medium-soft": 5 * MPH,
    "medium": 7 * MPH,
    "medium-fast": 8 * MPH,
    "fast": 12 * MPH,
    "power": 15 * MPH,
}
"""Cue-ball speed for the words players use, m/s. "power" is the lower end of 15-20 mph."""

_QUANTITY = re.compile(r"\s*([-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?)\s*(\S*)\s*$")


def read_quantity(name: str, text: str, kind: Kind, bare: str) -> float:
    """A number with a unit, such as "900", "3 ft", "7 mph" or (speeds only) "medium", in SI.

    bare: the unit taken when none is given. Raises: ImpossibleInput for no number or an unknown unit.
    """
    if kind == "speed" and text.strip().lower() in SPEED_WORDS:
        return SPEED_WORDS[text.strip().lower()]
    match = _QUANTITY.match(text)
    if match is None:
        raise ImpossibleInput(
            name, f"{text!r} is not a number", f"Give a number, in {bare} if no unit follows."
        )
    unit = match.group(2) or bare
    if unit not in UNITS[kind]:
        known = ", ".join(UNITS[kind])
        raise ImpossibleInput(name, f"unknown unit {unit!r}", f"Known units of {kind}: {known}.")
    return float(match.group(1)) * UNITS[kind][unit]


def feet_said(length: float) -> str:
    """A length in metres the way players say it: whole feet and halves, inches below one foot."""
    if abs(length) < 0.95 * FOOT:
        return f"{length / INCH:.0f} in"
    halves = round(length / FOOT * 2)
    return f"{halves // 2}½ ft" if halves % 2 else f"{halves // 2} ft"
