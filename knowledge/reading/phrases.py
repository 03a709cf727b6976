"""Explicit words of the trade that settle a topic: the fault's own names and the terms no other fault uses."""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

from knowledge.rulebase import RuleBase

_SURE: dict[str, str] = {
    "contact.cushion_miscue": r"mis-?(?:cue|queue|q)\w*\b.*\b(?:rail|cushion|tight on|against the (?:rail|cushion))|\b(?:rail|cushion)\b.*\bmis-?(?:cue|queue|q)",
    "contact.push_stroke": r"\bpush(?:ed)? (?:shot|stroke)|\bdouble hit",
    "position.in_off": r"\bin[- ]?offs?\b|\bwent in off\b|\bscratched\b",
    "mind.practice_gap": r"\bpractice\b.*\bmatch|\bmatch.*\bpractice",
    "position.wrong_side": r"\bwrong side\b",
    "tactics.break_off": r"\bbreak[- ]?offs?\b",
    "head.lifts": r"\b(?:lift\w*|rais\w*|jerk\w*|head (?:is |was |keeps |kept )?(?:com\w*|going|up)|jump\w*)\b.*\bhead\b|\bhead\b.*\b(?:lift\w*|comes up|came up|coming up|popp\w*|up)\b",
    "delivery.cue_wavers": r"\bcue\b[^.;]{0,24}\b(?:straight|waver\w*|wobbl\w*|wander\w*)\b",
    "stance.cramped": r"\bcramped\b|\bhunched\b",
}
"""Patterns that make a fault likelier wherever they fit. Common practice, no source."""

_LONE_MISCUE = re.compile(r"\bmis-?(?:cue|queue)\w*\b", re.IGNORECASE)
_RAIL = re.compile(r"\b(?:rail|cushion|tight|frozen|bank)\b", re.IGNORECASE)


class Phrases:
    """Sharpens the classifier's topic where explicit words say it."""

    def __init__(self, rules: RuleBase, topics: list[str]) -> None:
        self._patterns = [
            (topics.index(fault), re.compile(pattern, re.IGNORECASE))
            for fault, pattern in _SURE.items()
            if fault in topics and fault in rules.faults
        ]
        self._miscue = topics.index("contact.miscue")

    def sharpen(self, words: str, topic: NDArray[np.float32]) -> NDArray[np.float32]:
        """The topic's probabilities with the explicit words counted in; sums to 1."""
        weight = np.ones_like(topic)
        for column, pattern in self._patterns:
            if pattern.search(words):
                weight[column] = 4.0
        if _LONE_MISCUE.search(words) and not _RAIL.search(words):
            weight[self._miscue] = 4.0
        if (weight == 1.0).all():
            return topic
        sharpened = topic * weight
        return np.asarray(sharpened / sharpened.sum(), np.float32)
