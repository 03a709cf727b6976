"""Did the change help? Days before against days after, said only when chance would seldom say it.

Balls of one day hang together, so the day is the unit. Were the change without effect, the days could be
dealt to "before" and "after" in any way; the p-value is the share of dealings that look at least as good (an
exact permutation test, E. J. G. Pitman 1937: from memory). There are at most two looks, at the stop
date and after one extension, each at half of the 5 % that a wrong "helped" may have. What this cannot see:
days in a row that resemble each other, and somebody who gets better anyway (tests/quality/verdict.py has
figures).
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from journal.progress.rates import Rate
from journal.progress.scores import Score
from journal.progress.special import gamma_above
from journal.records import ChangeStatus

LEVEL = 0.05
LOOKS = 2
FEWEST_BEFORE, FEWEST_AFTER = 2, 3
MOST_DEALINGS = 60_000
SPREAD_DAYS, SPREAD_USUAL = 4.0, 1.5
"""What is thought of the day-to-day spread before any day is seen: weight in days, and times the spread of
pure chance. Common practice, no source.
"""


@dataclass(frozen=True, slots=True)
class DayScore:
    """One day: hits of tries, or fault count over exposure (sessions or hours)."""

    amount: float
    size: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the figures say when a change ends.

    status: the proposal. helped: True, False (it got worse) or None (cannot tell). chance: that it helped,
    with the day-to-day spread in it. p: of the permutation test in the direction of help. before, after:
    (mean, low, high).
    """

    status: ChangeStatus
    helped: bool | None
    chance: float
    p: float
    before: tuple[float, float, float]
    after: tuple[float, float, float]
    words: str


def judge(
    before: Sequence[DayScore], after: Sequence[DayScore], *, counts: bool = False, extended: bool = False
) -> Verdict:
    """The verdict. counts: the amounts are fault counts, fewer being better. extended: this is the second
    look.
    """
    spread = day_spread(before, after, counts=counts)
    one, two = _posterior(before, spread, counts), _posterior(after, spread, counts)
    enough = len(before) >= FEWEST_BEFORE and len(after) >= FEWEST_AFTER
    better, worse = permutation_p(before, after, lower=counts) if enough else (1.0, 1.0)
    level = LEVEL / LOOKS
    helped = True if better <= level else False if worse <= level else None
    if helped is None and not extended:
        status = ChangeStatus.EXTENDED
    else:
        status = ChangeStatus.KEPT if helped else ChangeStatus.DROPPED
    chance = _chance(one, two)
    figures = _figures(one), _figures(two)
    words = _words(helped, extended, enough, chance, figures, counts, len(before), len(after))
    return Verdict(status, helped, chance, better, *figures, words)


def permutation_p(
    before: Sequence[DayScore], after: Sequence[DayScore], *, lower: bool = False
) -> tuple[float, float]:
    """(p for better, p for worse): shares of dealings at least as far in either direction as what was
    seen.
    """
    days = [*before, *after]
    amounts, sizes = [day.amount for day in days], [day.size for day in days]
    amount, size = sum(amounts), sum(sizes)
    # Dealing the smaller part is the same as dealing the other, and quicker.
    part = min((range(len(before)), range(len(before), len(days))), key=len)
    sign = (-1.0 if lower else 1.0) * (1.0 if part.start else -1.0)

    def gain(some: Sequence[int]) -> float:
        a, t = sum(amounts[n] for n in some), sum(sizes[n] for n in some)
        return sign * (a / t - (amount - a) / (size - t)) if 0 < t < size else 0.0

    seen = gain(part)
    better = worse = total = 0
    for dealing in _dealings(len(days), part):
        value = gain(dealing)
        better += value >= seen - 1e-12
        worse += value <= seen + 1e-12
        total += 1
    return better / total, worse / total


def _dealings(n: int, part: range) -> Iterator[Sequence[int]]:
    """Every choice of so many days; where these are too many, the seen one and 9,999 drawn ones."""
    if math.comb(n, len(part)) <= MOST_DEALINGS:
        yield from combinations(range(n), len(part))
        return
    rng = random.Random(n * 1000 + len(part))
    yield part
    for _ in range(9_999):
        yield rng.sample(range(n), len(part))


def day_spread(before: Sequence[DayScore], after: Sequence[DayScore], *, counts: bool = False) -> float:
    """How much more the days differ within each part than pure chance would have them (1 is pure chance)."""
    squares, free = SPREAD_DAYS * SPREAD_USUAL, SPREAD_DAYS
    for part in (before, after):
        size = math.fsum(day.size for day in part)
        if len(part) < 2 or size <= 0:
            continue
        rate = math.fsum(day.amount for day in part) / size
        for day in part:
            expected = day.size * rate if counts else day.size * rate * (1 - rate)
            if expected > 0:
                squares += (day.amount - day.size * rate) ** 2 / expected
        free += len(part) - 1
    return max(1.0, squares / free)


def _posterior(days: Sequence[DayScore], spread: float, counts: bool) -> Score | Rate:
    """The posterior with its tries divided by the spread, so that a lively player's figures say less."""
    amount = math.fsum(day.amount for day in days) / spread
    size = math.fsum(day.size for day in days) / spread
    return Rate(0.5 + amount, max(1e-9, size), len(days)) if counts else Score.of(amount, size)


def _chance(one: Score | Rate, two: Score | Rate) -> float:
    if isinstance(one, Rate) and isinstance(two, Rate):
        return gamma_above(one.shape, one.rate, two.shape, two.rate)
    assert isinstance(one, Score)
    assert isinstance(two, Score)
    return two.above(one)


def _figures(part: Score | Rate) -> tuple[float, float, float]:
    low, high = part.interval()
    return part.mean, low, high


def _words(
    helped: bool | None,
    extended: bool,
    enough: bool,
    chance: float,
    figures: tuple[tuple[float, float, float], tuple[float, float, float]],
    counts: bool,
    days1: int,
    days2: int,
) -> str:
    def say(part: tuple[float, float, float], days: int) -> str:
        mean, low, high = part
        on = f"on {days} day{'s' if days != 1 else ''}"
        return (
            f"{mean:.1f} a session ({low:.1f}–{high:.1f}) {on}"
            if counts
            else f"{100 * mean:.0f} % ({100 * low:.0f}–{100 * high:.0f}) {on}"
        )

    seen = (
        f"Before {say(figures[0], days1)}, after {say(figures[1], days2)}; "
        f"the chance that it helped is {100 * chance:.0f} %."
    )
    if not enough:
        need = f"It takes at least {FEWEST_BEFORE} days before and {FEWEST_AFTER} after"
        return f"Too few days to judge. {need}. {seen}"
    if helped is True:
        return f"It helped, beyond the usual spread of days: keep it. {seen}"
    if helped is False:
        return f"It got worse, beyond the usual spread of days: drop it. {seen}"
    if extended:
        advice = "Drop it, or keep it if it is more comfortable."
        return f"No difference beyond the usual spread of days. {advice} {seen}"
    advice = "Go on for the same time once more."
    return f"Cannot tell yet: the days differ as much among themselves. {advice} {seen}"
