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
    "grip.tight": r"\b(?:grip\w*|hold\w*|held)\b[^.;]{0,20}\btight|\btight grip|\bwhite knuckles|\bsqueez\w+ the (?:cue|butt)",
    "grip.loose": r"\bgrip\w*\b[^.;]{0,16}\bloose|\bloose grip",
    "delivery.snatch": r"\bsnatch\w*|\bjabb\w+|\bstabb\w+",
    "delivery.across": r"\bcue(?:d|ing|s)? across|\bacross the (?:ball|white)|\bswip\w+ across",
    "delivery.backswing_long": r"\bback ?swing\b[^.;]{0,20}\btoo long",
    "delivery.backswing_short": r"\bback ?swing\b[^.;]{0,20}\btoo short",
    "delivery.no_pause": r"\bno pause\b|\bwithout (?:a |any )?paus\w+",
    "delivery.rushed": r"\brush(?:ed|ing)\b|\bplay\w* too (?:fast|quick)",
    "stance.narrow": r"\bfeet\b[^.;]{0,16}\bclose together",
    "stance.too_wide": r"\bfeet\b[^.;]{0,16}\btoo (?:far apart|wide)",
    "bridge.too_long": r"\bbridge\b[^.;]{0,16}\btoo (?:long|far)",
    "bridge.too_short": r"\bbridge\b[^.;]{0,16}\btoo (?:short|close|near)",
    "position.screw_fails": r"\b(?:can'?t|cannot|couldn'?t|won'?t|didn'?t)\b[^.;]{0,20}\bscrew",
    "pot.thick": r"\b(?:miss\w*|hit\w*|pot\w*)\b[^.;]{0,16}\bthick\b",
    "pot.thin": r"\b(?:miss\w*|hit\w*|pot\w*)\b[^.;]{0,16}\bthin\b",
    "pot.long": r"\bmiss\w*\b[^.;]{0,16}\blong (?:pots?|ones|reds|blues)\b",
    "stance.cramped": r"\bcramped\b|\bhunched\b",
}
"""Patterns that make a fault likelier wherever they fit. Common practice, no source."""

EXPLICIT = 8.0
"""How much likelier an explicit phrase makes its fault."""

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
                weight[column] = EXPLICIT
        if _LONE_MISCUE.search(words) and not _RAIL.search(words):
            weight[self._miscue] = EXPLICIT
        if (weight == 1.0).all():
            return topic
        sharpened = topic * weight
        return np.asarray(sharpened / sharpened.sum(), np.float32)
