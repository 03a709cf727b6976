"""How long a posterior with its next check takes: python -m tests.bench.causes_speed."""

from __future__ import annotations

import time

import numpy as np

from knowledge.causes.findings import sure
from knowledge.causes.network import network_of
from knowledge.causes.next_check import best_check
from knowledge.causes.posterior import posterior_of
from knowledge.rulebase import RuleBase, load_rules


def timings(rules: RuleBase, present: int, rounds: int, seed: int = 3) -> list[float]:
    """Milliseconds of each round, a fresh set of faults each."""
    network, random = network_of(rules), np.random.default_rng(seed)
    found = []
    for _ in range(rounds):
        faults = random.choice(network.faults, present, replace=False)
        start = time.perf_counter()
        best_check(rules, posterior_of(network, sure(faults)))
        found.append((time.perf_counter() - start) * 1e3)
    return found


def main() -> None:
    """Print median and p95 for several numbers of faults."""
    rules = load_rules()
    for present, rounds in ((5, 100), (10, 100), (15, 200), (18, 100), (25, 20)):
        times = timings(rules, present, rounds)
        print(f"{present} faults: median {np.median(times):.1f} ms, p95 {np.percentile(times, 95):.1f} ms")


if __name__ == "__main__":
    main()
