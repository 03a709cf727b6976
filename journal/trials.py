"""Hits of tries compared with their spread: which of several settings is better, or that no difference was
found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from journal.errors import BadInput

_STEPS = 4000


@dataclass(frozen=True, slots=True)
class Tally:
    """A setting's hits of tries. Raises (from check): BadInput."""

    setting: str
    hits: int
    tries: int

    def check(self) -> None:
        """Refuse what cannot be counted."""
        if self.tries < 1 or not 0 <= self.hits <= self.tries or self.tries > 100_000:
            raise BadInput(
                f"{self.setting}: {self.hits} of {self.tries} is not possible",
                "Give hits of tries, such as 14/20.",
            )


def chances_best(tallies: Sequence[Tally]) -> list[float]:
    """For each setting the chance that its true rate is the highest.

    Uniform priors, independent Beta posteriors, midpoint rule with 4000 steps. Raises: BadInput.
    """
    for tally in tallies:
        tally.check()
    x = (np.arange(_STEPS) + 0.5) / _STEPS
    logs = [t.hits * np.log(x) + (t.tries - t.hits) * np.log1p(-x) for t in tallies]
    densities = [np.exp(each - each.max()) for each in logs]
    densities = [each / each.sum() for each in densities]
    below = [np.cumsum(each) - each / 2 for each in densities]
    found = []
    for n, density in enumerate(densities):
        others = np.ones(_STEPS)
        for k, part in enumerate(below):
            if k != n:
                others = others * part
        found.append(float(np.sum(density * others)))
    total = sum(found)
    return [each / total for each in found]


def spread(tally: Tally, level: float = 0.90) -> tuple[float, float]:
    """The middle part of the Beta posterior (uniform prior) that holds ``level`` of it, as rates. Raises:
    BadInput."""
    tally.check()
    x = (np.arange(_STEPS) + 0.5) / _STEPS
    logs = tally.hits * np.log(x) + (tally.tries - tally.hits) * np.log1p(-x)
    cumulated = np.cumsum(np.exp(logs - logs.max()))
    cumulated /= cumulated[-1]
    edge = (1 - level) / 2
    low, high = np.searchsorted(cumulated, [edge, 1 - edge])
    return float(x[low]), float(x[min(high, _STEPS - 1)])
