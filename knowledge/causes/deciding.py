"""Deciding words: "only in matches", "only late", "since the new tip" and their like.

Such words raise the causes that the circumstance points at and lower the others of the same fault. Which
causes, and by how much, is common practice, no source. Each word counts once, however often it is said.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from knowledge.rulebase import RuleBase

RAISED_BITS = 1.585
"""log2 3: the odds of a cause that the word points at, times three."""
LOWERED_BITS = -0.737
"""log2 0.6: the odds of every other cause of the fault."""

_ONLY = r"(?:only|just|mostly|purely|nowhere but|never except)\b"


@dataclass(frozen=True, slots=True)
class DecidingWord:
    """pattern: a regular expression on the words in lower case. causes: what it can raise.

    always: those of them that it raises whether or not they are linked to the fault it was said of.
    """

    id: str
    says: str
    pattern: str
    causes: tuple[str, ...]
    always: tuple[str, ...] = ()


def _either_way(place: str) -> str:
    """ "only in matches" and "in matches only"."""
    return rf"{_ONLY}(?:\W+\w+){{0,4}}?\W+{place}|{place}(?:\W+\w+){{0,1}}\W+only\b"


_MATCH = r"(?:a |the |my |league )?(?:match(?:es)?|league|competition|tournaments?|frames? that count)\b"
_LATE = r"(?:late|(?:towards|near|at) the end|when (?:i am|i'm|he is|she is)? ?tired|after an hour)\b"
_ROOM = r"(?:that|this|one|the (?:far|old|new|other|back|match))(?:\W+\w+)?\W+table\b"
_REST = r"the\W+(?:rest|spider|half.?butt|extended rest)\b"
_POWER = (
    r"(?:(?:with|on|at|under)\W+(?:full |a lot of |real )?(?:power|pace|force)|on (?:hard|power|firm) shots"
    r"|when (?:i|he|she) hits? (?:it )?hard)\b"
)
_NEW_TIP = (
    r"since\W+(?:\w+\W+){0,4}?(?:new\W+)?(?:re.?)?tip(?:ped)?\b|(?:with|after)\W+(?:the|my|a)\W+new\W+tip\b"
)

WORDS = (
    DecidingWord(
        "matches",
        "only in matches",
        _either_way(r"(?:in|during|at|when it is)\W+" + _MATCH),
        ("cause.arousal_high", "cause.result_thinking", "cause.practice_unlike_match"),
        ("cause.arousal_high", "cause.result_thinking"),
    ),
    DecidingWord(
        "late",
        "only late in the session",
        _either_way(_LATE),
        ("cause.fatigue", "cause.attention_drift"),
        ("cause.fatigue",),
    ),
    DecidingWord(
        "table",
        "only on that table",
        _either_way(r"(?:on|at)\W+" + _ROOM) + r"|fine on (?:the )?other tables",
        ("cause.table_roll_off", "cause.table_speed_new", "cause.balls_dirty", "cause.clothes_light_room"),
    ),
    DecidingWord(
        "rest",
        "only with the rest",
        _either_way(r"(?:with|using|on|off)\W+" + _REST),
        ("cause.rest_setup_poor", "cause.rest_arm_action"),
    ),
    DecidingWord(
        "power",
        "only with power",
        _either_way(_POWER),
        ("cause.power_over_limit", "cause.body_joins"),
        ("cause.power_over_limit",),
    ),
    DecidingWord(
        "tip",
        "since the new tip",
        _NEW_TIP,
        ("cause.tip_worn", "cause.tip_outside_limit", "cause.chalk_neglect"),
    ),
)
_COMPILED = [(word, re.compile(word.pattern)) for word in WORDS]


def deciding_words(text: str) -> tuple[DecidingWord, ...]:
    """The deciding words in a text."""
    lower = text.lower().replace("’", "'")
    return tuple(word for word, pattern in _COMPILED if pattern.search(lower))


def deciding_factors(
    rules: RuleBase, seen: Sequence[tuple[str, int, str]], today: int, fading: Callable[[float], float]
) -> dict[str, dict[str, float]]:
    """Cause to {word: bits} for (fault, day, words) that were seen; the freshest mention of a word sets
    its weight."""
    said: dict[str, list[tuple[str, int]]] = {}
    for fault, day, words in seen:
        for word in deciding_words(words):
            said.setdefault(word.id, []).append((fault, day))
    found: dict[str, dict[str, float]] = {}
    for word in WORDS:
        if word.id not in said:
            continue
        linked = {cause for fault, _ in said[word.id] for cause in rules.faults[fault].causes}
        named = [cause for cause in word.causes if cause in rules.causes]
        # A cause of these very faults is meant before one that the word fits only in general.
        raised = [cause for cause in named if cause in linked or cause in word.always] or named
        weight = max(fading(today - day) for _, day in said[word.id])
        for cause in raised:
            found.setdefault(cause, {})[f"words.{word.id}"] = RAISED_BITS * weight
        for cause in sorted(linked - set(word.causes)):
            found.setdefault(cause, {})[f"words.{word.id}"] = LOWERED_BITS * weight
    return found
