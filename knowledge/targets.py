"""Checkpoint numbers for one body: from the tape first, from height when nothing better is known, from own trials at last.

Estimates: least-squares lines of a part on stature, with their residual spread, computed from the public working files of
the 2012 Anthropometric Survey of U.S. Army Personnel (C. C. Gordon et al., NATICK/TR-15/007, 2014; 4082 men, 1986 women).
Soldiers of one country aged 17-58: not children, not wheelchair users. The ratios (bridge about two hand lengths, feet
about shoulder breadth, 60 degrees) are common practice, no source. Own trials enter as a normal posterior mean.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from knowledge.mechanics.conditions import STANDARD
from knowledge.mechanics.cueing import CUE_LENGTH, cue_travel, rail_view, slope_for
from knowledge.mechanics.inputs import ImpossibleInput, within

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

GRIP_TO_BRIDGE_OVER_REACH = 1.25
MEASURE_SPREAD = 5.0
"""Scatter of a tape measure on one's own body, mm; common practice, no source."""
TRIAL_SPREAD = 0.10
"""Scatter of one trial's best value, as a share of the target; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Body:
    """Measures in mm; None is not known. table: whose lines to estimate with; None mixes both and widens the spread."""

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
        """Entered measures more than three spreads from what height suggests: mistyped, or an unusual body."""
        if self.height is None:
            return ()
        found = []
        for part, value in self._entered():
            guess = estimate(part, self.height, self.table)
            if value is not None and abs(value - guess.value) > 3 * guess.spread:
                found.append(f"{part} {value:.0f} mm is unusual for a height of {self.height:.0f} mm: measure again")
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Measure:
    """A length in mm with its standard deviation, and where it comes from."""

    value: float
    spread: float
    basis: Basis


@dataclass(frozen=True, slots=True)
class Target:
    """A checkpoint number. value, spread, low and high in unit; low to high is where to try first, never pass or fail.

    how: the rule in words. source: of the rule. measure: with what to check it.
    """

    quantity: str
    value: float
    spread: float
    low: float
    high: float
    unit: Literal["mm", "deg"]
    basis: Basis
    how: str
    source: str
    measure: str
    trials: int = 0


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


def targets(body: Body, cue_length: float = CUE_LENGTH * 1e3) -> tuple[Target, ...]:
    """Every checkpoint number that these measures allow; cue_length in mm. Raises: ImpossibleInput."""
    hand, shoulders = part_of(body, "hand length"), part_of(body, "shoulder breadth")
    found: list[Target] = []
    if hand is not None:
        found += [_bridge(hand), _chin(hand)]
    if shoulders is not None:
        found += [_feet(shoulders), *_template(shoulders)]
    forearm, upper = part_of(body, "forearm with hand"), part_of(body, "upper arm")
    if hand is not None and forearm is not None and upper is not None:
        found.append(_travel(hand, forearm, upper))
    found.append(_butt(cue_length))
    return tuple(found)


_COMMON = "common practice, no source"


def _bridge(hand: Measure) -> Target:
    return Target(
        "bridge distance", 2 * hand.value, 2 * hand.spread, 1.5 * hand.value, 2.5 * hand.value, "mm", hand.basis,
        "about two of your own hand lengths from the V to the white", _COMMON, "tape from the V to the white, five plain shots",
    )  # fmt: skip


def _chin(hand: Measure) -> Target:
    # Hand breadth over hand length: 88.26/193.28 for men, 78.15/181.08 for women in ANSUR II; their middle is 0.444.
    breadth = 0.444 * hand.value
    return Target(
        "chin gap", breadth / 2, breadth / 4, 0.0, breadth, "mm", hand.basis,
        "from a light touch to a hand's breadth, whatever is free of strain; the same each time matters more",
        _COMMON, "a partner or a phone from the side, five addresses",
    )  # fmt: skip


def _feet(shoulders: Measure) -> Target:
    return Target(
        "foot spacing", shoulders.value, shoulders.spread, 0.9 * shoulders.value, 1.1 * shoulders.value, "mm",
        shoulders.basis, "heels about shoulder breadth apart, then by the push test", _COMMON, "tape between the heels",
    )  # fmt: skip


def _template(shoulders: Measure) -> tuple[Target, Target]:
    return (
        Target(
            "angle of the back foot's line", 60.0, 5.0, 50.0, 70.0, "deg", "mechanics",
            "three equal lengths of tape make 60 degrees", _COMMON, "the floor template",
        ),
        Target(
            "template tape", shoulders.value, shoulders.spread, 0.9 * shoulders.value, 1.1 * shoulders.value, "mm",
            shoulders.basis, "one length, used three times", _COMMON, "tape on the floor",
        ),
    )  # fmt: skip


def _butt(cue_length: float) -> Target:
    """Butt height with the white tight on the cushion for a hit 0.4 of the radius above the middle."""
    within("cue length", cue_length, 914.0, 2000.0, "mm")
    slopes = [slope_for(0.0, b, STANDARD) for b in (0.45, 0.4, 0.2)]
    rises = [rail_view(0.0, s, STANDARD, cue_length=cue_length * 1e-3).butt_rise * 1e3 for s in slopes]
    return Target(
        "butt height on the rail", rises[1], (rises[2] - rises[0]) / 4, rises[0], rises[2], "mm", "mechanics",
        "butt end above the tip, white tight on the cushion, hit clear of the miscue limit", "plane geometry; rail height "
        + _COMMON, "tape from the bed's height to the butt end",
    )  # fmt: skip


def _travel(hand: Measure, forearm: Measure, upper: Measure) -> Target:
    """Cue travel through the white with the bridge arm a little bent and a backswing of most of the bridge distance."""
    bend = math.radians(30)
    args = (upper.value * 1e-3, forearm.value * 1e-3, bend, 2 * hand.value * 1e-3 * 0.8, 2 * hand.value * 1e-3)
    reach = cue_travel(*args).reach
    answer = cue_travel(*args, grip_to_bridge=min(1.3, GRIP_TO_BRIDGE_OVER_REACH * reach))
    spread = math.hypot(1.6 * hand.spread, 0.25 * forearm.spread)
    through = answer.through * 1e3
    basis: Basis = "measured" if {hand.basis, forearm.basis, upper.basis} == {"measured"} else "estimated from height"
    return Target(
        "cue travel through the white", through, spread, 0.5 * through, through, "mm", basis,
        "as far through as back, unless the grip hand meets the chest", "trigonometry of the arm; " + _COMMON,
        "a coin beside the line at the tip's end",
    )  # fmt: skip


def with_trials(target: Target, trials: Sequence[float], spread: float | None = None) -> Target:
    """The target moved to what this player's own trials show: normal prior, normal trials, posterior mean.

    trials: best value of each trial, in the target's unit. spread: of one trial (default a tenth of the value). Once the
    trials outweigh the book twenty to one the basis says "own trials". Raises: ImpossibleInput.
    """
    if not trials:
        return target
    for value in trials:
        within(target.quantity, value, 0.0, 10 * max(target.high, 1.0), target.unit)
    noise = max(1e-6, TRIAL_SPREAD * target.value if spread is None else spread)
    if not math.isfinite(noise) or noise <= 0:
        raise ImpossibleInput("spread of a trial", f"{spread} is not possible", "Give a number above 0.")
    # The book's own range, not only the tape's error, is what a trial has to overcome.
    book = max(target.spread, (target.high - target.low) / 4, 1e-6)
    own, prior = len(trials) / noise**2, 1 / book**2
    mean = (prior * target.value + sum(trials) / noise**2) / (own + prior)
    sd = math.sqrt(1 / (own + prior))
    basis: Basis = "own trials" if own >= 20 * prior else "book and own trials"
    return replace(
        target, value=mean, spread=sd, low=mean - 2 * sd, high=mean + 2 * sd, basis=basis, trials=len(trials),
        how=f"{target.how}; moved by {len(trials)} of your own trials",
    )  # fmt: skip


def best_setting(results: Sequence[tuple[float, int, int]]) -> tuple[float, float]:
    """(value, spread) of the best of several settings tried: (setting, hits, tries) each, at least two settings.

    Each setting is weighed by the chance that its rate is the highest (uniform prior, Beta posteriors, 400-step integral),
    so a trial that shows no difference moves nothing much. Raises: ImpossibleInput.
    """
    if len(results) < 2:
        raise ImpossibleInput("trial", "one setting shows nothing", "Try two settings at least.")
    for _, hits, tries in results:
        if tries < 1 or not 0 <= hits <= tries:
            raise ImpossibleInput("trial", f"{hits} of {tries} is not possible", "Hits from 0 to tries, tries 1 up.")
    steps = 400
    grids = [[((i + 0.5) / steps) ** h * (1 - (i + 0.5) / steps) ** (n - h) for i in range(steps)] for _, h, n in results]
    densities = [[d / sum(grid) for d in grid] for grid in grids]
    below = [[sum(d[:i]) + d[i] / 2 for i in range(steps)] for d in densities]
    weights = [
        sum(d[i] * math.prod(below[k][i] for k in range(len(results)) if k != j) for i in range(steps))
        for j, d in enumerate(densities)
    ]
    total = sum(weights)
    mean = sum(w * r[0] for w, r in zip(weights, results, strict=True)) / total
    variance = sum(w * (r[0] - mean) ** 2 for w, r in zip(weights, results, strict=True)) / total
    return mean, math.sqrt(variance)
