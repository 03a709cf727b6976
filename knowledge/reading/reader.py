"""Text to Reading: atoms, their best grouping, topic, status, whose, count, figures and cautions."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from knowledge.reading.cautions import CautionReader
from knowledge.reading.classifier import Classifier, shipped_classifier
from knowledge.reading.clauses import Atom, atoms_of
from knowledge.reading.corpus import NONE
from knowledge.reading.counts import count_in
from knowledge.reading.figures import measures_in, scores_in
from knowledge.reading.phrases import Phrases
from knowledge.reading.status import HEDGE, STATUSES, Voided, Whose, factors_for
from knowledge.reading.subjects import attach_measures, attach_scores
from knowledge.reading.types import Guess, Mention, Reading
from knowledge.rulebase import RuleBase

THRESHOLD, SHORT_THRESHOLD = 0.60, 0.75
"""A clause speaks of a fault when its probability reaches this; one of fewer than four words needs more."""
GROUP_COST = 0.45
"""What each further group of atoms costs, in log probability: groups stay as large as they stay clear."""
PART_WEIGHT = 0.5
"""How much a part of a group that speaks of something else counts against the group."""
MAX_ATOMS, MAX_WORDS = 4, 42
PART = 20_000
"""Longer texts are read in parts of about so many letters, cut at line or sentence ends."""
NEAR = 0.80
"""Cosine from which an own utterance of the player decides."""


@dataclass(frozen=True, slots=True)
class OwnWords:
    """How this player puts faults: (text, fault or "none", polarity) from earlier corrections."""

    utterances: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Group:
    """Atoms taken together and what the classifier makes of them."""

    start: int
    end: int
    sentence: int
    topic: NDArray[np.float32]
    status: NDArray[np.float32]
    vector: NDArray[np.float32]


class Reader:
    """Reads notes with the shipped recogniser and the given rule base. The same text gives the same reading."""

    def __init__(self, rules: RuleBase, classifier: Classifier | None = None) -> None:
        self.rules = rules
        self._classifier = classifier or shipped_classifier()
        self._topics = self._classifier.topic.classes
        self._none = self._topics.index(NONE)
        self._states = [self._classifier.status.classes.index(name) for name in STATUSES]
        self._cautions = CautionReader(rules.cautions.values())
        self._phrases = Phrases(rules, self._topics)

    def read(self, text: str, own: OwnWords | None = None, plan_from: int | None = None) -> Reading:
        """Everything understood in a text.

        own: this player's own utterances. plan_from: offset from which the words are a plan for next time, in
        which no fault is a sighting. Never raises for any text.
        """
        mentions: list[Mention] = []
        for start, end in _parts(text):
            mentions.extend(
                self._mentions(text, start, min(end, len(text) if plan_from is None else plan_from), own)
            )
        taken: list[tuple[int, int]] = []
        measures = measures_in(text, taken)
        scores = scores_in(text, taken)
        return Reading(
            _one_each(mentions),
            attach_scores(text, scores, self.rules),
            attach_measures(text, measures, self.rules),
            self._cautions.read(text),
        )

    def guesses(self, text: str, limit: int = 10) -> tuple[Guess, ...]:
        """The faults a short text most likely speaks of, likeliest first; none is left out."""
        topic = self._classifier.judge([text])[0][0]
        return self._ranked(self._phrases.sharpen(text, topic), limit)

    def _ranked(self, topic: NDArray[np.float32], limit: int = 5) -> tuple[Guess, ...]:
        order = [n for n in np.argsort(-topic, kind="stable") if n != self._none][:limit]
        return tuple(Guess(self._topics[n], round(float(topic[n]), 4)) for n in order)

    def _mentions(self, text: str, start: int, end: int, own: OwnWords | None) -> list[Mention]:
        atoms = [replace(a, start=a.start + start, end=a.end + start) for a in atoms_of(text[start:end])]
        if not atoms:
            return []
        groups = self._grouped(text, atoms)
        near = self._nearest(own)
        whose, voided = Whose(text[start:end]), Voided(text[start:end])
        sentences: dict[int, tuple[int, int]] = {}
        for group in groups:
            first = sentences.get(group.sentence, (group.start, 0))[0]
            sentences[group.sentence] = (first, min(group.end + 1, len(text)))
        found = []
        for number, group in enumerate(groups):
            words = text[group.start : group.end]
            other = whose.is_other(words)
            void = voided.is_void(words, group.sentence, text[slice(*sentences[group.sentence])])
            mention = self._mention(text, groups, number, near)
            if mention is not None and not other and not (void and mention.polarity != "better"):
                found.append(mention)
        return found

    def _grouped(self, text: str, atoms: list[Atom]) -> list[Group]:
        """The grouping of neighbouring atoms of a sentence that the classifier finds clearest (dynamic programme)."""
        spans = [
            (i, j)
            for i in range(len(atoms))
            for j in range(i + 1, min(i + MAX_ATOMS, len(atoms)) + 1)
            if atoms[j - 1].sentence == atoms[i].sentence
            and (j == i + 1 or sum(a.words for a in atoms[i:j]) <= MAX_WORDS)
        ]
        texts = [text[atoms[i].start : atoms[j - 1].end] for i, j in spans]
        topics, statuses, vectors = self._classifier.judge(texts)
        for row, words in enumerate(texts):
            topics[row] = self._phrases.sharpen(words, topics[row])
        lone = {i: topics[row] for row, (i, j) in enumerate(spans) if j == i + 1}
        best: list[tuple[float, int]] = [(0.0, -1)] + [(-math.inf, -1)] * len(atoms)
        for row, (i, j) in enumerate(spans):
            worth = best[i][0] + self._clarity(topics[row], [lone[k] for k in range(i, j)]) - GROUP_COST
            if worth > best[j][0]:
                best[j] = (worth, row)
        groups = []
        at = len(atoms)
        while at > 0:
            row = best[at][1]
            i, j = spans[row]
            first, last = atoms[i], atoms[j - 1]
            groups.append(
                Group(first.start, last.end, first.sentence, topics[row], statuses[row], vectors[row])
            )
            at = i
        return groups[::-1]

    def _clarity(self, topic: NDArray[np.float32], parts: list[NDArray[np.float32]]) -> float:
        """Log probability that the group speaks of its likeliest topic and no part of it of another."""
        best = int(topic.argmax())
        clarity = math.log(max(float(topic[best]), 1e-9))
        if len(parts) > 1:
            fits = [min(1.0, float(part[best] + part[self._none]) + 0.1) for part in parts]
            clarity += PART_WEIGHT * sum(map(math.log, fits))
        return clarity

    def _mention(self, text: str, groups: list[Group], number: int, near: _Near | None) -> Mention | None:
        group = groups[number]
        words = text[group.start : group.end]
        topic = group.topic
        polarity: str | None = None
        if near is not None and (hit := near.best(group.vector)):
            fault, polarity = hit
            if fault == NONE:
                return None
            topic = np.full_like(topic, 0.0005)
            if fault in self._topics:
                topic[self._topics.index(fault)] = 0.95
        best = int(topic.argmax())
        sure = float(topic[best])
        short = len(words.split()) < 4
        if best == self._none or sure < (SHORT_THRESHOLD if short else THRESHOLD):
            return None
        context = self._in_context(text, groups, number)
        status = group.status[self._states] * np.array(factors_for(context), np.float32)
        status /= status.sum()
        state = STATUSES[int(status.argmax())]
        if state == "void" and polarity is None:
            return None
        hedged = bool(HEDGE.search(words))
        confidence = sure * (float(status.max()) ** 0.5) * (0.8 if hedged else 1.0)
        return Mention(
            self._topics[best],
            polarity or state,
            count_in(words),
            round(min(confidence, 0.999), 4),
            group.start,
            group.end,
            words,
            self._ranked(topic),
            hedged,
        )

    def _in_context(self, text: str, groups: list[Group], number: int) -> str:
        """The clause's words with a short neighbour that speaks of nothing itself ("… but not today")."""
        group = groups[number]
        end = group.end
        after = groups[number + 1] if number + 1 < len(groups) else None
        if (
            after is not None
            and after.sentence == group.sentence
            and int(after.topic.argmax()) == self._none
            and len(text[after.start : after.end].split()) <= 6
        ):
            end = after.end
        if after is None or after.sentence != group.sentence or end == after.end:
            stop = text[end : end + 1]
            end += stop == "?"
        return text[group.start : end]

    def _nearest(self, own: OwnWords | None) -> _Near | None:
        if own is None or not own.utterances:
            return None
        vectors = self._classifier.encoder.embed([each[0] for each in own.utterances])
        return _Near(vectors, tuple((fault, polarity) for _, fault, polarity in own.utterances))


@dataclass(frozen=True)
class _Near:
    vectors: NDArray[np.float32]
    meant: tuple[tuple[str, str], ...]

    def best(self, vector: NDArray[np.float32]) -> tuple[str, str] | None:
        scores = self.vectors @ vector
        # the newest of equals wins: later corrections overrule earlier ones
        at = len(scores) - 1 - int(scores[::-1].argmax())
        return self.meant[at] if scores[at] >= NEAR else None


def _one_each(mentions: list[Mention]) -> tuple[Mention, ...]:
    """One mention a fault and polarity: the first place, the surest confidence, the counts of all added up."""
    kept: dict[tuple[str, str], Mention] = {}
    for mention in mentions:
        key = (mention.fault, mention.polarity)
        first = kept.get(key)
        if first is None:
            kept[key] = mention
        else:
            count = first.count if first.count is not None else mention.count
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
