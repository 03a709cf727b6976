"""Hits of tries with their spread: Wilson's interval, Beta posteriors, and Clopper-Pearson where exactness is
asked.

Sources: R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872; checked against statsmodels in the tests.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

from journal.progress.special import beta_above, beta_binomial, beta_quantile


def wilson(hits: int, tries: int, level: float = 0.95) -> tuple[float, float]:
    """Wilson's score interval; (0, 1) without a try."""
    if tries <= 0:
        return 0.0, 1.0
    z = NormalDist().inv_cdf((1 + level) / 2)
    p = hits / tries
    middle = p + z * z / (2 * tries)
    half = z * math.sqrt(p * (1 - p) / tries + z * z / (4 * tries * tries))
    scale = 1 + z * z / tries
    low = 0.0 if hits == 0 else (middle - half) / scale
    high = 1.0 if hits == tries else (middle + half) / scale
    return low, high


def clopper_pearson(hits: int, tries: int, level: float = 0.95) -> tuple[float, float]:
    """The exact interval, which errs on the wide side; (0, 1) without a try."""
    tail = (1 - level) / 2
    low = beta_quantile(tail, hits, tries - hits + 1) if hits else 0.0
    high = beta_quantile(1 - tail, hits + 1, tries - hits) if hits < tries else 1.0
    return low, high


@dataclass(frozen=True, slots=True)
class Score:
    """A Beta posterior of a chance of success; Score() is the even prior Beta(1, 1)."""

    a: float = 1.0
    b: float = 1.0

    @classmethod
    def of(cls, hits: float, tries: float, a: float = 1.0, b: float = 1.0) -> Score:
        """After so many hits of tries."""
        return cls(a + hits, b + tries - hits)

    @property
    def mean(self) -> float:
        return self.a / (self.a + self.b)

    def quantile(self, p: float) -> float:
        """The chance not exceeded with probability p."""
        return beta_quantile(p, self.a, self.b)

    def interval(self, level: float = 0.95) -> tuple[float, float]:
        """The middle ``level`` of the posterior."""
        return self.quantile((1 - level) / 2), self.quantile((1 + level) / 2)

    def next_hits(self, k: int, n: int) -> float:
        """The chance of exactly k of the next n."""
        return beta_binomial(k, n, self.a, self.b)

    def above(self, other: Score) -> float:
        """The chance that this success chance is higher than the other's."""
        return beta_above(self.a, self.b, other.a, other.b)


def median(values: list[float]) -> float:
    """The middle value; the mean of the middle two."""
    ordered = sorted(values)
    n = len(ordered)
    return (ordered[(n - 1) // 2] + ordered[n // 2]) / 2


def middle_half(values: list[float]) -> tuple[float, float]:
    """Lower and upper quartile by linear interpolation (the usual default, type 7)."""
    ordered = sorted(values)

    def at(share: float) -> float:
        place = share * (len(ordered) - 1)
        low = int(place)
        high = min(low + 1, len(ordered) - 1)
        return ordered[low] + (place - low) * (ordered[high] - ordered[low])

    return at(0.25), at(0.75)
