"""The layers over the fine-tuned encoder, out of what it makes of the training utterances.

Each is a logistic regression; the same utterances give the same weights. Needs scikit-learn.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from knowledge.reading.context import ContextEncoder, Tokens
from knowledge.reading.corpus import NONE, STATUSES
from knowledge.reading.lessons import Document
from knowledge.reading.recogniser import HEADS

COST = {"topic": 3.0, "status": 1.0, "words": 1.0, "numbers": 1.0, "scores": 1.0}
"""The inverse strength of each head's regularisation."""
NO, YES = "no", "yes"
SOME = 64
"""Documents whose tokens are held at a time."""
Array = NDArray[np.float64]


@dataclass
class Lessons:
    """For each head the vectors, one row each, and what they should be told as."""

    vectors: dict[str, list[Array]] = field(default_factory=lambda: {name: [] for name in HEADS})
    goals: dict[str, list[str]] = field(default_factory=lambda: {name: [] for name in HEADS})

    def add(self, name: str, vectors: NDArray[np.float32], goals: Sequence[str]) -> None:
        """Rows for one head."""
        self.vectors[name].append(vectors.astype(np.float64))
        self.goals[name].extend(goals)

    def of(self, name: str) -> tuple[Array, list[str]]:
        """All rows (N, 384) and goals (N) of one head."""
        return np.concatenate(self.vectors[name]), self.goals[name]


def collect(
    documents: Sequence[Document], encoder: ContextEncoder, into: Lessons, heads: Sequence[str] = HEADS
) -> None:
    """Add the documents' clauses, words and numbers to what the heads learn from, as the encoder sees them."""
    for doc, tokens in _read(documents, encoder):
        if "topic" in heads:
            vectors = tokens.pooled([(c.start, c.end) for c in doc.clauses])
            into.add("topic", vectors, [c.fault for c in doc.clauses])
            speaks = [n for n, c in enumerate(doc.clauses) if c.fault != NONE]
            into.add("status", vectors[speaks], [doc.clauses[n].status for n in speaks])
        for name, found in (("words", doc.words), ("numbers", doc.numbers), ("scores", doc.scores)):
            if name in heads and found:
                vectors = tokens.pooled([(mark.start, mark.end) for mark in found])
                into.add(name, vectors, [YES if mark.holds else NO for mark in found])


def _read(documents: Sequence[Document], encoder: ContextEncoder) -> Iterator[tuple[Document, Tokens]]:
    """Each document with its tokens, as many at a time as there are processors."""
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        for first in range(0, len(documents), SOME):
            some = documents[first : first + SOME]
            yield from zip(some, pool.map(lambda doc: encoder.read(doc.text), some), strict=True)


def fit(vectors: Array, goals: Sequence[str], classes: Sequence[str], cost: float) -> tuple[Array, Array]:
    """Weights (classes, 384) and offsets (classes) of a multinomial logistic regression, run until it stands still."""
    from sklearn.linear_model import LogisticRegression

    machine = LogisticRegression(C=cost, tol=1e-6, max_iter=3000).fit(vectors, list(goals))
    order = [list(machine.classes_).index(name) for name in classes]
    if len(classes) == 2:
        weights, offsets = (
            np.vstack([0 * machine.coef_, machine.coef_]),
            np.array([0.0, machine.intercept_[0]]),
        )
    else:
        weights, offsets = machine.coef_, machine.intercept_
    return weights[order], offsets[order]


def fit_heads(lessons: Lessons) -> dict[str, Any]:
    """Everything that the recogniser's weights file holds."""
    arrays: dict[str, Any] = {}
    for name in HEADS:
        vectors, goals = lessons.of(name)
        classes = list(STATUSES) if name == "status" else sorted(set(goals))
        weights, offsets = fit(vectors, goals, classes, COST[name])
        arrays[f"{name}_classes"] = np.array(json.dumps(classes))
        arrays[f"{name}_weights"] = weights.astype(np.float32)
        arrays[f"{name}_offsets"] = offsets.astype(np.float32)
    return arrays
