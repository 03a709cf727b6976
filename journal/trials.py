"""Hits of tries compared with their spread: which of several settings is better, or that no difference was
found."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from journal.errors import BadInput

MOST_MORE = 2000
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
    return _chances([(tally.hits, tally.tries) for tally in tallies])


def _chances(counts: Sequence[tuple[float, float]]) -> list[float]:
    import numpy as np  # here, so that a list of what can be tried opens without it

    x = (np.arange(_STEPS) + 0.5) / _STEPS
    logs = [hits * np.log(x) + (tries - hits) * np.log1p(-x) for hits, tries in counts]
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


def more_tries(tallies: Sequence[Tally], sure: float, fewest: int = 1) -> int | None:
    """The fewest further tries of each after which one would be the best with the chance ``sure``, were all to
    go on at their posterior means; at least so many that each has ``fewest``. None when over 2,000 would not do.

    Raises: BadInput.
    """
    for tally in tallies:
        tally.check()
    means = [(tally.hits + 1) / (tally.tries + 2) for tally in tallies]

    def settled(n: int) -> bool:
        later = [(t.hits + n * mean, t.tries + n) for t, mean in zip(tallies, means, strict=True)]
        return max(_chances(later)) >= sure

    low, high = max(0, fewest - min(tally.tries for tally in tallies)), MOST_MORE
    if not settled(high):
        return None
    return low + bisect_left(range(low, high), True, key=settled)


def spread(tally: Tally, level: float = 0.90) -> tuple[float, float]:
    """The middle part of the Beta posterior (uniform prior) that holds ``level`` of it, as rates. Raises:
    BadInput."""
    import numpy as np

    tally.check()
    x = (np.arange(_STEPS) + 0.5) / _STEPS
    logs = tally.hits * np.log(x) + (tally.tries - tally.hits) * np.log1p(-x)
    cumulated = np.cumsum(np.exp(logs - logs.max()))
    cumulated /= cumulated[-1]
    edge = (1 - level) / 2
    low, high = np.searchsorted(cumulated, [edge, 1 - edge])
    return float(x[low]), float(x[min(high, _STEPS - 1)])
