"""Simulation: how often does the verdict say "helped" when the change did nothing, and how often when it
helped? And how often at least "better"?

Run: python tests/quality/verdict.py [CHANGES] [SEED]

Each invented change has some days before and after, the verdict at the stop date, and where it is not decided
one extension with as many days again, as the journal does it. Scores of ten or twenty tries; the day's own
form shifts the log-odds by a normal draw. The worlds marked "beyond" are harder than what the levels were set
for and show where the verdict ends.
"""

from __future__ import annotations

import math
import random
import sys
from dataclasses import dataclass

from journal.progress.days import DayScore
from journal.progress.verdict import Decision, decide


@dataclass(frozen=True)
class World:
    """How an invented player's days are. form: spread of a day's log-odds; hang: how much a day takes over
    from the last.

    lift: what the change adds to the log-odds; over so many days (ramp) it comes in full. bad_start: begin right
    after the worst of the days, that day being the last before. counts: fault counts instead of scores. trend:
    what each day adds anyway.
    """

    name: str
    form: float = 0.0
    hang: float = 0.0
    lift: float = 0.0
    trend: float = 0.0
    bad_start: bool = False
    counts: bool = False
    before: int = 4
    after: int = 8
    ramp: int = 1


WORLDS = (
    World("no effect, days alike"),
    World("no effect, lively days", form=0.5),
    World("no effect, very lively days", form=1.0),
    World("no effect, fault counts, lively days", form=0.5, counts=True),
    World("no effect, few days (2 and 6)", form=0.5, before=2, after=6),
    World("no effect, days hang together (0.3)", form=0.5, hang=0.3),
    World("no effect, days hang together (0.6)", form=0.5, hang=0.6),
    World("no effect, started right after the worst day", form=0.5, bad_start=True),
    World("no effect, but slowly getting better anyway", form=0.5, trend=0.05),
    World("no effect, but better anyway, 8 days before", form=0.5, trend=0.05, before=8),
    World("no effect, but fewer faults anyway", form=0.5, trend=0.05, counts=True),
    World("beyond: no effect, very lively days hang together (0.6)", form=1.0, hang=0.6),
    World("beyond: no effect, but better anyway twice as fast", form=0.5, trend=0.1),
    World("helps a little (50 to 60 %)", form=0.3, lift=0.405),
    World("helps (50 to 70 %)", form=0.3, lift=0.847),
    World("helps much (50 to 80 %)", form=0.3, lift=1.386),
    World("faults halved", form=0.3, lift=math.log(2), counts=True),
    World("helps (50 to 70 %), 8 days before", form=0.3, lift=0.847, before=8),
    World("helps (50 to 70 %), slowly over 6 days", form=0.3, lift=0.847, ramp=6),
    World("helps much (50 to 80 %), slowly over 6 days", form=0.3, lift=1.386, ramp=6),
    World("makes it worse (50 to 30 %)", form=0.3, lift=-0.847),
)


def poisson(rng: random.Random, mean: float) -> int:
    """A Poisson count by multiplying uniforms."""
    limit, n, product = math.exp(-mean), 0, rng.random()
    while product > limit:
        n += 1
        product *= rng.random()
    return n


def days(
    world: World, rng: random.Random, number: int, lift: float, carry: list[float], since: int = 0
) -> list[DayScore]:
    """So many days in a row; ``carry`` holds the form of the last day and the days lived. since: days since the
    change.
    """
    found = []
    for day in range(since + 1, since + number + 1):
        carry[0] = world.hang * carry[0] + math.sqrt(1 - world.hang**2) * rng.gauss(0, world.form)
        carry[1] += 1
        shift = carry[0] + lift * min(1.0, day / world.ramp) + world.trend * carry[1]
        if world.counts:
            found.append(DayScore(poisson(rng, 3.0 * math.exp(-shift)), 1.0))
        else:
            chance, tries = 1 / (1 + math.exp(-shift)), rng.choice((10, 20))
            found.append(DayScore(sum(rng.random() < chance for _ in range(tries)), tries))
    return found


def one_change(world: World, rng: random.Random) -> Decision:
    """The last decision on one change."""
    carry = [rng.gauss(0, world.form), 0.0]
    before = days(world, rng, world.before, 0.0, carry)
    if world.bad_start:
        before += days(world, rng, 2, 0.0, carry)
        sign = -1 if world.counts else 1
        worst = min(range(len(before)), key=lambda n: sign * before[n].amount / before[n].size)
        before = before[: max(2, worst + 1)]
    after = days(world, rng, world.after, world.lift, carry)
    first = decide(before, after, counts=world.counts)
    if first.helped is not None:
        return first
    after += days(world, rng, world.after, world.lift, carry, world.after)
    return decide(before, after, counts=world.counts)


def share(world: World, changes: int = 2000, seed: int = 1) -> tuple[float, float, float]:
    """Shares of "helped", of "better" (with and without "helped"), and of "worse"."""
    rng = random.Random(f"{seed} {world.name}")
    told = [one_change(world, rng) for _ in range(changes)]
    return (
        sum(one.helped is True for one in told) / changes,
        sum(one.better for one in told) / changes,
        sum(one.helped is False for one in told) / changes,
    )


def main() -> None:
    """Print a line for each world, with the 95 % simulation error of its first share."""
    changes = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    for world in WORLDS:
        helped, better, worse = share(world, changes, seed)
        error = 1.96 * math.sqrt(helped * (1 - helped) / changes)
        print(
            f"{world.name}: helped {100 * helped:.1f} % (± {100 * error:.1f}), "
            f"better {100 * better:.1f} %, worse {100 * worse:.1f} %",
            flush=True,
        )


if __name__ == "__main__":
    main()
