"""When to look at a mended fault again.

A fault that went away may come back. How soon differs from fault to fault, so the relapse rate is itself
uncertain: with a Gamma(a, b) belief about the rate (per day), the chance that the fault still stays away t
days on is the Lomax survival (1 + t/b)^(-a). Clean days add to b, a relapse adds to a. Habits change, so
a relapse also takes a fifth off what was learnt before.

Looking costs practice time; not looking lets a relapse run unnoticed. If one look is worth c days of an
unnoticed relapse, the best density of looks at hazard h is sqrt(h / 2c) (J. B. Keller, Management Science 21
(1974) 256-260: from memory). With the Lomax hazard a/(b + t) the next look falls where that density has added
up to one:

    t = 2 s sqrt(b) + s²,   s = sqrt(c / 2a).

So each clean look moves the next one out, a relapse pulls it in, and a fault that matters more is looked at
sooner.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

SHAPE, DAYS = 1.0, 14.0
"""Belief before anything is known: half of all mended faults are back within two weeks. Common practice, no
source.
"""
LOOK_WORTH = 4.0
"""Days of an unnoticed relapse that one look is worth. Common practice, no source."""
KEPT_AFTER_RELAPSE = 0.8
"""Habits change, so a relapse discounts earlier evidence; chosen in tests/quality/followups.py."""
SOONEST, LATEST = 1, 180
BEFORE_MATCH = 2
"""A look that falls due within a match's last week comes at least this many days before the match."""


@dataclass(frozen=True, slots=True)
class Belief:
    """What is known of a fault's relapse rate: Gamma(a, b), b in days."""

    a: float = SHAPE
    b: float = DAYS

    def stays_away(self, days: float) -> float:
        """Lomax survival: the chance that the fault has not come back ``days`` days on."""
        return math.exp(-self.a * math.log1p(max(0.0, days) / self.b))

    def hazard(self, days: float = 0.0) -> float:
        """Relapses a day, ``days`` days on."""
        return self.a / (self.b + days)

    def clean(self, days: float) -> Belief:
        """After ``days`` days without a relapse."""
        return Belief(self.a, self.b + max(0.0, days))

    def relapsed(self, days: float) -> Belief:
        """After a relapse found ``days`` days after the last clean look; it began halfway, for all one
        knows.
        """
        return Belief(
            SHAPE + KEPT_AFTER_RELAPSE * (self.a - SHAPE) + 1.0,
            DAYS + KEPT_AFTER_RELAPSE * (self.b + max(0.0, days) / 2 - DAYS),
        )


@dataclass(frozen=True, slots=True)
class Look:
    """One re-check: the day and whether the fault was away."""

    day: date
    clean: bool


@dataclass(frozen=True, slots=True)
class FollowUp:
    """When a fault is due again. due: the day. risk: chance that it is back by then. why: in a sentence."""

    fault: str
    due: date
    risk: float
    why: str
    severity: float = 1.0
    looks: int = 0


def wait_days(belief: Belief, severity: float = 1.0, look_worth: float = LOOK_WORTH) -> float:
    """The days until the next look, in closed form; severity 1 is ordinary, 2 matters twice as much."""
    s = math.sqrt(look_worth / severity / (2.0 * belief.a))
    return 2.0 * s * math.sqrt(belief.b) + s * s


def wait_for_chance(belief: Belief, chance: float) -> float:
    """The days until the fault is back with this chance: the Lomax quantile b((1 - chance)^(-1/a) - 1)."""
    return belief.b * math.expm1(-math.log1p(-chance) / belief.a)


def belief_after(mended_on: date, looks: Sequence[Look]) -> tuple[Belief, date]:
    """The belief after these looks in order of day, and the day it holds from.

    Only a bad look after a clean one is a relapse: a fault that was never away cannot come back.
    """
    belief, at, away = Belief(), mended_on, False
    for look in sorted(looks, key=lambda one: one.day):
        gap = (look.day - at).days
        if gap < 0:
            continue
        if look.clean:
            belief = belief.clean(gap)
        elif away:
            belief = belief.relapsed(gap)
        at, away = look.day, look.clean
    return belief, at


def next_look(
    fault: str,
    mended_on: date,
    looks: Sequence[Look],
    *,
    severity: float = 1.0,
    match_days: Sequence[date] = (),
) -> FollowUp:
    """The next re-check of a fault that was mended (or first confirmed) on a day."""
    belief, at = belief_after(mended_on, looks)
    wait = min(LATEST, max(SOONEST, round(wait_days(belief, severity))))
    due = at + timedelta(days=wait)
    ahead = _before_match(at, due, match_days)
    why = _sentence(looks, at, wait) if ahead is None else _brought_forward(looks, at, due, ahead)
    due = due if ahead is None else ahead[0]
    risk = 1.0 - belief.stays_away((due - at).days)
    if looks and max(looks, key=lambda one: one.day).clean:
        why += f" By then it is back with a chance of about {100 * risk:.0f} %."
    return FollowUp(fault, due, risk, why, severity, len(looks))


def _before_match(at: date, due: date, match_days: Sequence[date]) -> tuple[date, date] | None:
    """An earlier day and the match, when the look would fall on a match's eve, its day, or in the week after."""
    for match in sorted(match_days):
        ready = match - timedelta(days=BEFORE_MATCH)
        if ready > at and ready < due <= match + timedelta(days=7):
            return ready, match
    return None


def _brought_forward(looks: Sequence[Look], at: date, due: date, ahead: tuple[date, date]) -> str:
    """Why it comes before its own day: the match first, since that is what decides."""
    _, match = ahead
    last = max(looks, key=lambda one: one.day, default=None)
    seen = "not looked at" if last is None else "clean" if last.clean else "seen"
    since = f"{'since' if last is None else 'last on'} {at.day} {at:%B}"
    return (
        f"Brought forward because of the match on {match.day} {match:%B}, so that you know before the match; "
        f"without it the day would be {due.day} {due:%B} ({seen} {since})."
    )


def _sentence(looks: Sequence[Look], at: date, wait: int) -> str:
    ordered = sorted(looks, key=lambda one: one.day)
    days = f"{wait} day{'s' if wait != 1 else ''}"
    since = f"{at.day} {at:%B}"
    relapses = sum(before.clean and not after.clean for before, after in pairwise(ordered))
    if not ordered:
        return f"Not looked at since {since}, so a first look after {days}."
    if not ordered[-1].clean:
        seen = "It came back on" if relapses and ordered[-2].clean else "Last seen on"
        return f"{seen} {since}, so it is looked at again after {days}."
    streak = 0
    for look in reversed(ordered):
        if not look.clean:
            break
        streak += 1
    times = "once" if streak == 1 else f"{streak} times in a row"
    past = (
        f" (it had come back {'once' if relapses == 1 else f'{relapses} times'} before)" if relapses else ""
    )
    return f"Clean {times}{past}, last on {since}, so the next look waits {days}."
