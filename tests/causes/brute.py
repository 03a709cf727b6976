"""The answer by adding up every set of causes: slow, plain, and independent of the program's way."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence

import numpy as np

from knowledge.causes.network import Floats, Network


def tiny(base: Sequence[float], strength: Floats, leak: Sequence[float]) -> Network:
    """A network with made-up ids."""
    causes = tuple(f"cause.c{n}" for n in range(len(base)))
    faults = tuple(f"fault.f{n}" for n in range(len(leak)))
    return Network(
        causes,
        faults,
        np.array(base, dtype=float),
        np.array(strength, dtype=float),
        np.array(leak, dtype=float),
    )


def every_state(
    network: Network, pairs: Mapping[int, tuple[float, float]], factors: Floats | None = None
) -> tuple[Floats, Floats]:
    """(states (2^n, n), P(state, findings)); pairs: fault row to likelihoods (shows, does not)."""
    count = len(network.causes)
    states = np.array(list(itertools.product((0, 1), repeat=count)), dtype=float)
    weight = np.prod(np.where(states == 1, network.base, 1 - network.base), axis=1)
    if factors is not None:
        weight = weight * np.prod(np.where(states == 1, factors, 1.0), axis=1)
    for row, (shows, hides) in pairs.items():
        quiet = (1 - network.leak[row]) * np.prod(
            np.where(states == 1, 1 - network.strength[row], 1.0), axis=1
        )
        weight = weight * (shows * (1 - quiet) + hides * quiet)
    return states, weight


def quickscore(network: Network, present: Sequence[int], absent: Sequence[int]) -> tuple[float, Floats]:
    """(P(findings), posterior chances) by the identity of D. Heckerman (UAI 1989), in plain doubles."""
    total, with_cause = 0.0, np.zeros(len(network.causes))
    for size in range(len(present) + 1):
        for chosen in itertools.combinations(present, size):
            rows = [*chosen, *absent]
            left = np.prod(1 - network.strength[rows], axis=0)
            terms = network.base * left + (1 - network.base)
            part = (-1.0) ** size * np.prod(1 - network.leak[rows]) * np.prod(terms)
            total += part
            with_cause += part * network.base * left / terms
    return total, with_cause / total
