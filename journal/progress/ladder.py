"""One ability from all ladder results.

A ball on a rung goes when its error is inside that rung's margin. With normal errors of spread σ the chance
is 2 Φ(m/σ) - 1. Each rung leaves a fixed share less margin than the one before (1/1.25: common practice, no
source), so one σ explains every rung, and every try on any rung says something about it. The posterior of ln
σ is taken on a grid with an even prior. What is shown is the rung on which half of the balls go.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import NormalDist

STEP = 1.25
GRID, LOWEST, HIGHEST = 601, math.log(0.05), math.log(20.0)
_HALF = NormalDist().inv_cdf(0.75)


@dataclass(frozen=True, slots=True)
class RungResult:
    """Hits of tries on one rung, counted from 1."""

    rung: float
    hits: int
    tries: int


@dataclass(frozen=True, slots=True)
class Ability:
    """The posterior of one player. level: the rung where half go; low, high: its 95 % interval; sigma: its
    spread's mean.
    """

    level: float
    low: float
    high: float
    sigma: float
    tries: int


def margin(rung: float) -> float:
    """A rung's margin, the first rung's being 1."""
    return math.exp((1.0 - rung) * math.log(STEP))


def chance(rung: float, sigma: float) -> float:
    """The chance of a hit on a rung."""
    return math.erf(margin(rung) / (sigma * math.sqrt(2.0)))


def level_of(sigma: float) -> float:
    """The rung on which half of the balls go at this spread; below 1 when not even the first does."""
    return 1.0 - math.log(_HALF * sigma) / math.log(STEP)


def from_runs(runs: Iterable[int]) -> list[RungResult]:
    """Runs of a ladder that starts again after a miss: a run of k is a hit on rungs 1 to k and a miss on the
    next.
    """
    found: dict[int, list[int]] = {}
    for run in runs:
        for rung in range(1, run + 2):
            cell = found.setdefault(rung, [0, 0])
            cell[0] += rung <= run
            cell[1] += 1
    return [RungResult(rung, hits, tries) for rung, (hits, tries) in sorted(found.items())]


def ability(results: Sequence[RungResult]) -> Ability | None:
    """The ability from results on any rungs; None without a try."""
    tries = sum(each.tries for each in results)
    if not tries:
        return None
    grid = [LOWEST + (HIGHEST - LOWEST) * n / (GRID - 1) for n in range(GRID)]
    logs = [sum(_log_likelihood(each, math.exp(point)) for each in results) for point in grid]
    top = max(logs)
    weights = [math.exp(each - top) for each in logs]
    total = sum(weights)

    def quantile(p: float) -> float:
        part = 0.0
        for point, weight in zip(grid, weights, strict=True):
            part += weight / total
            if part >= p:
                return point
        return grid[-1]

    mean = math.exp(sum(point * weight for point, weight in zip(grid, weights, strict=True)) / total)
    low, high = level_of(math.exp(quantile(0.975))), level_of(math.exp(quantile(0.025)))
    return Ability(level_of(mean), low, high, mean, tries)


def _log_likelihood(result: RungResult, sigma: float) -> float:
    p = min(1 - 1e-12, max(1e-12, chance(result.rung, sigma)))
    return result.hits * math.log(p) + (result.tries - result.hits) * math.log1p(-p)
