"""Which check to do next: the information it is expected to bring, for each minute it takes.

Information is the mutual information, in bits, between a check's outcome and the causes in question
(candidates): those at least seven tenths as likely as the likeliest; when no check tells of them any more,
the next likeliest in the same way. Without that limit the cheapest checks would be about causes that nobody
suspects. Given the causes a check tells about its outcome knows nothing of the others, so their exact
joint chances are enough; causes it tells about that are not in question are averaged out.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from knowledge.causes.network import Floats
from knowledge.causes.order import before_technique, place_of
from knowledge.causes.outcomes import outcome_table, told_causes
from knowledge.causes.posterior import Posterior
from knowledge.entries import Check
from knowledge.rulebase import RuleBase

TOO_LITTLE = 0.02
"""A check expected to bring fewer bits would not move anything."""
CLOSE = 0.7
"""Share of the likeliest cause's chance from which on a cause is in question."""


@dataclass(frozen=True, slots=True)
class Means:
    """What the player can do now: who or what is at hand, and whether there is a table."""

    partner: bool = True
    phone: bool = True
    coach: bool = False
    at_table: bool = True
    minutes: float | None = None

    def allow(self, check: Check) -> bool:
        """Whether the check can be done; of several needs any one is enough."""
        have = {
            "alone": True,
            "partner": self.partner or self.coach,
            "phone": self.phone,
            "coach": self.coach,
        }
        fits = self.minutes is None or check.minutes <= self.minutes
        return fits and (self.at_table or not check.at_table) and any(have[need] for need in check.needs)


@dataclass(frozen=True, slots=True)
class Would:
    """What one outcome would change: its chance now, and the chances of the told causes after it."""

    outcome: str
    result: str
    chance: float
    after: dict[str, float]


@dataclass(frozen=True, slots=True)
class CheckChoice:
    """A check with what it is expected to bring. would: each outcome and what it would change."""

    check: Check
    bits: float
    would: tuple[Would, ...]

    @property
    def rate(self) -> float:
        """Bits a minute."""
        return self.bits / self.check.minutes


def information(table: Floats, joint: Floats) -> float:
    """Mutual information in bits; table: P(outcome | states) with the outcomes first, joint: P(states)."""
    both = table * joint
    outcome = both.reshape(len(both), -1).sum(axis=1)
    return max(0.0, _entropy(outcome) - float(np.sum(joint * _entropies(table))))


def _entropy(chances: Floats) -> float:
    some = chances[chances > 0]
    return float(-np.sum(some * np.log2(some)))


def _entropies(table: Floats) -> Floats:
    logs = np.log2(table, out=np.zeros_like(table), where=table > 0)
    result: Floats = -np.sum(table * logs, axis=0)
    return result


def candidates(post: Posterior, among: Collection[str] | None = None) -> frozenset[str]:
    """The causes in question: those at least seven tenths as likely as the likeliest of ``among`` (all
    touched)."""
    pool = [cause for cause in post.linked if among is None or cause in among]
    top = max((post.chance[cause] for cause in pool), default=0.0)
    return frozenset(cause for cause in pool if post.chance[cause] >= CLOSE * top)


def weigh_checks(
    post: Posterior, checks: Iterable[Check], about: Collection[str]
) -> list[tuple[Check, float]]:
    """Each check that tells about one of the causes, with its information about them in bits; in the order
    given."""
    listed = [check for check in checks if any(cause in about for cause in told_causes(check))]
    groups = [tuple(cause for cause in told_causes(check) if cause in about) for check in listed]
    found = []
    for check, group, joint in zip(listed, groups, post.joints(groups), strict=True):
        found.append((check, information(_table_over(check, group, post), joint)))
    return found


def _table_over(check: Check, group: tuple[str, ...], post: Posterior) -> Floats:
    """P(outcome | states of the group); the check's other causes are averaged out at their own chances."""
    told = told_causes(check)
    table = outcome_table(check)
    for axis in range(len(told) - 1, -1, -1):
        if told[axis] not in group:
            chance = post.chance[told[axis]]
            table = (1 - chance) * np.take(table, 0, axis=axis + 1) + chance * np.take(
                table, 1, axis=axis + 1
            )
    return table


def would_change(post: Posterior, check: Check) -> tuple[Would, ...]:
    """What each outcome of a check would change."""
    group = told_causes(check)
    (joint,) = post.joints([group])
    found = []
    for outcome, row in zip(check.outcomes, outcome_table(check) * joint, strict=True):
        chance = float(row.sum())
        there = [float(np.take(row, 1, axis=n).sum()) for n in range(len(group))]
        after = {
            cause: part / chance if chance > 0 else 0.0 for cause, part in zip(group, there, strict=True)
        }
        found.append(Would(outcome.id, outcome.result, chance, after))
    return tuple(found)


def best_check(
    rules: RuleBase, post: Posterior, means: Means | None = None, done: Collection[str] = ()
) -> CheckChoice | None:
    """The check with the most expected bits a minute among those that can be done now and are not done yet.

    The causes in question are asked about; those that no check left can tell of give way to the next
    likeliest. Equipment, health and table go first when such a check is worth at least half of the best.
    """
    means = means or Means()
    able = [check for check in rules.checks.values() if check.id not in done and means.allow(check)]
    open_causes = set(post.linked)
    while open_causes:
        about = candidates(post, open_causes)
        weighed = [(check, bits) for check, bits in weigh_checks(post, able, about) if bits >= TOO_LITTLE]
        if weighed:
            check, bits = _first(rules, weighed, about)
            return CheckChoice(check, bits, would_change(post, check))
        open_causes -= about
    return None


def _first(
    rules: RuleBase, weighed: Sequence[tuple[Check, float]], about: Collection[str]
) -> tuple[Check, float]:
    top = max(bits / check.minutes for check, bits in weighed)

    def told(check: Check) -> list[str]:
        return [cause for cause in told_causes(check) if cause in about]

    plain = [
        (check, bits)
        for check, bits in weighed
        if bits / check.minutes >= top / 2 and any(before_technique(rules, cause) for cause in told(check))
    ]

    def key(choice: tuple[Check, float]) -> tuple[float, float, int, str]:
        check, bits = choice
        place = min(place_of(rules, cause) for cause in told(check))
        return (-round(bits / check.minutes, 4), check.minutes, place, check.id)

    return min(plain or weighed, key=key)
