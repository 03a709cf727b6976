"""How often: "five times" 5, "three or four" 3, "a couple" 2, "about a dozen" 12, "missed all three" 3."""

from __future__ import annotations

import re
from collections.abc import Iterator

from knowledge.reading.numbers import NUMBER, value_of

_TIMES = r"(?:times?|occasions?|goes|shots?|attempts?|visits?|frames)"
_RANGE = re.compile(
    rf"\b(?P<low>{NUMBER})\s*(?:or|to|-|–)\s*{NUMBER}\b(?:\s*{_TIMES}|(?=\s*$|\s*[.,;]|\s+of them|\s+on|\s+in|\s+when|\s+today|\s+tonight))"
)
_TIMES_AFTER = re.compile(rf"\b(?P<n>{NUMBER})\s*(?:x|×|times|time|occasions|goes)\b(?!\s+out\s+of)")
_X_BEFORE = re.compile(r"(?:\bx|×)\s?(?P<n>\d{1,3})\b")
_TAIL = re.compile(r"(?::|\s)\s*(?P<n>\d{1,3})\s*[.!]?$")
_FIXED = (
    (re.compile(r"\b(?:half a dozen|half-dozen|half dozen)\b"), 6),
    (re.compile(r"\b(?:a couple of dozen|two dozen)\b"), 24),
    (re.compile(r"\b(?:a|about a|one) (?:good )?dozen\b|\bdozen times\b"), 12),
    (
        re.compile(
            r"\b(?:a couple|couple of|coupla)\b(?! of (?:weeks|days|months|years|hours|minutes|inches|feet|frames|pints|reds|blacks|colours|lads|mates|people|breaks))"
        ),
        2,
    ),
    (re.compile(r"\bonce or twice\b"), 1),
    (re.compile(r"\btwice\b"), 2),
    (re.compile(r"\bthrice\b"), 3),
)
_ONCE = re.compile(
    r"\b(?<!for )(?<!at )(?<!not )(?<!never )(?<!even )(?<!all )once\b(?!\s+(?:i|i'm|it|he|she|we|you|they|the|my|again|more|a|per|every|in a while|upon|down|there))"
)
_VERB = r"(?:missed|miscued|miscue|lost|fouled|jawed|rattled|wobbled|overcut|undercut|over-cut|under-cut|hit|overran|overhit|underhit|snatched|jabbed|lifted|twitched|pushed|scratched|stuck|kissed|failed|botched|fluffed|shoved|left)"
_VERB_ALL = re.compile(rf"\b{_VERB}\s+(?:it\s+|them\s+)?(?:all|the)\s+(?P<n>{NUMBER})\b")
_VERB_N = re.compile(
    rf"\b{_VERB}\s+(?:about\s+|maybe\s+|another\s+|at least\s+|like\s+)?(?P<n>{NUMBER})\b(?!\s*(?:of the|out|from|/|in a row|-|%|inch|foot|feet|cm|mm|ft|min|hour|day|week|point|frame|o'clock|pound|quid|year))"
)
_NOUNS = r"(?:miscues?|misqueues?|miss(?:es)?|kicks|kisses|in-?offs|in offs|pushes|push (?:shots|strokes)|double hits|fouls|scratches|cannons|jabs|snatches|wobbles|slips|sitters|easy ones|twitches|skids|overhits|whites|rest (?:pots|shots)|pots)"
_NOUN = re.compile(rf"\b(?P<n>{NUMBER})\s+(?:\w+\s+){{0,2}}?{_NOUNS}\b")
_N_OF_THEM = re.compile(rf"\b(?P<n>{NUMBER})\s+of\s+(?:them|these|those|the misses|my misses)\b")


def count_in(words: str) -> int | None:
    """The count told in one clause, or None. "Every other shot" is none."""
    return next((found for found in _counts(words.lower()) if found is not None), None)


def _counts(lower: str) -> Iterator[int | None]:
    """Every way of telling a count that the words show, the surest first."""
    for pattern, group in ((_RANGE, "low"), (_TIMES_AFTER, "n"), (_X_BEFORE, "n")):
        if match := pattern.search(lower):
            yield _whole(match[group])
    yield from (value for pattern, value in _FIXED if pattern.search(lower))
    for pattern in (_VERB_ALL, _NOUN, _N_OF_THEM, _VERB_N):
        if match := pattern.search(lower):
            yield _whole(match["n"])
    if _ONCE.search(lower):
        yield 1
    if (match := _TAIL.search(lower)) and ":" in lower:
        yield _whole(match["n"])


def _whole(text: str) -> int | None:
    value = value_of(text)
    return int(value) if value is not None and value % 1 == 0 and 0 < value <= 500 else None
