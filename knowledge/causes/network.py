"""Causes → faults as a two-layer noisy-OR network, taken from the rule base.

Convention: the leak is a cause of its own. P(fault | causes) = 1 − (1 − leak) ∏ (1 − strength) over the
causes that are present (J. Pearl, 1988; "net" convention). The other convention in use, where a strength
includes the leak, gives other figures; tests/outside shows both beside a general library.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from knowledge.entries import STRENGTH
from knowledge.rulebase import RuleBase

Floats = NDArray[np.float64]

LEAK = 0.05
"""Chance that a fault shows with none of its causes present. Common practice, no source."""


@dataclass(frozen=True, eq=False)
class Network:
    """base: (causes,) prior chances. strength: (faults, causes) links, 0 where there is none. leak:
    (faults,)."""

    causes: tuple[str, ...]
    faults: tuple[str, ...]
    base: Floats
    strength: Floats
    leak: Floats

    @cached_property
    def cause_at(self) -> Mapping[str, int]:
        """Column of a cause."""
        return {id_: n for n, id_ in enumerate(self.causes)}

    @cached_property
    def fault_at(self) -> Mapping[str, int]:
        """Row of a fault."""
        return {id_: n for n, id_ in enumerate(self.faults)}

    def causes_of(self, fault: str) -> tuple[str, ...]:
        """The causes linked to a fault, the strongest first."""
        row = self.strength[self.fault_at[fault]]
        order = sorted(np.flatnonzero(row), key=lambda n: (-row[n], n))
        return tuple(self.causes[n] for n in order)

    def chance_of(self, fault: str, present: Sequence[str]) -> float:
        """P(fault shows | exactly these causes are present)."""
        row = self.fault_at[fault]
        columns = [self.cause_at[cause] for cause in present]
        return float(1 - (1 - self.leak[row]) * np.prod(1 - self.strength[row, columns]))


def network_of(
    rules: RuleBase,
    bases: Mapping[str, float] | None = None,
    strengths: Mapping[tuple[str, str], float] | None = None,
) -> Network:
    """The network of a rule base.

    bases: a cause's base rate where it differs from the shipped one. strengths: the same for (fault,
    cause) links.
    """
    causes, faults = tuple(rules.causes), tuple(rules.faults)
    at = {id_: n for n, id_ in enumerate(causes)}
    base = np.array([(bases or {}).get(id_, rules.causes[id_].base) for id_ in causes], dtype=float)
    strength = np.zeros((len(faults), len(causes)))
    for row, fault in enumerate(faults):
        for cause, word in rules.faults[fault].causes.items():
            strength[row, at[cause]] = (strengths or {}).get((fault, cause), STRENGTH[word])
    return Network(causes, faults, base, strength, np.full(len(faults), LEAK))
