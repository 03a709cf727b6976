"""Numbers in text: digits and English number words, with their place."""

from __future__ import annotations

import re
from dataclasses import dataclass

UNITS = {
    word: value
    for value, word in enumerate(
        [
            "zero",
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ]
    )
} | {"nought": 0, "nil": 0, "none": 0, "thrice": 3}
TENS = {
    word: 10 * n
    for n, word in enumerate(
        ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], 2
    )
} | {"fourty": 40}
_ONES = "|".join(
    word for word in UNITS if UNITS[word] < 10 and word not in ("zero", "nought", "nil", "none", "thrice")
)
_SMALL = "|".join(sorted((word for word in UNITS if word not in ("none", "thrice")), key=len, reverse=True))
_TENS = "|".join(TENS)
WORD_NUMBER = rf"(?:(?:a|one|two|three)[ -]hundred(?:[ -]and[ -](?:(?:{_TENS})(?:[ -](?:{_ONES}))?|{_SMALL}))?|(?:{_TENS})(?:[ -](?:{_ONES}))?|{_SMALL})"
NUMBER = rf"(?:\d{{1,6}}(?:[.,]\d{{1,3}})?|{WORD_NUMBER})"
"""A regular expression for one number, lower case."""


@dataclass(frozen=True, slots=True)
class Number:
    """A number and its span."""

    value: float
    start: int
    end: int


def lowered(text: str) -> str:
    """The text in lower case, every character still at its place."""
    lower = text.lower()
    return (
        lower if len(lower) == len(text) else "".join(c.lower() if len(c.lower()) == 1 else c for c in text)
    )


def value_of(text: str) -> float | None:
    """The value of one number as NUMBER matches it, or None."""
    text = text.lower().strip()
    if re.fullmatch(r"\d+(?:[.,]\d+)?", text):
        return float(text.replace(",", "."))
    total, current, seen = 0, 0, False
    for word in re.split(r"[ -]+", text):
        if word == "and":
            continue
        if word == "hundred":
            total, current, seen = (current or 1) * 100, 0, True
        elif word == "a":
            current = 1
        elif word in TENS:
            current, seen = current + TENS[word], True
        elif word in UNITS:
            current, seen = current + UNITS[word], True
        else:
            return None
    return float(total + current) if seen else None
