"""What kind of answer a query asks for: cues in its wording that speak for or against kinds of entries."""

from __future__ import annotations

import re

_CUES: tuple[tuple[str, str], ...] = (
    ("meaning", r"^(?:what(?:'s| is| are|s)|define|explain) (?:an? |the |meant )?(?:[^ ]+ ?){1,3}\??$"),
    (
        "means",
        r"\b(?:mean|means|meaning|meant|define|definition|explain|called|word for|term|difference between)\b",
    ),
    (
        "rule",
        r"\b(?:foul|rules?|ruling|allowed|legal|illegal|fair|penalt(?:y|ies)|points?|ref|referee|umpire)\b",
    ),
    (
        "permission",
        r"^(?:is it|is there|can (?:i|you|we|he|she|they|the)|may|must|do i have|am i allowed|do i lose|"
        r"do you get|when (?:do|can|is)|where (?:can|do|does)|what happens|what if|which fouls|"
        r"how many points|does it)\b",
    ),
    (
        "match",
        r"\b(?:opponent|in hand|re-?rack|concede|nominate|free ball|snookers? required|left the table)\b",
    ),
    ("either", r"\b(?:or|versus|vs|rather than|instead of)\b"),
    (
        "should",
        r"\b(?:should|better to|is it better|better than|which is better|or better|good idea|is it right|"
        r"do you|do pros|advice|disagree|everybody|tells? me|says?|yes or no|or not)\b",
    ),
    (
        "drill",
        r"\b(?:drills?|exercises?|training|train|routine (?:for|to)|practi[cs]e (?:for|routine|game|with)|"
        r"(?:to|how (?:do|can|should) (?:i|we)) practi[cs]e|games? (?:for|to)|warm ?up|work on|"
        r"something (?:for|to)|getting used to)\b",
    ),
    ("practise", r"\b(?:practi[cs]e|practi[cs]ing|ladder)\b"),
    (
        "check",
        r"\b(?:tests?|testing|check|checking|film|filming|video|find out|which eye|whether|"
        r"how (?:do|can|would|could) (?:i|we|you) (?:know|tell|check|test|find|see))\b",
    ),
    (
        "measure",
        r"\b(?:measure|measuring|distance|how (?:far|wide|high|low|long|many|much|hard|steep|big)|"
        r"(?:what|ideal|correct|right|proper) (?:height|width|distance|angle|length|number|gap|speed))\b",
    ),
    ("state", r"^(?:is|are|do|does|am) (?:my|the|i|it my)\b"),
    ("why", r"\bwhy\b|\b(?:causes?|reason)\b"),
    ("self", r"\b(?:i|i'm|i've|my|me|we|his|her|he|she|pupil|player|lad|student)\b"),
    (
        "trouble",
        r"\b(?:keeps?|always|never|can't|cannot|won't|every time|all the time|too|miss(?:es|ing|ed)?|no|not|"
        r"nowhere|hopeless|useless|struggl\w+|trouble|problem|bad|poor|wrong|lose|losing|loosing|\w+n't)\b",
    ),
)
CUES = (*(name for name, _ in _CUES), "one", "two", "long", "question")
_PATTERNS = tuple(re.compile(pattern) for _, pattern in _CUES)


def cues(text: str, words: int) -> tuple[float, ...]:
    """1.0 for each cue that the text shows, in the order of ``CUES``; words: its content words."""
    shown = [float(bool(pattern.search(text))) for pattern in _PATTERNS]
    size = [float(words == 1), float(words == 2), float(words >= 5)]
    return (*shown, *size, float("?" in text))
