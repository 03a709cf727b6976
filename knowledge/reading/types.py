"""What reading a text gives. Spans are character offsets into the text as given, end exclusive."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Guess:
    """One fault a clause may speak of, with its probability."""

    fault: str
    probability: float


@dataclass(frozen=True, slots=True)
class Mention:
    """A fault spoken of in a text.

    polarity: present, absent, better or worse. count: how often, where the words say so. confidence: calibrated
    probability in [0, 1] that this fault is spoken of this way. guesses: the likeliest faults of the clause.
    """

    fault: str
    polarity: str
    count: int | None
    confidence: float
    start: int
    end: int
    words: str
    guesses: tuple[Guess, ...] = ()
    hedged: bool = False


@dataclass(frozen=True, slots=True)
class Score:
    """A result told: 7 of 10, a break of 31, a line-up 34. about: the drill's id when the words name it."""

    value: float
    of: float | None
    words: str
    start: int
    end: int
    about: str | None = None


@dataclass(frozen=True, slots=True)
class Measure:
    """A quantity with its unit (mm, cm, m, in, ft, deg, min, h, s, hands); about: the checkpoint's id when named."""

    value: float
    unit: str
    words: str
    start: int
    end: int
    about: str | None = None


@dataclass(frozen=True, slots=True)
class CautionHit:
    """Words that call for a stop and a referral."""

    id: str
    level: str
    words: str
    advice: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Reading:
    """Everything understood in one text, each list in the order of the text."""

    mentions: tuple[Mention, ...] = ()
    scores: tuple[Score, ...] = ()
    measures: tuple[Measure, ...] = ()
    cautions: tuple[CautionHit, ...] = ()
