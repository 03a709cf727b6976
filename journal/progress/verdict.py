"""Did the change help? Days before against days after, said only when chance would seldom say it.

Two things are told apart. **Better**: the days after are better than those before, beyond the usual spread of days
and their likeness to their neighbours. **It helped**: better, and there is a step at the change that a steady
improvement would not explain. A gain that comes slowly after a change looks like a steady improvement, so it is
told as better, with that said. A change is judged twice at most, at its stop date and after one extension; before
the stop date the figures are shown and nothing is concluded. journal.progress.days has the tests,
tests/quality/verdict.py measures how often they are wrong.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from journal.progress.days import DayScore, carried_over, permutation_p, step_p, widened, widening
from journal.progress.rates import Rate
from journal.progress.scores import Score
from journal.progress.special import gamma_above
from journal.records import ChangeStatus

LEVEL, LOOKS = 0.05, 2
"""A wrong "better" may come in 5 % of all changes without effect, shared by two looks."""
STEP_LEVEL = 0.04
"""For the step at each look: with it a wrong "helped" stays under 5 % over both in the simulation."""
FEWEST_BEFORE, FEWEST_AFTER = 2, 3
SPREAD_DAYS, SPREAD_USUAL = 4.0, 1.5
"""What is thought of the day-to-day spread before any day is seen: weight in days, and times the spread of
pure chance. Common practice, no source.
"""


@dataclass(frozen=True, slots=True)
class Decision:
    """What the days decide. better: the days after are better beyond chance. helped: True, False (it got worse) or
    None (cannot tell, or steady progress explains it). p: that chance alone would look as good. step: that steady
    progress would.
    """

    helped: bool | None
    better: bool
    p: float
    step: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """A decision with its figures. status: the proposal; running before the stop date. chance: that the rate after
    is the better one, with the day-to-day spread in it. before, after: (mean, low, high) with 95 %.
    """

    status: ChangeStatus
    helped: bool | None
    better: bool
    chance: float
    p: float
    step: float
    before: tuple[float, float, float]
    after: tuple[float, float, float]
    words: str


def decide(before: Sequence[DayScore], after: Sequence[DayScore], *, counts: bool = False) -> Decision:
    """One look at the days, in their order. counts: the amounts are fault counts, fewer being better."""
    if len(before) < FEWEST_BEFORE or len(after) < FEWEST_AFTER:
        return Decision(None, False, 1.0, 1.0)
    by = widening(len(before), len(after), carried_over(before, after))
    p, against = (widened(each, by) for each in permutation_p(before, after, lower=counts))
    step = step_p(before, after, lower=counts)
    better, worse = p <= LEVEL / LOOKS, against <= LEVEL / LOOKS
    return Decision(True if better and step <= STEP_LEVEL else False if worse else None, better, p, step)


def judge(
    before: Sequence[DayScore],
    after: Sequence[DayScore],
    *,
    unit: str = "",
    extended: bool = False,
    due: bool = True,
) -> Verdict:
    """The verdict on a change. unit: of fault counts ("session", "hour"), fewer being better; empty for hits of
    tries. extended: this is the second look. due: the stop date has come.
    """
    counts = bool(unit)
    spread = day_spread(before, after, counts=counts)
    one, two = _posterior(before, spread, counts), _posterior(after, spread, counts)
    enough = len(before) >= FEWEST_BEFORE and len(after) >= FEWEST_AFTER
    found = decide(before, after, counts=counts)
    if not due:
        found = replace(found, helped=None, better=False)
    chance = _chance(one, two)
    figures = _figures(one), _figures(two)
    status, told = _told(found, extended, enough, due)
    seen = _seen(*figures, unit, len(before), len(after), chance)
    words = f"{told} {seen if due else seen[0].lower() + seen[1:]}"
    return Verdict(status, found.helped, found.better, chance, found.p, found.step, *figures, words)


def _told(found: Decision, extended: bool, enough: bool, due: bool) -> tuple[ChangeStatus, str]:
    """The proposal and its reason."""
    if not due:
        words = "Not judged before the stop date, or looking often would find something by chance. So far:"
        return ChangeStatus.RUNNING, words
    if found.helped is True:
        return ChangeStatus.KEPT, "It helped, beyond the spread of days and steady progress: keep it."
    if found.helped is False:
        return ChangeStatus.DROPPED, "It got worse, beyond the spread of days: drop it."
    last = ChangeStatus.KEPT if found.better else ChangeStatus.DROPPED
    status = last if extended else ChangeStatus.EXTENDED
    if found.better:
        advice = "Nothing speaks against keeping it." if extended else "Go on, and see whether it lasts."
        words = "Better, beyond the spread of days; steady progress would look the same."
    elif not enough:
        advice = f"It takes at least {FEWEST_BEFORE} days before and {FEWEST_AFTER} after."
        words = "Too few days to judge."
    elif extended:
        advice = "Drop it, or keep it if it is more comfortable."
        words = "No difference beyond the spread of days."
    else:
        advice = "Go on for the same time once more."
        words = "Cannot tell yet: the days differ as much among themselves."
    return status, f"{words} {advice}"


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


def _seen(
    one: tuple[float, float, float],
    two: tuple[float, float, float],
    unit: str,
    days1: int,
    days2: int,
    chance: float,
) -> str:
    if not days1 and not days2:
        return "No day has figures yet."

    def say(part: tuple[float, float, float], days: int) -> str:
        if not days:
            return "nothing yet"
        mean, low, high = part
        on = f"on {days} day{'s' if days != 1 else ''}"
        if unit:
            return f"{mean:.1f} {'an' if unit == 'hour' else 'a'} {unit} ({low:.1f}–{high:.1f}) {on}"
        return f"{100 * mean:.0f} % ({100 * low:.0f}–{100 * high:.0f}) {on}"

    words = f"Before {say(one, days1)}, after {say(two, days2)}"
    return f"{words}; {_sure(chance)}." if days1 and days2 else f"{words}."


def _sure(chance: float) -> str:
    side, worth = ("better", chance) if chance >= 0.5 else ("worse", 1 - chance)
    share = "over 99 %" if worth > 0.99 else f"{100 * worth:.0f} %"
    return f"{side} with a chance of {share}"
