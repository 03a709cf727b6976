"""What speaks for a cause and what against it, by how much.

A reason's worth is the change of the cause's log odds, in bits, when that reason alone is left out and the
rest stays. A sighting can speak against a cause although it is linked to nothing of it: another cause then
explains the rest.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from knowledge.causes.posterior import Posterior, chances_without, posterior_of

SMALL = 0.05
"""Reasons of fewer bits are not shown."""


@dataclass(frozen=True, slots=True)
class Reason:
    """id: a fault, a check or a deciding word ("words.matches"). bits: positive for, negative against."""

    id: str
    bits: float


@dataclass(frozen=True, slots=True)
class Explanation:
    """The reasons of one cause, the weightiest first."""

    speaks_for: tuple[Reason, ...] = ()
    against: tuple[Reason, ...] = ()


def explain(post: Posterior, causes: Iterable[str]) -> dict[str, Explanation]:
    """The reasons of each cause."""
    names = list(causes)
    reasons: dict[str, list[Reason]] = {cause: [] for cause in names}
    for reason, without in [*_sightings(post), *_factors(post)]:
        for cause in names:
            if cause in without:
                bits = _log_odds(post.chance[cause]) - _log_odds(without[cause])
                if abs(bits) >= SMALL:
                    reasons[cause].append(Reason(reason, round(bits, 3)))
    return {cause: _sorted(found) for cause, found in reasons.items()}


def _sightings(post: Posterior) -> list[tuple[str, dict[str, float]]]:
    faults = [fault for fault, bits in post.findings.faults.items() if bits]
    certain = [fault for fault in faults if post.findings.faults[fault] == -np.inf]
    found = []
    if post.method != "exact":
        return _near(post, faults)
    summed = [fault for fault in faults if fault not in certain]
    if summed and post.problem.rows:
        table = chances_without(post, summed)
        columns = post.problem.column
        found = [
            (f, {c: float(row[at]) for c, at in columns.items()})
            for f, row in zip(summed, table, strict=True)
        ]
    return found + [(fault, _without_absent(post, fault)) for fault in certain]


def _without_absent(post: Posterior, fault: str) -> dict[str, float]:
    rest = {name: bits for name, bits in post.findings.faults.items() if name != fault}
    other = posterior_of(post.network, type(post.findings)(rest, post.findings.causes))
    return dict(other.chance)


def _near(post: Posterior, faults: list[str]) -> list[tuple[str, dict[str, float]]]:
    """With sampled chances only a fault's own link is told: the bits it would bring alone."""
    found = []
    for fault in faults:
        alone = posterior_of(post.network, type(post.findings)({fault: post.findings.faults[fault]}))
        base = dict(zip(post.network.causes, map(float, post.network.base), strict=True))
        shifted = {
            c: _from_log_odds(_log_odds(post.chance[c]) - _log_odds(alone.chance[c]) + _log_odds(base[c]))
            for c in alone.linked
        }
        found.append((fault, shifted))
    return found


def _factors(post: Posterior) -> list[tuple[str, dict[str, float]]]:
    """A factor on a cause's own odds is just its bits; on other causes it acts through the sums."""
    found = []
    for reason in post.findings.reasons:
        if post.method == "exact":
            chance = posterior_of(post.network, post.findings.without_reason(reason)).chance
            found.append((reason, dict(chance)))
        else:
            own = {c: f[reason] for c, f in post.findings.causes.items() if reason in f}
            found.append((reason, {c: _from_log_odds(_log_odds(post.chance[c]) - b) for c, b in own.items()}))
    return found


def _log_odds(chance: float) -> float:
    safe = min(max(chance, 1e-12), 1 - 1e-12)
    return float(np.log2(safe / (1 - safe)))


def _from_log_odds(bits: float) -> float:
    return float(1 / (1 + np.exp2(-bits)))


def _sorted(found: list[Reason]) -> Explanation:
    ordered = sorted(found, key=lambda reason: (-abs(reason.bits), reason.id))
    return Explanation(tuple(r for r in ordered if r.bits > 0), tuple(r for r in ordered if r.bits < 0))
