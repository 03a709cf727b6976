"""A change alarm: "it is coming back". Tabular CUSUM for measures and for counts, with its run lengths.

C+ = max(0, x - (mean + k) + C+), C- = max(0, (mean - k) - x + C-), a signal when either passes h. Sources: E.
S. Page, Biometrika 41 (1954): from memory; J. M. Lucas and R. B. Crosier, Technometrics 24 (1982) 199-205 for
run lengths; J. M. Lucas, Technometrics 27 (1985) for counts: from memory; D. Brook and D. A. Evans,
Biometrika 59 (1972) for the Markov chain: from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

QUIET_RUN = 60.0
"""Sessions on average until a false alarm when nothing has changed: about a year of practice. Common
practice, no source.
"""
WORSE_BY = 2.0
"""The change the alarm is tuned to: the rate doubles. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Path:
    """Both sums after each reading. signal: number of the first reading that passed h, None without one.

    began: number of the last reading before the change, by the run of positive values that led to the signal.
    """

    up: tuple[float, ...]
    down: tuple[float, ...]
    signal: int | None
    began: int | None


def cusum(readings: Sequence[float], mean: float, k: float, h: float, head_start: float = 0.0) -> Path:
    """Both one-sided sums; readings, mean, k and h in one unit. Readings count from 1."""
    up, down, signal, began = [], [], None, None
    high = low = head_start
    since_high = since_low = 0
    for n, reading in enumerate(readings, 1):
        high = max(0.0, reading - (mean + k) + high)
        low = max(0.0, (mean - k) - reading + low)
        since_high = since_high + 1 if high > 0 else 0
        since_low = since_low + 1 if low > 0 else 0
        up.append(high)
        down.append(low)
        if signal is None and (high > h or low > h):
            signal, began = n, n - (since_high if high > h else since_low)
    return Path(tuple(up), tuple(down), signal, began)


def count_reference(usual: float, worse: float) -> float:
    """The best reference value for counts between two Poisson means: (λ1 - λ0) / ln(λ1 / λ0)."""
    return (worse - usual) / math.log(worse / usual)


def normal_run_length(shift: float, k: float, h: float, *, two_sided: bool = True, cells: int = 200) -> float:
    """Average run length for normal readings of standard deviation 1, zero start, by a Markov chain.

    shift, k, h in standard deviations. Two sides join by 1/ARL = 1/ARL+ + 1/ARL-. cells: of [0, h]; the value
    for infinitely many is extrapolated from two sizes.
    """
    above = _one_sided(shift, k, h, cells)
    if not two_sided:
        return above
    return 1.0 / (1.0 / above + 1.0 / _one_sided(-shift, k, h, cells))


def _one_sided(shift: float, k: float, h: float, cells: int) -> float:
    rough, fine = _chain(shift, k, h, cells // 2), _chain(shift, k, h, cells)
    return fine + (fine - rough) / 3.0


@lru_cache(maxsize=256)
def _chain(shift: float, k: float, h: float, cells: int) -> float:
    """Brook and Evans: state 0 and the middles of ``cells`` - 1 further cells of width 2h / (2 cells - 1)."""
    import numpy as np

    width = 2.0 * h / (2 * cells - 1)
    cdf = NormalDist().cdf
    steps = [cdf((n + 0.5) * width + k - shift) for n in range(-cells, cells)]
    chain = np.empty((cells, cells))
    for i in range(cells):
        chain[i, 0] = cdf(width / 2 - i * width + k - shift)
        chain[i, 1:] = [steps[j - i + cells] - steps[j - i + cells - 1] for j in range(1, cells)]
    lengths = np.linalg.solve(np.eye(cells) - chain, np.ones(cells))
    return float(lengths[0])


def count_run_length(mean: float, k: float, h: float, parts: int = 20) -> float:
    """Average run length of an upper count CUSUM for Poisson counts, zero start.

    k and h are rounded to 1/``parts``, on which lattice the chain is exact.
    """
    import numpy as np

    drop, limit = round(k * parts), math.floor(h * parts + 1e-9)
    states = limit + 1
    most = (states + drop) // parts + 1
    chance = [
        math.exp(-mean + n * math.log(mean) - math.lgamma(n + 1)) if mean > 0 else float(n == 0)
        for n in range(most + 1)
    ]
    chain = np.zeros((states, states))
    for i in range(states):
        for n, p in enumerate(chance):
            j = max(0, i + n * parts - drop)
            if j < states:
                chain[i, j] += p
    return float(np.linalg.solve(np.eye(states) - chain, np.ones(states))[0])


def count_limit(
    usual: float, quiet_run: float = QUIET_RUN, worse_by: float = WORSE_BY, parts: int = 20
) -> tuple[float, float]:
    """(k, h) of a count alarm: tuned to ``usual`` times ``worse_by``, false alarms at least ``quiet_run``
    apart.
    """
    k = round(count_reference(usual, usual * worse_by) * parts) / parts
    low, high = 0, 1
    while count_run_length(usual, k, high / parts, parts) < quiet_run and high < 400 * parts:
        high *= 2
    while low < high:
        middle = (low + high) // 2
        if count_run_length(usual, k, middle / parts, parts) < quiet_run:
            low = middle + 1
        else:
            high = middle
    return k, high / parts


@dataclass(frozen=True, slots=True)
class Alarm:
    """Whether a fault is coming back. since: number of the first session of the rise, from 0, None when
    quiet.

    level: the sum as a share of its limit, for a gauge.
    """

    since: int | None
    level: float
    usual: float
    k: float
    h: float


def coming_back(counts: Sequence[float], usual: float, *, quiet_run: float = QUIET_RUN) -> Alarm:
    """Watch the counts of a fault session by session against its usual count; only a rise that still stands
    alarms.
    """
    usual = max(0.1, usual)
    k, h = count_limit(usual, quiet_run)
    total, start = 0.0, 0
    for n, count in enumerate(counts):
        if total == 0.0:
            start = n
        # A single wild session must not alarm for ever: the sum is held at the limit and a bit.
        total = min(1.5 * h + 1.0, max(0.0, total + count - k))
    return Alarm(start if total > h else None, total / h if h else 0.0, usual, k, h)
