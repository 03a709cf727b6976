"""How often a fault shows: Gamma-Poisson rates with their spread, per session or per hour, old notes fading.

With a Gamma(shape, rate) prior and counts k over exposure t the posterior is Gamma(shape + Σ w k, rate + Σ w
t); the weight w halves every ``half_life`` days, so the rate follows a player who changes. The next session's
count is negative binomial.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from journal.progress.special import beta_cdf, gamma_above, gamma_quantile, negative_binomial
from journal.records import Note, Polarity, Sighting, SightingStatus

PRIOR_SHAPE, PRIOR_RATE = 0.5, 0.0
"""Jeffreys' prior: it says nearly nothing."""
HALF_LIFE = 28.0
"""Days after which a session counts half. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Session:
    """How often a fault showed on one occasion. exposure: 1 for a session, or hours.

    by: a moment at which the play was over or begun, whichever is known earlier: when it was played or written
    down.
    """

    day: date
    count: float
    exposure: float = 1.0
    by: datetime | None = None


@dataclass(frozen=True, slots=True)
class Rate:
    """A Gamma posterior of a rate per unit of exposure."""

    shape: float
    rate: float
    sessions: int = 0

    @property
    def mean(self) -> float:
        return self.shape / self.rate if self.rate else math.inf

    @property
    def variance(self) -> float:
        return self.shape / self.rate**2 if self.rate else math.inf

    def quantile(self, p: float) -> float:
        """The rate not exceeded with chance p."""
        return gamma_quantile(p, self.shape, self.rate) if self.rate else math.inf

    def interval(self, level: float = 0.95) -> tuple[float, float]:
        """The middle ``level`` of the posterior."""
        return self.quantile((1 - level) / 2), self.quantile((1 + level) / 2)

    def next_count(self, k: int, exposure: float = 1.0) -> float:
        """Chance of exactly k in the next stretch of this exposure."""
        return negative_binomial(k, self.shape, self.rate / (self.rate + exposure))


def rate_of(
    sessions: Iterable[Session],
    today: date | None = None,
    *,
    half_life: float | None = HALF_LIFE,
    shape: float = PRIOR_SHAPE,
    rate: float = PRIOR_RATE,
) -> Rate:
    """The posterior rate. Without ``today`` or ``half_life`` every session counts fully."""
    n = 0
    for each in sessions:
        age = (today - each.day).days if today is not None else 0
        weight = 0.5 ** (max(0, age) / half_life) if half_life and today is not None else 1.0
        shape += weight * each.count
        rate += weight * each.exposure
        n += 1
    return Rate(shape, rate, n)


def fell(before: Rate, after: Rate) -> float:
    """The chance that the rate after is lower than the rate before."""
    return gamma_above(before.shape, before.rate, after.shape, after.rate)


def exact_count_interval(count: int, level: float = 0.95) -> tuple[float, float]:
    """Exact interval for a Poisson count (F. Garwood, Biometrika 28 (1936): from memory)."""
    tail = (1 - level) / 2
    return (gamma_quantile(tail, count) if count else 0.0), gamma_quantile(1 - tail, count + 1)


def two_rates_p(count1: int, exposure1: float, count2: int, exposure2: float) -> float:
    """One-sided p that rate 1 is no higher than rate 2, from the conditional binomial of count 1 in the
    sum.
    """
    total = count1 + count2
    share = exposure1 / (exposure1 + exposure2)
    if count1 == 0:
        return 1.0
    return beta_cdf(share, count1, total - count1 + 1)


def counts_of(sightings: Iterable[Sighting], fault: str) -> dict[str, int]:
    """Confirmed count of a fault by note id. "absent" is 0; a sighting without a figure counts once."""
    found: dict[str, int] = {}
    for each in sightings:
        if each.fault == fault and each.status is SightingStatus.CONFIRMED and each.note_id is not None:
            amount = 0 if each.polarity is Polarity.ABSENT else max(1, each.count or 1)
            found[each.note_id] = max(found.get(each.note_id, 0), amount)
    return found


def sessions_of(
    notes: Sequence[Note], sightings: Iterable[Sighting], fault: str
) -> tuple[list[Session], str]:
    """One session a note, in order, and the unit: "hour" when every note tells its minutes, else "session".

    A note that does not speak of the fault counts as a session without it.
    """
    counts = counts_of(sightings, fault)
    by_hour = bool(notes) and all(note.minutes for note in notes)
    ordered = sorted(notes, key=lambda note: note.played_at)
    sessions = [
        Session(
            note.day,
            counts.get(note.id, 0),
            (note.minutes or 60) / 60 if by_hour else 1.0,
            min(note.played_at, note.created_at),
        )
        for note in ordered
    ]
    return sessions, "hour" if by_hour else "session"
