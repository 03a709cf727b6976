"""The chance of every cause, given everything known: exact, or sampled with its error when there is too
much."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from knowledge.causes.elimination import Route, Sums, route
from knowledge.causes.findings import Findings, pair
from knowledge.causes.network import Floats, Network
from knowledge.causes.sampling import Sample, sample

WIDEST = 17
"""Faults open at once up to which the sum is done exactly (2^17 numbers a step, about a second)."""
_ROOM = 1 << 21
"""Numbers held at once in a batch."""
_KNOWN = 0.01
"""A finding of fewer bits than this is as good as unknown."""


@dataclass(frozen=True)
class Posterior:
    """network: what was asked of. findings: what was known. linked: causes that some finding touches.

    chance: cause id to P(present | findings), for every cause. method: "exact" or "sampled". error: three
    standard errors of the worst figure; 0 when exact. log2_evidence: log2 P(findings), None when sampled.
    """

    network: Network
    findings: Findings
    chance: Mapping[str, float]
    linked: tuple[str, ...]
    method: str
    error: float
    log2_evidence: float | None
    problem: Problem
    drawn: Sample | None = None

    def joints(self, groups: Sequence[tuple[str, ...]]) -> list[Floats]:
        """For each group of causes its joint chances: array of shape (2,) * len(group), index 1 for
        present."""
        if self.drawn is not None:
            return [
                self.drawn.joint(
                    [self.problem.column[c] for c in group if c in self.problem.column], len(group)
                )
                if all(c in self.problem.column for c in group)
                else self._apart(group)
                for group in groups
            ]
        return self.problem.joints(groups, self.chance)

    def _apart(self, group: tuple[str, ...]) -> Floats:
        return independent([self.chance[cause] for cause in group])


class Problem:
    """The part of a network that the findings touch, with the findings as numbers."""

    def __init__(self, network: Network, findings: Findings) -> None:
        self.network = network
        rows = [network.fault_at[f] for f, bits in findings.faults.items() if abs(bits) >= _KNOWN]
        absent = [r for r in rows if findings.faults[network.faults[r]] == -np.inf]
        rows = [r for r in rows if r not in absent]
        columns = np.flatnonzero(network.strength[rows].any(axis=0)) if rows else np.zeros(0, dtype=int)
        bits = np.array([findings.bits_of(cause) for cause in network.causes])
        odds = network.base / (1 - network.base) * np.exp2(bits)
        # A fault that is surely absent multiplies each of its causes' odds by 1 − strength: no sum needed.
        odds *= np.prod(1 - network.strength[absent], axis=0)
        self.prior: Floats = odds / (1 + odds)
        self.rows, self.columns = rows, columns
        self.column = {network.causes[c]: n for n, c in enumerate(columns)}
        pairs = np.array([pair(findings.faults[network.faults[r]]) for r in rows]).reshape(len(rows), 2)
        self.shows, self.hides = pairs[:, 0], pairs[:, 1]
        self.constant = self._constant(bits, absent)

    def _constant(self, bits: Floats, absent: list[int]) -> float:
        """log2 of what was divided out of P(findings): the factors' and the absent faults' share."""
        base, network = self.network.base, self.network
        scaled = base * np.exp2(bits) * np.prod(1 - network.strength[absent], axis=0)
        return float(np.sum(np.log2(1 - base + scaled)) + np.sum(np.log2(1 - network.leak[absent])))

    @cached_property
    def way(self) -> Route:
        return route(self.network.strength[np.ix_(np.array(self.rows, dtype=int), self.columns)])

    @cached_property
    def sums(self) -> Sums:
        return Sums(
            self.network.strength[np.ix_(np.array(self.rows, dtype=int), self.columns)],
            self.network.leak[self.rows],
            self.way,
        )

    def batch(self, size: int) -> tuple[Floats, Floats, Floats]:
        """Copies of (priors, likelihoods when shown, when not), one row for each of the batch."""
        local = self.prior[self.columns]
        return np.tile(local, (size, 1)), np.tile(self.shows, (size, 1)), np.tile(self.hides, (size, 1))

    def joints(self, groups: Sequence[tuple[str, ...]], chance: Mapping[str, float]) -> list[Floats]:
        """Joint chances of each group; causes that no finding touches are independent of the rest."""
        inner = [tuple(c for c in group if c in self.column) for group in groups]
        wanted = sorted({group for group in inner if len(group) > 1})
        found = dict(zip(wanted, self._clamped(wanted), strict=True))
        return [
            _spread(
                group, core, found[core] if len(core) > 1 else independent([chance[c] for c in core]), chance
            )
            for group, core in zip(groups, inner, strict=True)
        ]

    def _clamped(self, groups: Sequence[tuple[str, ...]]) -> list[Floats]:
        """Each joint from one sum a state, with the group's causes held in that state."""
        clamps = [(group, state) for group in groups for state in np.ndindex(*(2,) * len(group))]
        weights = np.zeros(len(clamps))
        size = max(1, _ROOM >> self.way.width)
        for start in range(0, len(clamps), size):
            part = clamps[start : start + size]
            prior, shows, hides = self.batch(len(part))
            before = np.ones(len(part))
            for n, (group, state) in enumerate(part):
                for cause, value in zip(group, state, strict=True):
                    at = self.column[cause]
                    before[n] *= prior[n, at] if value else 1 - prior[n, at]
                    prior[n, at] = value
            weights[start : start + size] = before * self.sums.evidence(prior, shows, hides)
        result, at = [], 0
        for group in groups:
            states = 1 << len(group)
            block = weights[at : at + states]
            result.append((block / block.sum()).reshape((2,) * len(group)))
            at += states
        return result


def independent(chances: Sequence[float]) -> Floats:
    """The joint of causes that know nothing of each other."""
    joint: Floats = np.ones(())
    for chance in chances:
        joint = np.multiply.outer(joint, np.array([1 - chance, chance]))
    return joint


def _spread(
    group: tuple[str, ...], core: tuple[str, ...], joint: Floats, chance: Mapping[str, float]
) -> Floats:
    """The joint over the whole group from the joint over its core, axes in the group's order."""
    rest = [cause for cause in group if cause not in core]
    whole = np.multiply.outer(joint, independent([chance[c] for c in rest])) if rest else joint
    order = [*core, *rest]
    return np.transpose(whole, [order.index(cause) for cause in group])


def posterior_of(network: Network, findings: Findings, seed: int = 0) -> Posterior:
    """Every cause's chance. Exact while the faults hang together loosely enough, sampled beyond (says which).

    seed: of the sampler, used only beyond. Raises: KeyError for a fault that the network does not have.
    """
    problem = Problem(network, findings)
    chance = dict(zip(network.causes, map(float, problem.prior), strict=True))
    linked = tuple(network.causes[c] for c in problem.columns)
    drawn: Sample | None = None
    method, error, log2 = "exact", 0.0, None
    if not problem.rows:
        log2 = problem.constant
    elif problem.way.width <= WIDEST:
        total, local = problem.sums.marginals(*problem.batch(1))
        chance.update(zip(linked, map(float, local[0]), strict=True))
        log2 = float(np.log2(total[0])) + problem.constant
    else:
        drawn = sample(
            problem.sums.strength, problem.sums.leak, *(part[0] for part in problem.batch(1)), seed=seed
        )
        chance.update(zip(linked, map(float, drawn.chance), strict=True))
        method, error = "sampled", drawn.error
    touched = dict.fromkeys([*linked, *(c for c in findings.causes if findings.bits_of(c))])
    return Posterior(network, findings, chance, tuple(touched), method, error, log2, problem, drawn)


def chances_without(post: Posterior, left_out: Sequence[str]) -> Floats:
    """(len(left_out), linked columns): each cause's chance when one fault's finding is left out, the rest
    kept."""
    problem = post.problem
    prior, shows, hides = problem.batch(len(left_out))
    at = {problem.network.faults[r]: n for n, r in enumerate(problem.rows)}
    for n, fault in enumerate(left_out):
        if fault in at:
            shows[n, at[fault]] = hides[n, at[fault]] = 1.0
    size = max(1, _ROOM >> problem.way.width >> 4)
    parts = [
        problem.sums.marginals(prior[k : k + size], shows[k : k + size], hides[k : k + size])[1]
        for k in range(0, len(left_out), size)
    ]
    return np.concatenate(parts)
