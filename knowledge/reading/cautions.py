"""Words that call for a stop and a referral: pain, numbness, dizziness, lasting despair."""

from __future__ import annotations

import re
from collections.abc import Iterable

from knowledge.entries import Caution
from knowledge.reading.types import CautionHit

URGENCY = ("emergency", "doctor", "mind", "physiotherapist", "watch")


class CautionReader:
    """The rule base's cautions, compiled. One hit a caution: its first place."""

    def __init__(self, cautions: Iterable[Caution]) -> None:
        self._rules = [
            (each, [re.compile(pattern, re.IGNORECASE) for pattern in each.patterns]) for each in cautions
        ]

    def read(self, text: str) -> tuple[CautionHit, ...]:
        """The cautions that a text calls for, the most urgent first."""
        hits = []
        for caution, patterns in self._rules:
            found = [match for pattern in patterns if (match := pattern.search(text))]
            if found:
                match = min(found, key=lambda each: each.start())
                hits.append(
                    CautionHit(
                        caution.id, caution.level, match[0], caution.advice, match.start(), match.end()
                    )
                )
        return tuple(sorted(hits, key=lambda hit: (URGENCY.index(hit.level), hit.start)))
