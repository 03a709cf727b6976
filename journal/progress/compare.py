"""Two scores side by side, and how many more tries it would take to tell them apart."""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass

from journal.progress.scores import Score

SURE = 0.95
MOST_MORE = 2000


@dataclass(frozen=True, slots=True)
class Comparison:
    """one, two: posteriors. chance: that two is higher. told: "one", "two", or None for cannot tell yet.

    more: further tries each that would settle it if both go on as now; None when settled, or over 2,000.
    """

    one: Score
    two: Score
    chance: float
    told: str | None
    more: int | None

    def sentence(self, one: str = "the first", two: str = "the second") -> str:
        """In words."""
        if self.told is not None:
            sure = self.chance if self.told == "two" else 1 - self.chance
            return f"{two if self.told == 'two' else one} is better, with a chance of {_percent(sure)}"
        if self.more is None:
            return "cannot tell: the two are so close that over 2,000 more tries each would not settle it"
        return f"cannot tell yet: about {self.more} more tries each would"


def _percent(chance: float) -> str:
    return "over 99 %" if chance > 0.99 else f"{100 * chance:.0f} %"


def compare(hits1: int, tries1: int, hits2: int, tries2: int, sure: float = SURE) -> Comparison:
    """Compare hits of tries, with an even prior for each."""
    one, two = Score.of(hits1, tries1), Score.of(hits2, tries2)
    chance = two.above(one)
    told = "two" if chance >= sure else "one" if chance <= 1 - sure else None
    more = None if told else more_tries(one, two, sure)
    return Comparison(one, two, chance, told, more)


def more_tries(one: Score, two: Score, sure: float = SURE) -> int | None:
    """The fewest further tries each after which the chance would pass ``sure``, were both to go on at their
    means.
    """

    def settled(n: int) -> bool:
        later_one = Score.of(n * one.mean, n, one.a, one.b)
        later_two = Score.of(n * two.mean, n, two.a, two.b)
        # From here on the sizes are large enough for the normal shape to do, except near the edges.
        return (
            _normal_above(later_two, later_one, sure)
            if n > 200
            else not 1 - sure < later_two.above(later_one) < sure
        )

    if not settled(MOST_MORE):
        return None
    return bisect_left(range(MOST_MORE), True, key=settled)


def _normal_above(x: Score, y: Score, sure: float) -> bool:
    from statistics import NormalDist

    def variance(score: Score) -> float:
        return score.mean * (1 - score.mean) / (score.a + score.b + 1)

    z = abs(x.mean - y.mean) / math.sqrt(variance(x) + variance(y))
    return NormalDist().cdf(z) >= sure
