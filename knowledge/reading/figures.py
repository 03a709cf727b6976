"""Scores told in a text: "7 out of 10", "line-up 34", "a break of thirty one".

Those with a total are told by their words; which of the other numbers are scores ("got 34 and stuck there", but not
"two frames" or "table six") is for the recogniser.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from knowledge.reading.measures import measures_in
from knowledge.reading.numbers import NUMBER, Number, lowered, value_of
from knowledge.reading.types import Score

_OF = r"(?:(?:in\s+)?out\s+of(?:\s+(?:the|my|a possible))?|outta(?:\s+the)?|times\s+out\s+of|of\s+(?:the|my|those)|of|from(?:\s+the)?|/|for|in|-|–|ouf of)"
_PAIR = re.compile(
    rf"(?<![\w/.,:-])(?:(?:made|got|potted|managed|hit|took|scored|only)\s+)?(?P<hits>{NUMBER})(?P<tight>\s*)(?P<of>{_OF})\s*(?P<total>{NUMBER})(?![\w/:]|[.,]\d|\s?%)"
)
_MISSED = re.compile(r"\b(?:miss(?:ed|ing)?|lost|failed|fluffed|botched)\s+(?:about\s+|maybe\s+|only\s+)?$")
"""Before a share: so many were missed, the rest made."""
_LONE = re.compile(rf"(?<![\w.,/£$€:])(?P<n>{NUMBER})s?(?![\w:/%]|[.,]\d|\s?%)")
_NAMED_BEFORE = re.compile(
    r"\b(?:line[\s-]?ups?|ladder|rung|level|stage|station|highest|best(?! of)|top|high run|breaks?|series|record|ran)\b"
    r"[^.;!?\d]{0,14}$"
)
_NAMED_AFTER = re.compile(
    r"\s*(?:in a row|(?:on|of) (?:the|my) (?:\w+ )?(?:line[\s-]?up|ladder)|break\b|was (?:my|the) best)"
)
MOST = 600
"""No score without a total is higher."""


def pairs_in(text: str, taken: list[tuple[int, int]]) -> list[Score]:
    """Every score with its total; ``taken`` are spans that are measures already and is added to."""
    lower = lowered(text)
    found = list[Score]()
    for match in _PAIR.finditer(lower):
        hits, total = value_of(match["hits"]), value_of(match["total"])
        start, end = match.start("hits"), match.end("total")
        if hits is None or total is None or not _is_share(match, hits, total) or _overlaps(start, end, taken):
            continue
        taken.append((start, end))
        made = total - hits if _MISSED.search(lower, max(0, start - 20), start) else hits
        found.append(Score(made, total, text[start:end], start, end))
    return found


def _is_share(match: re.Match[str], hits: float, total: float) -> bool:
    """Whether two numbers may tell so many out of so many: "2-1" and "one of two" may not."""
    if not 2 <= total <= 400 or hits > total or hits % 1 or total % 1:
        return False
    of = match["of"]
    if of in ("-", "–") and (total < 5 or not match["tight"]):
        return False
    if (of in ("in", "for") and total < 5) or (of == "from" and total < 3):
        return False
    return not (of == "of" and hits == 1 and total < 5 and not match["hits"].isdigit())


def lone_numbers(text: str, taken: list[tuple[int, int]] | None = None) -> Iterator[Number]:
    """Whole numbers up to MOST that belong to no measure and have no total, in order.

    taken: spans of the measures and scores with a total; found anew when not given.
    """
    if taken is None:
        taken = []
        measures_in(text, taken)
        pairs_in(text, taken)
    for match in _LONE.finditer(lowered(text)):
        value = value_of(match["n"])
        if value is not None and value % 1 == 0 and 0 < value <= MOST and not _overlaps(*match.span(), taken):
            yield Number(value, *match.span())


def is_named(lower: str, number: Number) -> bool:
    """Whether the words beside a number of a text in lower case name it a score: "line-up 11", "five on the ladder"."""
    return bool(_NAMED_BEFORE.search(lower, max(0, number.start - 30), number.start)) or bool(
        _NAMED_AFTER.match(lower, number.end)
    )


def _overlaps(start: int, end: int, taken: list[tuple[int, int]]) -> bool:
    return any(start < e and s < end for s, e in taken)
