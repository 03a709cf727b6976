"""Sharpness of the heads, and how sure a sighting is, fitted on reflections that nothing else learns from."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from knowledge.reading.clauses import clauses_in
from knowledge.reading.context import ContextEncoder
from knowledge.reading.corpus import NONE, Utterance
from knowledge.reading.evidence import GROUPS, REACH, evidence, group, products
from knowledge.reading.heads import Lessons, collect
from knowledge.reading.lessons import chat_of, document
from knowledge.reading.recogniser import HEADS, WEIGHTS, Recogniser

Array = NDArray[np.float64]
COST = 0.02
"""The inverse strength of the regularisation of the sureness."""
FOLDS = 8
SEED = 5
"""Of the draw of what stands round a single utterance."""
SLACK = 0.005
"""Of the thresholds whose F1 is at most so far below the best, the highest is taken: a false sighting costs more."""


def calibrate(
    encoder: ContextEncoder, held: Sequence[list[Utterance]], alone: Sequence[Utterance]
) -> dict[str, Any]:
    """Everything that the calibration file holds, from reflections and single utterances held out."""
    lessons = Lessons()
    collect([document(note) for note in held], encoder, lessons)
    with np.load(WEIGHTS) as arrays:
        sharp = {name: round(sharpness(arrays, name, *lessons.of(name)), 4) for name in HEADS}
    seen = Seen.of([*held, *among_chat(alone, held)], Recogniser(encoder, sharpness=sharp))
    return {"sharpness": sharp, "sureness": sureness(seen)}


def among_chat(alone: Sequence[Utterance], notes: Sequence[list[Utterance]]) -> Iterator[list[Utterance]]:
    """Every single utterance, one half alone and one half as the only one in a longer text of notes' clauses that speak
    of no fault: a lone trouble in a long and happy note is a trouble all the same.
    """
    rng = random.Random(SEED)
    chat = chat_of(notes)
    for each in alone:
        stopped = replace(each, text=each.text + "." * each.text[-1:].isalnum())
        round_it = rng.choices(chat, k=rng.choice((0, rng.randrange(1, 2 * REACH + 1))))
        at = rng.randrange(len(round_it) + 1)
        yield [*round_it[:at], stopped, *round_it[at:]]


@dataclass(frozen=True)
class Seen:
    """What the clauses of notes may tell. rows: evidence (N, 13); right (N); notes: the note of each (N);
    told: fault and status of each (N); wanted: of each note, what it tells."""

    rows: Array
    right: NDArray[np.bool_]
    notes: NDArray[np.int64]
    told: list[tuple[str, str]]
    wanted: list[set[tuple[str, str]]]

    @classmethod
    def of(cls, held: Sequence[list[Utterance]], recogniser: Recogniser) -> Seen:
        """The clauses of the notes as the recogniser cuts and judges them, those without a fault left out."""
        rows, right, notes, told = list[Array](), list[bool](), list[int](), list[tuple[str, str]]()
        wanted = [
            {(u.fault, u.status) for u in note if u.fault != NONE and u.status != "void"} for note in held
        ]
        for number, note in enumerate(held):
            text = document(note).text
            clauses = clauses_in(text, recogniser)
            for row, clause in zip(evidence(text, clauses, recogniser.topics), clauses, strict=True):
                fault, status, _ = clause.best(recogniser.topics)
                if fault != NONE:
                    rows.append(row)
                    right.append((fault, status) in wanted[number])
                    notes.append(number)
                    told.append((fault, status))
        return cls(np.array(rows), np.array(right), np.array(notes), told, wanted)


def sureness(seen: Seen) -> dict[str, Any]:
    """Weights of the sureness, and for each group the threshold, chosen on notes left out in turn."""
    from sklearn.linear_model import LogisticRegression
    from sklearn.model_selection import GroupKFold, cross_val_predict

    mean, scale = seen.rows.mean(0).round(4), seen.rows.std(0).round(4) + 1e-4
    columns = products((seen.rows - mean) / scale)
    machine = LogisticRegression(C=COST, tol=1e-6, max_iter=5000)
    turns = GroupKFold(FOLDS)
    chances = cross_val_predict(
        machine, columns, seen.right, groups=seen.notes, cv=turns, method="predict_proba"
    )[:, 1]
    machine.fit(columns, seen.right)
    odds = np.log(chances / (1 - chances))
    slope, offset = selection(seen, odds)
    chances = 1 / (1 + np.exp(-(slope * odds + offset)))
    fitted: dict[str, Any] = {name: round(threshold(seen, chances, name), 4) for name in GROUPS}
    return fitted | {
        "mean": mean.tolist(),
        "scale": scale.round(4).tolist(),
        "weights": (slope * machine.coef_[0]).round(4).tolist(),
        "offset": round(slope * float(machine.intercept_[0]) + offset, 4),
    }


def surest(seen: Seen, values: Array) -> dict[tuple[int, str, str], tuple[float, bool]]:
    """Of each note, fault and status the highest value and whether it is right: this is what a note tells."""
    best: dict[tuple[int, str, str], tuple[float, bool]] = {}
    for note, (fault, status), value, right in zip(seen.notes, seen.told, values, seen.right, strict=True):
        key = (int(note), fault, status)
        best[key] = max(best.get(key, (-np.inf, False)), (float(value), bool(right)))
    return best


def selection(seen: Seen, odds: Array) -> tuple[float, float]:
    """Slope and offset on the log odds, because the surest of several clauses was chosen and looks too sure."""
    from sklearn.linear_model import LogisticRegression

    values, right = zip(*surest(seen, odds).values(), strict=True)
    machine = LogisticRegression(C=1e6, tol=1e-6).fit(np.array(values)[:, None], right)
    slope, offset = float(machine.coef_[0, 0]), float(machine.intercept_[0])
    print(f"slope {slope:.3f} and offset {offset:.3f} for the choice of the surest clause")
    return slope, offset


def threshold(seen: Seen, chances: Array, name: str) -> float:
    """The highest probability whose F1 over the sightings of a group is within SLACK of the best; prints its worth."""
    best = {key: told for key, told in surest(seen, chances).items() if group(key[2]) == name}
    sure, right = (np.array(column) for column in zip(*best.values(), strict=True))
    wanted = sum(group(status) == name for note in seen.wanted for _, status in note)
    clean = [all(group(status) != name for _, status in note) for note in seen.wanted]
    on_clean = np.array([clean[note] for note, _, _ in best])
    steps = np.arange(0.1, 0.95, 0.01)
    f1 = np.array([2 * right[sure >= step].sum() / (wanted + (sure >= step).sum()) for step in steps])
    at = int(np.flatnonzero(f1 >= f1.max() - SLACK)[-1])
    chosen = float(steps[at])
    kept = sure >= chosen
    print(
        f"{name}: from {chosen:.2f} F1 {f1[at]:.3f} (best {f1.max():.3f}), precision {right[kept].mean():.3f}, "
        f"{100 * on_clean[kept].sum() / max(1, sum(clean)):.1f} a hundred notes without"
    )
    return chosen


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
