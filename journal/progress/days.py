"""Days before a change against days after it: is the difference more than chance, and more than steady progress?

Balls of one day hang together, so the day is the unit. Three questions, each answered on its own:

- Dealt to "before" and "after" in any way, how seldom would the days look at least as good? An exact permutation
  test, E. J. G. Pitman 1937: from memory.
- Days in a row resemble each other, which dealing destroys. How much wider does the mean of neighbours spread than
  that of strangers? The lag-1 correlation of the days widens the test's normal deviate accordingly. It is drawn
  towards ``CARRY``, for so few days say little about it themselves.
- Somebody may be getting better anyway. Is there a step at the change on top of a straight line through all days?
  Least squares with the line in it, on the scale where a day's chance spread is the same everywhere: the arcsine of
  the root for shares, the root for counts (F. J. Anscombe, Biometrika 35 (1948) 246-254: from memory).

tests/quality/verdict.py has the figures.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, pairwise
from statistics import NormalDist
from typing import TYPE_CHECKING, Any

from journal.progress.special import beta_cdf

if TYPE_CHECKING:
    import numpy as np

    Numbers = np.ndarray[Any, Any]

MOST_DEALINGS, DRAWN = 60_000, 10_000
CARRY, CARRY_DAYS = 0.1, 10.0
"""What is thought of the correlation of a day with the next before any day is seen, and for how many days' worth
of evidence it stands. Common practice, no source; chosen by the simulation.
"""
MOST_CARRY = 0.9


@dataclass(frozen=True, slots=True)
class DayScore:
    """One day: hits of tries, or fault count over exposure (sessions or hours)."""

    amount: float
    size: float


def permutation_p(
    before: Sequence[DayScore], after: Sequence[DayScore], *, lower: bool = False
) -> tuple[float, float]:
    """(p for better, p for worse): shares of dealings at least as far in either direction as what was seen.

    lower: fewer is better.
    """
    import numpy as np

    days = [*before, *after]
    amounts, sizes = np.array([day.amount for day in days]), np.array([day.size for day in days])
    amount, size = amounts.sum(), sizes.sum()
    # Dealing the smaller part is the same as dealing the other, and quicker. The seen dealing is the first one.
    first = len(before) <= len(after)
    dealings = _dealings(len(days), min(len(before), len(after)))
    if not first:
        amounts, sizes = amounts[::-1], sizes[::-1]
    a, t = amounts[dealings].sum(axis=1), sizes[dealings].sum(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        gain = np.where((t > 0) & (t < size), (amount - a) / (size - t) - a / t, 0.0)
    gain *= (1.0 if first else -1.0) * (-1.0 if lower else 1.0)
    return float(np.mean(gain >= gain[0] - 1e-12)), float(np.mean(gain <= gain[0] + 1e-12))


@lru_cache(maxsize=64)
def _dealings(n: int, k: int) -> Numbers:
    """Every choice of k of n days, the first k days first; where these are too many, that one and 9,999 drawn."""
    import numpy as np

    if math.comb(n, k) <= MOST_DEALINGS:
        return np.array(list(combinations(range(n), k)), dtype=np.intp).reshape(math.comb(n, k), k)
    rng = np.random.default_rng(n * 1000 + k)
    drawn = rng.random((DRAWN, n)).argsort(axis=1)[:, :k]
    drawn[0] = range(k)
    return drawn


def carried_over(before: Sequence[DayScore], after: Sequence[DayScore]) -> float:
    """The correlation of a day with the next, in [0, 0.9], drawn towards ``CARRY``.

    Taken from the days' distances to their part's rate, and put right for the two rates being estimated from the
    same days, which lowers it by about 2/n.
    """
    rests: list[float] = []
    for part in (before, after):
        size = math.fsum(day.size for day in part)
        rate = math.fsum(day.amount for day in part) / size if size else 0.0
        rests += [day.amount / day.size - rate if day.size else 0.0 for day in part]
    n, squares = len(rests), math.fsum(each * each for each in rests)
    if n < 3 or squares <= 1e-12:
        return CARRY
    seen = math.fsum(one * two for one, two in pairwise(rests)) / squares
    seen = seen * n / (n - 1) + 2.0 / n
    return min(MOST_CARRY, max(0.0, (CARRY_DAYS * CARRY + n * seen) / (CARRY_DAYS + n)))


def widening(before: int, after: int, carry: float) -> float:
    """How many times wider the difference of two means of neighbouring days spreads than that of strangers.

    before, after: numbers of days. carry: the correlation of a day with the next; of two days apart its square,
    and so on.
    """
    weights = [-1.0 / before] * before + [1.0 / after] * after
    squares = math.fsum(w * w for w in weights)
    lags = [
        math.fsum(one * two for one, two in zip(weights, weights[lag:], strict=False))
        for lag in range(1, len(weights))
    ]
    variance = squares + 2.0 * math.fsum(carry**lag * each for lag, each in enumerate(lags, 1))
    return math.sqrt(max(variance, 1e-12) / squares)


def widened(p: float, by: float) -> float:
    """A one-sided p-value whose normal deviate is divided by ``by``."""
    normal = NormalDist()
    z = normal.inv_cdf(min(1 - 1e-9, max(1e-9, 1.0 - p)))
    return 1.0 - normal.cdf(z / by)


def step_p(before: Sequence[DayScore], after: Sequence[DayScore], *, lower: bool = False) -> float:
    """p of a step for the better at the change, with a straight line through all days allowed for.

    1 when there are too few days to tell a step from a line. lower: fewer is better.
    """
    import numpy as np

    days = [day for day in (*before, *after) if day.size > 0]
    n, first = len(days), sum(day.size > 0 for day in before)
    if n < 5 or not 0 < first < n:
        return 1.0
    weights = np.array([day.size for day in days])
    if lower:
        y = -np.sqrt([(day.amount + 0.375) / day.size for day in days])
    else:
        y = np.arcsin(np.sqrt([min(1.0, (day.amount + 0.375) / (day.size + 0.75)) for day in days]))
    count = np.arange(n)
    x = np.stack([np.ones(n), count - count.mean(), count >= first], axis=1)
    inverse = np.linalg.inv(x.T @ (weights[:, None] * x))
    slopes = inverse @ x.T @ (weights * y)
    left = float(weights @ (y - x @ slopes) ** 2) / (n - 3)
    t = float(slopes[2]) / math.sqrt(max(left, 1e-12) * inverse[2, 2])
    return student_above(t, n - 3)


def student_above(t: float, free: float) -> float:
    """P(T > t) for Student's t with ``free`` degrees of freedom."""
    tail = 0.5 * beta_cdf(free / (free + t * t), free / 2, 0.5)
    return tail if t > 0 else 1.0 - tail
