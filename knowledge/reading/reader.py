"""Text to Reading: clauses, their topic, status and count, figures and cautions."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from knowledge.reading.cautions import CautionReader
from knowledge.reading.clauses import Clause, clauses_in
from knowledge.reading.corpus import NONE
from knowledge.reading.encoder import base_encoder
from knowledge.reading.evidence import evidence, shipped_sureness
from knowledge.reading.figures import is_named, lone_numbers, pairs_in
from knowledge.reading.measures import measures_in
from knowledge.reading.numbers import lowered
from knowledge.reading.recogniser import Judged, Recogniser, shipped_recogniser
from knowledge.reading.subjects import attach_measures, attach_scores
from knowledge.reading.types import Guess, Measure, Mention, Reading, Score
from knowledge.rulebase import RuleBase

OWN_CONFIDENCE, HEDGED = 0.95, 0.9
"""Confidence of what the player's own earlier words decide; what "might" and "a bit" leave of a confidence."""
TRAILING = " \t\n,;:.-–—("
HEDGE = re.compile(
    r"\b(?:might|maybe|perhaps|possibly|probably|i (?:think|guess)|not sure|could be|seems?|suspect|feels? like"
    r"|(?:a )?bit|slightly|sort of|kind of|kinda)\b",
    re.IGNORECASE,
)
PART = 20_000
"""Longer texts are read in parts of about so many letters, cut at line or sentence ends."""
SCORED, NAMED = 0.5, 0.45
"""A number without unit or total is a score from this probability; what words that name a score add to it (common
practice, no source)."""
NEAR = 0.80
"""Cosine from which an own utterance of the player decides."""


@dataclass(frozen=True, slots=True)
class OwnWords:
    """How this player puts faults: (text, fault or "none", polarity) from earlier corrections."""

    utterances: tuple[tuple[str, str, str], ...] = ()


class Reader:
    """Reads notes with the shipped recogniser and the given rule base. The same text gives the same reading."""

    def __init__(self, rules: RuleBase, recogniser: Recogniser | None = None) -> None:
        self.rules = rules
        self._recogniser = recogniser or shipped_recogniser()
        self._sureness = shipped_sureness()
        self._cautions = CautionReader(rules.cautions.values())

    def read(self, text: str, own: OwnWords | None = None, plan_from: int | None = None) -> Reading:
        """Everything understood in a text.

        own: this player's own utterances. plan_from: offset from which the words are a plan for next time, in
        which no fault is a sighting. Never raises for any text.
        """
        mentions, measures, scores = list[Mention](), list[Measure](), list[Score]()
        stop = len(text) if plan_from is None else plan_from
        near = self._nearest(own)
        for start, end in _parts(text):
            part = text[start:end]
            judged = self._recogniser.read(part)
            if start < stop:
                mentions.extend(self._mentions(text, part, start, judged, stop, near))
            told = self._figures(part, judged)
            measures.extend(replace(each, start=each.start + start, end=each.end + start) for each in told[0])
            scores.extend(replace(each, start=each.start + start, end=each.end + start) for each in told[1])
        return Reading(
            _one_each(mentions),
            attach_scores(text, scores, self.rules),
            attach_measures(text, measures, self.rules),
            self._cautions.read(text),
        )

    def guesses(self, text: str, limit: int = 10) -> tuple[Guess, ...]:
        """The faults a short text most likely speaks of, likeliest first; none is left out."""
        return self._ranked(self._recogniser.read(text).judge([(0, len(text))])[0][0], limit=limit)

    def _ranked(
        self, topic: NDArray[np.float32], first: str | None = None, limit: int = 5
    ) -> tuple[Guess, ...]:
        """The likeliest faults; first: the one that stands before all others."""
        names = self._recogniser.topics
        order = sorted(range(len(names)), key=lambda n: (names[n] != first, -topic[n], n))
        kept = [n for n in order if names[n] != NONE][:limit]
        return tuple(Guess(names[n], round(float(topic[n]), 4)) for n in kept)

    def _figures(self, part: str, judged: Judged) -> tuple[list[Measure], list[Score]]:
        """Measures and scores of a part, at its own characters."""
        taken: list[tuple[int, int]] = []
        measures = measures_in(part, taken)
        scores = pairs_in(part, taken)
        lone, lower = list(lone_numbers(part, taken)), lowered(part)
        chances = judged.scores([(each.start, each.end) for each in lone]) if lone else ()
        for each, chance in zip(lone, chances, strict=True):
            if chance + (NAMED if is_named(lower, each) else 0.0) >= SCORED:
                words = part[each.start : each.end]
                scores.append(Score(each.value, None, words, each.start, each.end))
        return measures, sorted(scores, key=lambda score: score.start)

    def _mentions(
        self, text: str, part: str, start: int, judged: Judged, stop: int, near: _Near | None
    ) -> Iterator[Mention]:
        clauses = clauses_in(part, self._recogniser, judged)
        chances = self._sureness(evidence(part, clauses, self._recogniser.topics))
        for clause, chance in zip(clauses, chances, strict=True):
            moved = replace(clause, start=clause.start + start, end=clause.end + start)
            if moved.start < stop and (mention := self._mention(text, moved, float(chance), near)):
                yield mention

    def _mention(self, text: str, clause: Clause, sure: float, near: _Near | None) -> Mention | None:
        words = text[clause.start : clause.end].rstrip(TRAILING)
        fault, status, _ = clause.best(self._recogniser.topics)
        known = near is not None and near.best(words)
        if known:
            (fault, status), sure = known, OWN_CONFIDENCE
        if fault == NONE or not (known or self._sureness.tells(status, sure)):
            return None
        hedged = bool(HEDGE.search(words))
        return Mention(
            fault,
            status,
            clause.count,
            round(sure * HEDGED if hedged else sure, 4),
            clause.start,
            clause.start + len(words),
            words,
            self._ranked(clause.topic, fault),
            hedged,
        )

    def _nearest(self, own: OwnWords | None) -> _Near | None:
        if own is None or not own.utterances:
            return None
        vectors = base_encoder().embed([each[0] for each in own.utterances])
        return _Near(vectors, tuple((fault, polarity) for _, fault, polarity in own.utterances))


@dataclass(frozen=True)
class _Near:
    vectors: NDArray[np.float32]
    meant: tuple[tuple[str, str], ...]

    def best(self, words: str) -> tuple[str, str] | None:
        scores = self.vectors @ base_encoder().embed([words])[0]
        # the newest of equals wins: later corrections overrule earlier ones
        at = len(scores) - 1 - int(scores[::-1].argmax())
        return self.meant[at] if scores[at] >= NEAR else None


def _one_each(mentions: list[Mention]) -> tuple[Mention, ...]:
    """One mention a fault and polarity: the first place, the surest confidence, the highest count told."""
    kept: dict[tuple[str, str], Mention] = {}
    for mention in mentions:
        key = (mention.fault, mention.polarity)
        first = kept.get(key)
        if first is None:
            kept[key] = mention
        else:
            count = max((c for c in (first.count, mention.count) if c is not None), default=None)
            kept[key] = replace(first, confidence=max(first.confidence, mention.confidence), count=count)
    return tuple(sorted(kept.values(), key=lambda each: each.start))


def _parts(text: str) -> list[tuple[int, int]]:
    parts, start = [], 0
    while len(text) - start > PART:
        cut = max(text.rfind("\n", start, start + PART), text.rfind(". ", start, start + PART) + 1)
        cut = cut if cut > start else max(text.rfind(" ", start, start + PART), start + 1)
        cut = cut if cut > start + 1 else start + PART
        parts.append((start, cut))
        start = cut
    parts.append((start, len(text)))
    return parts
