"""Sharpness of the heads, the threshold of a sighting and its confidence, fitted on reflections not learnt from."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize, minimize_scalar

from knowledge.reading.clauses import clauses_in
from knowledge.reading.context import ContextEncoder
from knowledge.reading.corpus import NONE, Utterance
from knowledge.reading.heads import Lessons, collect
from knowledge.reading.lessons import document
from knowledge.reading.recogniser import HEADS, THRESHOLDS, WEIGHTS, Recogniser, threshold_name

Array = NDArray[np.float64]


def calibrate(encoder: ContextEncoder, held: Sequence[list[Utterance]]) -> dict[str, float]:
    """Everything that the calibration file holds."""
    lessons = Lessons()
    collect((document(note) for note in held), encoder, lessons)
    with np.load(WEIGHTS) as arrays:
        fitted = {name: sharpness(arrays, name, *lessons.of(name)) for name in HEADS}
    recogniser = Recogniser(
        encoder, fitted=fitted | dict.fromkeys(THRESHOLDS, 0.0) | {"slope": 1.0, "offset": 0.0}
    )
    told: dict[str, list[tuple[float, bool]]] = {group: [] for group in THRESHOLDS}
    wanted = dict.fromkeys(THRESHOLDS, 0)
    for note in held:
        want = {(u.fault, u.status) for u in note if u.fault != NONE and u.status != "void"}
        for _, status in want:
            wanted[threshold_name(status)] += 1
        for each, chance in told_in(document(note).text, recogniser).items():
            told[threshold_name(each[1])].append((chance, each in want))
    kept: list[tuple[float, bool]] = []
    for name, found in told.items():
        p, hit = (np.array(column) for column in zip(*found, strict=True))
        fitted[name] = best_threshold(p, hit, wanted[name])
        kept += [each for each in found if each[0] >= fitted[name]]
    chances, right = zip(*kept, strict=True)
    fitted["slope"], fitted["offset"] = platt(np.array(chances), np.array(right))
    return {name: round(value, 4) for name, value in fitted.items()}


def told_in(text: str, recogniser: Recogniser) -> dict[tuple[str, str], float]:
    """The highest chance of each fault and status that the clauses of a text may tell."""
    best: dict[tuple[str, str], float] = {}
    for clause in clauses_in(text, recogniser):
        fault, status, chance = clause.best(recogniser.topics)
        if fault != NONE:
            best[fault, status] = max(best.get((fault, status), 0.0), chance)
    return best


def sharpness(arrays: Any, name: str, vectors: Array, goals: Sequence[str]) -> float:
    """The factor on a head's scores that makes the goals likeliest; prints what the head reaches."""
    classes = json.loads(str(arrays[f"{name}_classes"]))
    scores = vectors @ arrays[f"{name}_weights"].T + arrays[f"{name}_offsets"]
    rows = np.array([classes.index(goal) for goal in goals])

    def loss(factor: float) -> float:
        z = factor * scores
        z = z - z.max(1, keepdims=True)
        return float(-(z[np.arange(len(z)), rows] - np.log(np.exp(z).sum(1))).mean())

    best = minimize_scalar(loss, bounds=(0.01, 5), method="bounded")
    right = float((scores.argmax(1) == rows).mean())
    print(f"{name}: sharpness {best.x:.4f}, held-out accuracy {right:.3f}, log loss {best.fun:.3f}")
    return float(best.x)


def best_threshold(chances: Array, right: NDArray[np.bool_], wanted: int) -> float:
    """The chance from which sightings are told that gives the highest F1."""
    steps = np.arange(0.05, 0.9, 0.01)
    f1 = [2 * right[chances >= step].sum() / (wanted + (chances >= step).sum()) for step in steps]
    return float(steps[int(np.argmax(f1))])


def platt(chances: Array, right: NDArray[np.bool_]) -> tuple[float, float]:
    """Slope and offset on the log odds of the chance that make the outcomes likeliest (Platt 1999)."""
    odds = np.log(chances / (1 - chances))
    sign = np.where(right, 1.0, -1.0)

    def loss(x: Array) -> float:
        return float(np.logaddexp(0, -sign * (x[0] * odds + x[1])).mean())

    search: Callable[..., Any] = minimize
    slope, offset = search(loss, np.array([1.0, 0.0])).x
    return float(slope), float(offset)
