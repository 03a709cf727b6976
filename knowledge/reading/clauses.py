"""A text cut into clauses, and what the recogniser makes of each: topic, status and count."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from knowledge.reading.corpus import NONE, STATUSES
from knowledge.reading.numbers import Number
from knowledge.reading.quantities import quantities_in, words_in
from knowledge.reading.recogniser import Judged, Recogniser

SHOWN = [number for number, status in enumerate(STATUSES) if status != "void"]
POSSIBLE = 0.02
"""A word may begin a clause when the probability of it reaches this."""
CLARITY, READINESS = 3.0, 1.5
"""What the log probability of a clause's likeliest topic weighs beside those of its cuts; the readiness to cut."""
STRANGERS = 0.8
"""What it weighs that a piece of a clause, taken alone, speaks of something else than the clause."""
SAID_TIMES = 0.4
"""How much likelier "times" after a number makes it a count; common practice, no source."""
_TIMES = re.compile(r"\s*(?:times|occasions|x|×)\b", re.IGNORECASE)
MOST_PIECES = 10
"""Of so many possible pieces a clause is made at most."""
COUNTS = 0.5
"""A number is a count when the probability that it tells how often reaches this."""


@dataclass(frozen=True, slots=True)
class Clause:
    """Words that speak of one matter.

    topic: probabilities of the recogniser's topics (77); status: of present, absent, better, worse, void (5).
    """

    start: int
    end: int
    topic: NDArray[np.float32]
    status: NDArray[np.float32]
    count: int | None

    def best(self, topics: Sequence[str]) -> tuple[str, str, float]:
        """The likeliest topic, how it is told when it is no plan or the like, and the probability of both."""
        topic = int(self.topic.argmax())
        status = max(SHOWN, key=lambda number: float(self.status[number]))
        if topics[topic] == NONE:
            return NONE, STATUSES[status], 0.0
        return topics[topic], STATUSES[status], float(self.topic[topic] * self.status[status])


def clauses_in(text: str, recogniser: Recogniser, judged: Judged | None = None) -> list[Clause]:
    """The clauses of a text in order; none where it has no word. judged: the text as the recogniser has read it.

    Of all ways to cut it the one is taken whose cuts are likeliest and whose clauses speak most clearly of one topic
    (a semi-Markov chain, solved by dynamic programming).
    """
    judged = judged or recogniser.read(text)
    pieces = _pieces(text, judged)
    if pieces is None:
        return []
    spans = pieces.spans(text)
    topics, statuses = judged.judge([span for _, _, span in spans])
    ends = [(first, after) for first, after, _ in spans]
    clarity = CLARITY * np.log(topics.max(1)) + STRANGERS * _strangers(text, spans, topics, recogniser)
    chosen = _best_way(pieces, ends, clarity)
    kept = [spans[row][2] for row in chosen]
    counts = _counts(text, judged, kept)
    return [
        Clause(*span, topics[row], statuses[row], counts.get(number))
        for number, (row, span) in enumerate(zip(chosen, kept, strict=True))
    ]


@dataclass(frozen=True)
class _Pieces:
    """Where clauses may begin. places: characters, with the text's end last; cut, whole: log weights of a cut or
    none at each."""

    places: list[int]
    cut: NDArray[np.float64]
    whole: NDArray[np.float64]

    def spans(self, text: str) -> list[tuple[int, int, tuple[int, int]]]:
        """Every clause that may be: its first place, the place after it, its characters."""
        found = []
        for first, start in enumerate(self.places[:-1]):
            for after in range(first + 1, min(first + MOST_PIECES, len(self.places) - 1) + 1):
                end = start + len(text[start : self.places[after]].rstrip())
                found.append((first, after, (start, end)))
        return found


def _pieces(text: str, judged: Judged) -> _Pieces | None:
    words = words_in(text)
    if not words:
        return None
    chances = judged.starts(words).astype(float)
    chances[0] = 1.0
    for number, ((_, end), (start, _)) in enumerate(pairwise(words), 1):
        if "\n" in text[end:start]:  # a new line, or the next field of a note
            chances[number] = 1.0
    kept = np.flatnonzero(chances >= POSSIBLE)
    likely = np.clip(chances[kept], 1e-4, 1 - 1e-4)
    places = [*(words[number][0] for number in kept), len(text)]
    return _Pieces(places, np.log(likely) + READINESS, np.log(1 - likely))


def _strangers(
    text: str,
    spans: Sequence[tuple[int, int, tuple[int, int]]],
    topics: NDArray[np.float32],
    recogniser: Recogniser,
) -> NDArray[np.float64]:
    """For each possible clause the log share of its strangest piece that fits its topic, or none; 0 for one piece."""
    none = recogniser.topics.index(NONE)
    alone = {
        first: topics[row]
        for row, (first, after, span) in enumerate(spans)
        if after == first + 1 and " " in text[slice(*span)]
    }
    best = topics.argmax(1)
    worth = np.zeros(len(spans))
    for row, (first, after, _) in enumerate(spans):
        if after > first + 1:
            topic = best[row]
            shares = [
                float(alone[n][topic] + (alone[n][none] if topic != none else 0.0))
                for n in range(first, after)
                if n in alone
            ]
            worth[row] = np.log(min(1.0, min(shares, default=1.0) + 0.1))
    return worth


def _best_way(pieces: _Pieces, ends: Sequence[tuple[int, int]], clarity: NDArray[np.float32]) -> list[int]:
    """The rows of the clauses that together cover the text best, in order."""
    whole = np.concatenate([[0.0], np.cumsum(pieces.whole)])
    best: list[tuple[float, int]] = [(0.0, -1)] + [(-np.inf, -1)] * (len(pieces.places) - 1)
    for row, (first, after) in enumerate(ends):
        cut = pieces.cut[first] if first else 0.0
        worth = best[first][0] + cut + whole[after] - whole[first + 1] + clarity[row]
        if worth > best[after][0]:
            best[after] = (float(worth), row)
    chosen, at = list[int](), len(pieces.places) - 1
    while at > 0:
        chosen.append(best[at][1])
        at = ends[chosen[-1]][0]
    return chosen[::-1]


def _says_times(text: str, number: Number) -> bool:
    return text[number.start : number.end].lower() in ("twice", "thrice") or bool(
        _TIMES.match(text, number.end)
    )


def _counts(text: str, judged: Judged, spans: Sequence[tuple[int, int]]) -> dict[int, int]:
    """The count that each clause tells, by the clause's number: of several numbers the likeliest."""
    numbers = list(quantities_in(text))
    if not numbers:
        return {}
    told = judged.counts([(number.start, number.end) for number in numbers])
    starts = [start for start, _ in spans]
    found: dict[int, tuple[float, int]] = {}
    for number, chance in zip(numbers, told, strict=True):
        clause = bisect_right(starts, number.start) - 1
        likely = float(chance) + (SAID_TIMES if _says_times(text, number) else 0.0)
        if likely >= COUNTS and clause >= 0:
            found[clause] = max(found.get(clause, (0.0, 0)), (likely, int(number.value)))
    return {clause: value for clause, (_, value) in found.items()}
