"""Sampled chances for more findings than can be summed exactly, with the standard error that the chains show.

Gibbs sampling (S. Geman and D. Geman, 1984) in many independent chains; each cause's chance given all
others is averaged instead of its draws (Rao-Blackwell). Chains share nothing, so their spread gives an
honest standard error.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from knowledge.causes.network import Floats


@dataclass(frozen=True)
class Sample:
    """chance: (causes,). error: three standard errors of the worst. states: (draws, causes) of 0 and 1."""

    chance: Floats
    error: float
    states: NDArray[np.int8]

    def joint(self, columns: Sequence[int], size: int) -> Floats:
        """The joint chances of some causes; shape (2,) * size."""
        index = np.zeros(len(self.states), dtype=int)
        for column in columns:
            index = 2 * index + self.states[:, column]
        counts = np.bincount(index, minlength=1 << size).astype(float)
        shares: Floats = (counts / counts.sum()).reshape((2,) * size)
        return shares


def sample(
    strength: Floats, leak: Floats, prior: Floats, shows: Floats, hides: Floats, *, seed: int = 0,
    chains: int = 256, sweeps: int = 100, burn: int = 25,
) -> Sample:  # fmt: skip
    """Chances of the causes given the findings; arrays as for elimination.Sums, without the batch axis."""
    random = np.random.default_rng(seed)
    causes = strength.shape[1]
    state = (random.random((chains, causes)) < prior).astype(np.int8)
    with np.errstate(divide="ignore"):
        log_rest = np.log1p(-strength)
    quiet = np.log1p(-leak) + state @ log_rest.T
    children = [np.flatnonzero(strength[:, c]) for c in range(causes)]
    kept = np.zeros((chains, causes))
    drawn = []
    for sweep in range(sweeps):
        for c in range(causes):
            rows = children[c]
            base = quiet[:, rows] - state[:, c, None] * log_rest[rows, c]
            off, on = np.exp(base), np.exp(base + log_rest[rows, c])
            fits_off = np.prod(shows[rows] - (shows[rows] - hides[rows]) * off, axis=1)
            fits_on = np.prod(shows[rows] - (shows[rows] - hides[rows]) * on, axis=1)
            there = prior[c] * fits_on
            chance = there / (there + (1 - prior[c]) * fits_off)
            state[:, c] = random.random(chains) < chance
            quiet[:, rows] = base + state[:, c, None] * log_rest[rows, c]
            if sweep >= burn:
                kept[:, c] += chance
        if sweep >= burn and sweep % 4 == 0:
            drawn.append(state.copy())
    means = kept / (sweeps - burn)
    error = 3 * means.std(axis=0, ddof=1).max() / np.sqrt(chains)
    return Sample(means.mean(axis=0), float(error), np.concatenate(drawn))
