"""What is known, as likelihoods: pairs for faults, factors for causes.

A finding on a fault is soft evidence (J. Pearl's virtual evidence): how likely all reports are when the
fault shows, and when it does not. Only the ratio counts. A factor on a cause multiplies its odds (check
outcomes, deciding words).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

SURE = math.inf
"""Weight in bits of a report that leaves no doubt."""


@dataclass(frozen=True, slots=True)
class Findings:
    """faults: fault id to bits that it shows (log2 likelihood ratio; inf: it does, -inf: it does not; 0:
    unknown).

    causes: cause id to {reason: bits}, added up; the reason is a check's id or a deciding word.
    reports: how many times something was seen, one a fault and day, and answered checks; None when not
    counted.
    """

    faults: Mapping[str, float] = field(default_factory=dict)
    causes: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    reports: int | None = None

    def bits_of(self, cause: str) -> float:
        """All factors on a cause together, in bits."""
        return sum(self.causes.get(cause, {}).values())

    def without_reason(self, reason: str) -> Findings:
        """The same without a check's or a word's factors."""
        kept = {c: {r: b for r, b in factors.items() if r != reason} for c, factors in self.causes.items()}
        return replace(self, causes=kept)

    @property
    def reasons(self) -> tuple[str, ...]:
        """Every check and deciding word that moves a cause."""
        return tuple(dict.fromkeys(r for factors in self.causes.values() for r in factors))

    @property
    def present(self) -> tuple[str, ...]:
        """The faults that speak for being there."""
        return tuple(fault for fault, bits in self.faults.items() if bits > 0)


def sure(faults: Iterable[str]) -> Findings:
    """A bare list of faults that are there; everything else is unknown."""
    named = dict.fromkeys(faults, SURE)
    return Findings(named, reports=len(named))


def pair(bits: float) -> tuple[float, float]:
    """(likelihood when it shows, when it does not), the larger one 1."""
    return (1.0, 2.0**-bits) if bits >= 0 else (2.0**bits, 1.0)


def factor(bits: float) -> float:
    """Bits as a factor on the odds."""
    return float(2.0**bits)
