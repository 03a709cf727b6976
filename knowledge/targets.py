"""Checkpoint numbers for one body: from the tape first, from height when nothing better is known, from own
trials at last.

The ratios (bridge about two hand lengths, feet about shoulder breadth, 60 degrees) are common practice, no
source; the measures and their estimates are ``knowledge.body``'s. Own trials enter as a normal posterior
mean.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from knowledge.body import Basis, Body, Measure, part_of
from knowledge.mechanics.conditions import STANDARD
from knowledge.mechanics.cueing import CUE_LENGTH, cue_travel, rail_view, slope_for
from knowledge.mechanics.inputs import ImpossibleInput, within

GRIP_TO_BRIDGE_OVER_REACH = 1.25
TRIAL_SPREAD = 0.10
"""Scatter of one trial's best value, as a share of the target; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Target:
    """A checkpoint number. value, spread, low and high in unit; low to high is where to try first, never pass
    or fail.

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
        "bridge distance",
        2 * hand.value,
        2 * hand.spread,
        1.5 * hand.value,
        2.5 * hand.value,
        "mm",
        hand.basis,
        "about two of your own hand lengths from the V to the white",
        _COMMON,
        "tape from the V to the white, five plain shots",
    )


def _chin(hand: Measure) -> Target:
    # Hand breadth over length in ANSUR II: 88.26/193.28 (men), 78.15/181.08 (women); the middle is 0.444.
    breadth = 0.444 * hand.value
    return Target(
        "chin gap",
        breadth / 2,
        breadth / 4,
        0.0,
        breadth,
        "mm",
        hand.basis,
        "from a light touch to a hand's breadth, whatever is free of strain; the same each time matters more",
        _COMMON,
        "a partner or a phone from the side, five addresses",
    )


def _feet(shoulders: Measure) -> Target:
    return Target(
        "foot spacing",
        shoulders.value,
        shoulders.spread,
        0.9 * shoulders.value,
        1.1 * shoulders.value,
        "mm",
        shoulders.basis,
        "heels about shoulder breadth apart, then by the push test",
        _COMMON,
        "tape between the heels",
    )


def _template(shoulders: Measure) -> tuple[Target, Target]:
    return (
        Target(
            "angle of the back foot's line",
            60.0,
            5.0,
            50.0,
            70.0,
            "deg",
            "mechanics",
            "three equal lengths of tape make 60 degrees",
            _COMMON,
            "the floor template",
        ),
        Target(
            "template tape",
            shoulders.value,
            shoulders.spread,
            0.9 * shoulders.value,
            1.1 * shoulders.value,
            "mm",
            shoulders.basis,
            "one length, used three times",
            _COMMON,
            "tape on the floor",
        ),
    )


def _butt(cue_length: float) -> Target:
    """Butt height with the white tight on the cushion for a hit 0.4 of the radius above the middle."""
    within("cue length", cue_length, 914.0, 2000.0, "mm")
    slopes = [slope_for(0.0, b, STANDARD) for b in (0.45, 0.4, 0.2)]
    rises = [rail_view(0.0, s, STANDARD, cue_length=cue_length * 1e-3).butt_rise * 1e3 for s in slopes]
    return Target(
        "butt height on the rail",
        rises[1],
        (rises[2] - rises[0]) / 4,
        rises[0],
        rises[2],
        "mm",
        "mechanics",
        "butt end above the tip, white tight on the cushion, hit clear of the miscue limit",
        "plane geometry; rail height " + _COMMON,
        "tape from the bed's height to the butt end",
    )


def _travel(hand: Measure, forearm: Measure, upper: Measure) -> Target:
    """Cue travel through the white with the bridge arm a little bent and a backswing of most of the bridge
    distance.
    """
    bend = math.radians(30)
    args = (
        upper.value * 1e-3,
        forearm.value * 1e-3,
        bend,
        2 * hand.value * 1e-3 * 0.8,
        2 * hand.value * 1e-3,
    )
    reach = cue_travel(*args).reach
    answer = cue_travel(*args, grip_to_bridge=min(1.3, GRIP_TO_BRIDGE_OVER_REACH * reach))
    spread = math.hypot(1.6 * hand.spread, 0.25 * forearm.spread)
    through = answer.through * 1e3
    basis: Basis = (
        "measured" if {hand.basis, forearm.basis, upper.basis} == {"measured"} else "estimated from height"
    )
    return Target(
        "cue travel through the white",
        through,
        spread,
        0.5 * through,
        through,
        "mm",
        basis,
        "as far through as back, unless the grip hand meets the chest",
        "trigonometry of the arm; " + _COMMON,
        "a coin beside the line at the tip's end",
    )


def with_trials(target: Target, trials: Sequence[float], spread: float | None = None) -> Target:
    """The target moved to what this player's own trials show: normal prior, normal trials, posterior mean.

    trials: best value of each trial, in the target's unit. spread: of one trial (default a tenth of the
    value). Once the trials outweigh the book twenty to one the basis says "own trials". Raises:
    ImpossibleInput.
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
        target,
        value=mean,
        spread=sd,
        low=mean - 2 * sd,
        high=mean + 2 * sd,
        basis=basis,
        trials=len(trials),
        how=f"{target.how}; moved by {len(trials)} of your own trials",
    )


def best_setting(results: Sequence[tuple[float, int, int]]) -> tuple[float, float]:
    """(value, spread) of the best of several settings tried: (setting, hits, tries) each, at least two
    settings.

    Each setting is weighed by the chance that its rate is the highest (uniform prior, Beta posteriors,
    400-step integral), so a trial that shows no difference moves nothing much. Raises: ImpossibleInput.
    """
    if len(results) < 2:
        raise ImpossibleInput("trial", "one setting shows nothing", "Try two settings at least.")
    for _, hits, tries in results:
        if tries < 1 or not 0 <= hits <= tries:
            raise ImpossibleInput(
                "trial", f"{hits} of {tries} is not possible", "Hits from 0 to tries, tries 1 up."
            )
    steps = 400
    grids = [
        [((i + 0.5) / steps) ** h * (1 - (i + 0.5) / steps) ** (n - h) for i in range(steps)]
        for _, h, n in results
    ]
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
