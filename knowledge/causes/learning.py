"""Base rates and strengths moved by a club's own confirmed causes, shrunk to the shipped values.

Each base rate and each link is a Beta distribution whose mean is the shipped value and whose weight is
that of PRIOR_CASES cases; each case of the club adds one count (conjugate update). What a case leaves
unknown adds the chance that the model gives it (one expectation step of A. Dempster, N. Laird, D. Rubin,
1977), so that not knowing moves nothing on average:

base: 1 for a confirmed cause, 0 for a refuted one, the posterior chance for the rest.
link: for a confirmed cause, the chance that it set the fault off itself: strength / P(fault | cause) when
the fault was reported; strength · (1 − r) / (1 − r · P(fault | cause)) when not, r being the chance to be
reported at all; 0 when denied.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from knowledge.causes.findings import Findings
from knowledge.causes.network import Network
from knowledge.causes.posterior import posterior_of
from knowledge.causes.reports import REPORT_CHANCE

PRIOR_CASES = 20.0
"""Weight of a shipped value in cases. Common practice, no source."""
LEAST, MOST = 0.01, 0.95


@dataclass(frozen=True, slots=True)
class Case:
    """One player of the club. sessions: how many days faults were reported on."""

    findings: Findings
    confirmed: frozenset[str] = frozenset()
    refuted: frozenset[str] = frozenset()
    sessions: int = 1


@dataclass(frozen=True, slots=True)
class Learnt:
    """Values that differ from the shipped ones, with how many cases each rests on."""

    bases: Mapping[str, float] = field(default_factory=dict)
    strengths: Mapping[tuple[str, str], float] = field(default_factory=dict)
    cases: float = 0.0
    link_cases: Mapping[tuple[str, str], float] = field(default_factory=dict)


def beta_mean(shipped: float, hits: float, cases: float, weight: float = PRIOR_CASES) -> float:
    """Posterior mean of Beta(shipped · weight, (1 − shipped) · weight) after hits of cases."""
    return (shipped * weight + hits) / (weight + cases)


def learn(network: Network, cases: Sequence[Case]) -> Learnt:
    """What a club's cases make of the shipped network. Without a confirmed or refuted cause nothing moves."""
    told = [case for case in cases if case.confirmed or case.refuted]
    if not told:
        return Learnt()
    hits = np.zeros(len(network.causes))
    link_hits: dict[tuple[str, str], float] = {}
    link_cases: dict[tuple[str, str], float] = {}
    for case in told:
        chance = _chances(network, case)
        hits += chance
        for cause in case.confirmed & set(network.causes):
            for fault, credit in _credits(network, case, cause, chance):
                link_hits[fault, cause] = link_hits.get((fault, cause), 0.0) + credit
                link_cases[fault, cause] = link_cases.get((fault, cause), 0.0) + 1.0
    bases = {
        cause: _kept(beta_mean(float(network.base[n]), float(hits[n]), len(told)))
        for cause, n in network.cause_at.items()
    }
    strengths = {
        (fault, cause): _kept(
            beta_mean(
                float(network.strength[network.fault_at[fault], network.cause_at[cause]]),
                hit,
                link_cases[fault, cause],
            )
        )
        for (fault, cause), hit in link_hits.items()
    }
    return Learnt(bases, strengths, float(len(told)), link_cases)


def _chances(network: Network, case: Case) -> np.typing.NDArray[np.float64]:
    known = posterior_of(network, case.findings).chance
    return np.array([
        1.0 if c in case.confirmed else 0.0 if c in case.refuted else known[c] for c in network.causes
    ])  # fmt: skip


def _credits(
    network: Network, case: Case, cause: str, chance: np.typing.NDArray[np.float64]
) -> list[tuple[str, float]]:
    """(fault, chance that this confirmed cause set it off) for every fault it is linked to."""
    column = network.cause_at[cause]
    silent = (1 - REPORT_CHANCE) ** max(1, case.sessions)
    found = []
    for row in np.flatnonzero(network.strength[:, column]):
        strength = float(network.strength[row, column])
        others = np.delete(chance * network.strength[row], column)
        shows = 1 - (1 - network.leak[row]) * (1 - strength) * float(np.prod(1 - others))
        bits = case.findings.faults.get(network.faults[row], 0.0)
        if bits > 0:
            credit = strength / shows
        elif bits < 0:
            credit = 0.0
        else:
            credit = strength * silent / (1 - (1 - silent) * shows)
        found.append((network.faults[row], float(credit)))
    return found


def _kept(value: float) -> float:
    return float(min(MOST, max(LEAST, value)))
