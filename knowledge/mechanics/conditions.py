"""Cloth, balls, cushions and pockets as parameters, with named presets.

Ranges: D. G. Alciatore, "Physics of Pool and Billiards", section on physical properties (pool, 57 mm balls).
Cushion nose model: S. Mathavan, M. R. Jackson & R. M. Parkin, Proc. IMechE C 224 (2010) 1863-1873,
restitution 0.98 and friction 0.14 measured on a snooker table, below 2.5 m/s across the cushion. Pocket
templates are not public: an opening is the user's own figure, the presets' are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from knowledge.mechanics.inputs import ImpossibleInput, within

GRAVITY = 9.81


@dataclass(frozen=True, slots=True)
class Conditions:
    """What the balls meet. Lengths in metres, the rest ratios.

    sliding, rolling: ball on cloth. ball_restitution, ball_friction: ball on ball. nose_*: ball on cushion
    nose; cushion_ratio: speed out over speed in for the plain mirror model. nose_height: above the bed.
    Raises: ImpossibleInput when a value lies outside its range.
    """

    name: str = "standard"
    sliding: float = 0.20
    rolling: float = 0.010
    ball_restitution: float = 0.94
    ball_friction: float = 0.06
    cushion_ratio: float = 0.75
    nose_restitution: float = 0.98
    nose_friction: float = 0.14
    nose_height: float = 0.635 * 0.0525
    corner_opening: float = 0.085
    middle_opening: float = 0.090
    diameter: float = 0.0525

    def __post_init__(self) -> None:
        within("sliding friction", self.sliding, 0.10, 0.40)
        within("rolling resistance", self.rolling, 0.002, 0.03)
        within("ball restitution", self.ball_restitution, 0.85, 1.0)
        within("ball friction", self.ball_friction, 0.0, 0.15)
        within("cushion speed ratio", self.cushion_ratio, 0.5, 0.95)
        within("cushion nose restitution", self.nose_restitution, 0.5, 1.0)
        within("cushion nose friction", self.nose_friction, 0.0, 0.5)
        within("ball diameter", self.diameter, 0.045, 0.065, "mm", 1e-3)
        within("cushion nose height", self.nose_height, self.diameter / 2, 0.75 * self.diameter, "mm", 1e-3)
        for name, opening in (("corner pocket", self.corner_opening), ("middle pocket", self.middle_opening)):
            within(f"{name} opening", opening, self.diameter, 0.160, "mm", 1e-3)

    @property
    def radius(self) -> float:
        """Ball radius, metres."""
        return self.diameter / 2

    @property
    def slide_deceleration(self) -> float:
        """Sliding friction times gravity, m/s²."""
        return self.sliding * GRAVITY

    @property
    def roll_deceleration(self) -> float:
        """Rolling resistance times gravity, m/s²."""
        return self.rolling * GRAVITY


STANDARD = Conditions()
PRESETS: dict[str, Conditions] = {
    "standard": STANDARD,
    "slow club cloth": replace(
        STANDARD,
        name="slow club cloth",
        sliding=0.25,
        rolling=0.015,
        nose_restitution=0.90,
        cushion_ratio=0.70,
        corner_opening=0.090,
        middle_opening=0.096,
    ),
    "fast match cloth": replace(
        STANDARD,
        name="fast match cloth",
        sliding=0.18,
        rolling=0.007,
        cushion_ratio=0.80,
        corner_opening=0.085,
        middle_opening=0.090,
    ),
}
"""Named conditions. The mix inside the published ranges is common practice, no source."""


def preset(name: str) -> Conditions:
    """Conditions by name. Raises: ImpossibleInput for an unknown one."""
    if name not in PRESETS:
        raise ImpossibleInput("cloth", f"no cloth is called {name!r}", f"Known: {', '.join(PRESETS)}.")
    return PRESETS[name]
