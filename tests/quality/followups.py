"""Simulation: are relapses found sooner than with fixed weekly re-checks, at equal effort?

Run: python tests/quality/followups.py [PLAYERS] [SEED]

2,000 invented players, a year each. A mended fault comes back after a time drawn from the player's own law;
it is found at the next look, mended in two weeks, and a new spell begins. The planned looks use
journal.planning.followups as it stands; one look's worth is set so that both ways spend the same number of
looks in all. Delay: days from relapse to finding (to the year's end when not found). Spread: 95 % of 400
bootstrap draws over players.
"""

from __future__ import annotations

import math
import random
import sys
from collections.abc import Callable
from dataclasses import dataclass

from journal.planning.followups import LATEST, LOOK_WORTH, SOONEST, Belief, wait_days

YEAR, MENDING = 365.0, 14.0
Law = Callable[[random.Random], Callable[[random.Random], float]]


@dataclass(frozen=True)
class Lived:
    """One player's year: looks spent, relapses, and days of delay in all."""

    looks: int
    relapses: int
    delay: float


def gamma_rates(shape: float, days: float) -> Law:
    """Every player has a relapse rate of their own, Gamma-distributed."""

    def player(rng: random.Random) -> Callable[[random.Random], float]:
        rate = rng.gammavariate(shape, 1.0 / days)
        return lambda again: again.expovariate(max(rate, 1e-9))

    return player


def same_rate(mean: float) -> Law:
    """All alike, without memory: nothing can be learnt, and no way of looking can gain."""
    return lambda _: lambda again: again.expovariate(1.0 / mean)


def weibull(shape: float, scale: float) -> Law:
    """All alike; a fault freshly mended is the likeliest to come back."""
    return lambda _: lambda again: again.weibullvariate(scale, shape)


def lognormal_rates(middle: float, spread: float) -> Law:
    """Own mean times, log-normal over the players."""

    def player(rng: random.Random) -> Callable[[random.Random], float]:
        mean = middle * math.exp(spread * rng.gauss(0, 1))
        return lambda again: again.expovariate(1.0 / mean)

    return player


LAWS: dict[str, Law] = {
    "own rates, as the model has them (Gamma 1, 14 days)": gamma_rates(1.0, 14.0),
    "own rates, twice as slow (Gamma 1, 28 days)": gamma_rates(1.0, 28.0),
    "own rates, nearer to one another (Gamma 3, 90 days)": gamma_rates(3.0, 90.0),
    "own rates, log-normal (middle 40 days, spread 1)": lognormal_rates(40.0, 1.0),
    "all alike, soon after mending or late (Weibull 0.6, 40 days)": weibull(0.6, 40.0),
    "all alike, without memory (mean 40 days)": same_rate(40.0),
}


def live(law: Law, seed: int, number: int, wait: Callable[[Belief], float]) -> Lived:
    """One player's year under a rule that tells the days to the next look."""
    rng = random.Random(seed * 1_000_003 + number)
    draw = law(rng)
    spells = [draw(rng) for _ in range(400)]  # the same fate under both rules
    at, looks, relapses, delay = 0.0, 0, 0, 0.0
    belief = Belief()
    for spell in spells:
        back, last = at + spell, at
        while True:
            look = last + wait(belief)
            if look > YEAR:
                if back < YEAR:
                    relapses += 1
                    delay += YEAR - back
                return Lived(looks, relapses, delay)
            looks += 1
            if back <= look:
                relapses += 1
                delay += look - back
                belief = belief.relapsed(look - last)
                at = look + MENDING
                break
            belief = belief.clean(look - last)
            last = look
        if at >= YEAR:
            break
    return Lived(looks, relapses, delay)


def planned(worth: float) -> Callable[[Belief], float]:
    """The project's rule in whole days."""
    return lambda belief: float(min(LATEST, max(SOONEST, round(wait_days(belief, 1.0, worth)))))


def everyone(law: Law, players: int, seed: int, wait: Callable[[Belief], float]) -> list[Lived]:
    """All players' years."""
    return [live(law, seed, number, wait) for number in range(players)]


def same_effort(law: Law, players: int, seed: int, looks: int) -> float:
    """The worth of one look at which the planned looks come to at most this number."""
    low, high = 0.01, 400.0
    for _ in range(18):
        middle = math.sqrt(low * high)
        if sum(one.looks for one in everyone(law, players, seed, planned(middle))) > looks:
            low = middle
        else:
            high = middle
    return high


def mean_delay(lives: list[Lived]) -> float:
    """Days from relapse to finding."""
    return sum(one.delay for one in lives) / max(1, sum(one.relapses for one in lives))


def factor(law: Law, players: int = 2000, seed: int = 1, every: float = 7.0) -> dict[str, float]:
    """How much sooner: 1 - planned delay / fixed delay, with its 95 % spread and the efforts."""
    fixed = everyone(law, players, seed, lambda _: every)
    worth = same_effort(law, min(players, 500), seed, sum(one.looks for one in fixed[: min(players, 500)]))
    smart = everyone(law, players, seed, planned(worth))
    rng = random.Random(seed)
    draws = []
    for _ in range(400):
        some = [rng.randrange(players) for _ in range(players)]
        draws.append(1 - mean_delay([smart[n] for n in some]) / mean_delay([fixed[n] for n in some]))
    draws.sort()
    return {
        "sooner": 1 - mean_delay(smart) / mean_delay(fixed),
        "low": draws[10],
        "high": draws[389],
        "fixed_days": mean_delay(fixed),
        "planned_days": mean_delay(smart),
        "fixed_looks": sum(one.looks for one in fixed) / players,
        "planned_looks": sum(one.looks for one in smart) / players,
        "worth": worth,
    }


def main() -> None:
    """Print a line for each law."""
    players = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    for name, law in LAWS.items():
        for every in (7.0, 14.0):
            f = factor(law, players, seed, every)
            print(
                f"{name}, against every {every:.0f} days: {100 * f['sooner']:+.1f} % sooner "
                f"({100 * f['low']:+.1f} to {100 * f['high']:+.1f}); "
                f"{f['planned_days']:.2f} against {f['fixed_days']:.2f} days; looks a year "
                f"{f['planned_looks']:.1f} against {f['fixed_looks']:.1f}; "
                f"one look's worth {f['worth']:.2f} days (shipped {LOOK_WORTH:g})"
            )


if __name__ == "__main__":
    main()
