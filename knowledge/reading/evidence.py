"""What speaks for a sighting: its own clause, and what the rest of the note tells.

A note that tells of no trouble elsewhere makes a doubtful trouble less likely; that is learnt, not decided here.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from knowledge.reading.clauses import Clause
from knowledge.reading.corpus import NONE, STATUSES
from knowledge.reading.recogniser import CALIBRATION

Array = NDArray[np.float64]
_AT = {status: number for number, status in enumerate(STATUSES)}
NAMES = (
    "chance",
    "topic",
    "status",
    "void",
    "absent",
    "none",
    "clauses",
    "trouble elsewhere",
    "most trouble elsewhere",
    "trouble next to it",
    "said elsewhere",
    "words",
    "there",
)
"""The columns of the evidence, in order."""
GROUPS = ("there", "other")
THERE = ("present", "worse")
REACH = 12
"""So many clauses before and after are the rest of the note; more of a long one would drown everything."""
FAR = 4.0
"""Evidence further from the usual than so many standard deviations counts as so far."""


def evidence(text: str, clauses: Sequence[Clause], topics: Sequence[str]) -> Array:
    """One row of NAMES for each clause, shape (clauses, 13)."""
    if not clauses:
        return np.zeros((0, len(NAMES)))
    topic = np.array([each.topic for each in clauses], float)
    status = np.array([each.status for each in clauses], float)
    none = topic[:, list(topics).index(NONE)]
    trouble = (1 - none) * (status[:, _AT["present"]] + status[:, _AT["worse"]])
    best = [each.best(topics) for each in clauses]
    chance = np.array([found[2] for found in best])
    there = np.array([found[1] in THERE for found in best], float)
    columns = (
        _odds(chance),
        _odds(topic.max(1)),
        _odds(status.max(1)),
        status[:, _AT["void"]],
        status[:, _AT["absent"]],
        none,
        np.full(len(best), np.log1p(min(len(best), 1 + 2 * REACH))),
        _mean_of_others(trouble),
        _most_of_others(trouble[:, None], np.zeros(len(best), np.int64)),
        _beside(trouble),
        _most_of_others(topic, topic.argmax(1)),
        np.sqrt([len(text[each.start : each.end].split()) for each in clauses]),
        there,
    )
    return np.stack(columns, 1)


def _odds(chance: Array) -> Array:
    kept = np.clip(chance, 1e-5, 1 - 1e-5)
    return np.asarray(np.log(kept) - np.log1p(-kept))


def _round(values: Array) -> Iterator[tuple[Array, Array]]:
    """For each row the rows up to REACH before it, and those up to REACH after it."""
    for at in range(len(values)):
        yield values[max(0, at - REACH) : at], values[at + 1 : at + 1 + REACH]


def _mean_of_others(values: Array) -> Array:
    """For each row the mean of those round it, shape (N,); 0.5 where there is none."""
    return np.array([_mean(np.concatenate(sides)) for sides in _round(values)])


def _beside(values: Array) -> Array:
    """For each row the mean of its neighbours, shape (N,); 0.5 where there is none."""
    return np.array([_mean(np.concatenate([before[-1:], after[:1]])) for before, after in _round(values)])


def _most_of_others(values: Array, columns: NDArray[np.int64]) -> Array:
    """For each row of (N, K) the highest value, in the column named for it, of those round it; 0.5 where none is."""
    if len(values) == 1:
        return np.array([0.5])
    rows = zip(_round(values), columns, strict=True)
    return np.array([np.concatenate(sides)[:, column].max() for sides, column in rows])


def _mean(values: Array) -> float:
    return float(values.mean()) if len(values) else 0.5


def group(status: str) -> str:
    """Sightings of a fault that is there have a threshold of their own: they are what a plan rests on."""
    return "there" if status in THERE else "other"


class Sureness:
    """A logistic regression on the evidence, its squares and products; above a threshold a sighting is told."""

    def __init__(self, fitted: Mapping[str, Any]) -> None:
        self._thresholds = {name: float(fitted[name]) for name in GROUPS}
        self._mean, self._scale = np.array(fitted["mean"]), np.array(fitted["scale"])
        self._weights, self._offset = np.array(fitted["weights"]), float(fitted["offset"])

    def __call__(self, rows: Array) -> Array:
        """The probability that each clause's sighting is right, shape (N,)."""
        scores = products((rows - self._mean) / self._scale) @ self._weights + self._offset
        return np.asarray(1 / (1 + np.exp(-np.clip(scores, -30, 30))))

    def tells(self, status: str, sure: float) -> bool:
        """Whether a sighting of this status and probability is told."""
        return sure >= self._thresholds[group(status)]


def products(standard: Array) -> Array:
    """Standardised evidence (N, K) with all its squares and products, (N, K + K (K + 1) / 2)."""
    near = np.clip(standard, -FAR, FAR)
    left, right = np.triu_indices(near.shape[1])
    return np.hstack([near, near[:, left] * near[:, right]])


@cache
def shipped_sureness() -> Sureness:
    """As fitted with the shipped recogniser."""
    return Sureness(json.loads(CALIBRATION.read_text())["sureness"])
