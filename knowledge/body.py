"""Body measures: entered, or estimated from height with the spread of published tables, and said so.

Estimates: least-squares lines of a part on stature, with their residual spread, computed from the public
working files of the 2012 Anthropometric Survey of U.S. Army Personnel (C. C. Gordon et al., NATICK/TR-15/007,
2014; 4082 men, 1986 women). Soldiers of one country aged 17-58: not children, not wheelchair users.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from knowledge.mechanics.inputs import within

Part = Literal["hand length", "shoulder breadth", "forearm with hand", "upper arm"]
Basis = Literal["measured", "estimated from height", "mechanics", "book and own trials", "own trials"]
Table = Literal["men", "women"]

LINES: dict[Part, dict[Table, tuple[float, float, float]]] = {
    "hand length": {"men": (0.0977, 21.74, 7.36), "women": (0.1012, 16.23, 7.68)},
    "shoulder breadth": {"men": (0.1486, 154.64, 16.23), "women": (0.1612, 102.82, 15.09)},
    "forearm with hand": {"men": (0.2674, 10.59, 14.36), "women": (0.2744, -7.02, 15.37)},
    # No line was computed for the upper arm: its mean over mean stature, and its whole spread.
    "upper arm": {"men": (335.24 / 1756.21, 0.0, 17.48), "women": (311.20 / 1628.47, 0.0, 17.16)},
}
"""Slope, intercept in mm, residual standard deviation in mm (ANSUR II, see the module)."""

LIMITS: dict[str, tuple[float, float]] = {
    "height": (1000.0, 2300.0),
    "hand length": (110.0, 260.0),
    "shoulder breadth": (220.0, 560.0),
    "forearm with hand": (280.0, 620.0),
    "upper arm": (180.0, 460.0),
}
"""What is accepted as a body measure at all, mm; common practice, no source."""

MEASURE_SPREAD = 5.0
"""Scatter of a tape measure on one's own body, mm; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Body:
    """Measures in mm; None is not known. table: whose lines to estimate with; None mixes both and widens the
    spread.
    """

    height: float | None = None
    hand: float | None = None
    shoulders: float | None = None
    forearm_hand: float | None = None
    upper_arm: float | None = None
    table: Table | None = None

    def __post_init__(self) -> None:
        for name, value in (("height", self.height), *self._entered()):
            if value is not None:
                within(name, value, *LIMITS[name], "mm")

    def _entered(self) -> tuple[tuple[Part, float | None], ...]:
        return (
            ("hand length", self.hand),
            ("shoulder breadth", self.shoulders),
            ("forearm with hand", self.forearm_hand),
            ("upper arm", self.upper_arm),
        )

    def doubts(self) -> tuple[str, ...]:
        """Entered measures more than three spreads from what height suggests: mistyped, or an unusual
        body.
        """
        if self.height is None:
            return ()
        found = []
        for part, value in self._entered():
            guess = estimate(part, self.height, self.table)
            if value is not None and abs(value - guess.value) > 3 * guess.spread:
                found.append(
                    f"{part} {value:.0f} mm is unusual for a height of {self.height:.0f} mm: measure again"
                )
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Measure:
    """A length in mm with its standard deviation, and where it comes from."""

    value: float
    spread: float
    basis: Basis


def estimate(part: Part, height: float, table: Table | None = None) -> Measure:
    """A part from height (mm). Without a table both lines are averaged and their difference joins the spread.

    Raises: ImpossibleInput for an impossible height.
    """
    within("height", height, *LIMITS["height"], "mm")
    lines = LINES[part]
    if table is not None:
        slope, rest, spread = lines[table]
        return Measure(slope * height + rest, spread, "estimated from height")
    guesses = [(s * height + r, d) for s, r, d in lines.values()]
    middle = sum(g for g, _ in guesses) / len(guesses)
    variance = sum(d * d + (g - middle) ** 2 for g, d in guesses) / len(guesses)
    return Measure(middle, math.sqrt(variance), "estimated from height")


def part_of(body: Body, part: Part) -> Measure | None:
    """The entered measure, else the estimate from height, else None."""
    value = dict(body._entered())[part]
    if value is not None:
        return Measure(value, MEASURE_SPREAD, "measured")
    return None if body.height is None else estimate(part, body.height, body.table)
