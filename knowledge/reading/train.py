"""Train the recogniser from the utterances in the repository: ``python -m knowledge.reading.train``.

Two linear classifiers (one against the rest, squared hinge loss) over the sentence vector and the hashed n-grams:
the topic (76 faults and none) and the status (present, absent, better, worse, void). Needs scikit-learn.
The same utterances give the same weights; ``--check`` trains again and compares with the shipped file to 1e-4.
``--calibrate`` also fits the softmax temperatures on five-fold predictions.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from knowledge.reading.classifier import TEMPERATURES, WEIGHTS
from knowledge.reading.corpus import NONE, Utterance, read_corpus
from knowledge.reading.encoder import base_encoder
from knowledge.reading.features import SIZE, sparse_rows
from knowledge.rulebase import load_rules

COST = {"topic": 0.5, "status": 0.3}
Floats = NDArray[np.float32]


def lessons() -> list[Utterance]:
    """The utterances learnt from: the corpus without the rules' own examples, which stay a test."""
    examples = {says for fault in load_rules().faults.values() for says in fault.says}
    return [each for each in read_corpus() if each.text not in examples]


def design(utterances: list[Utterance]) -> tuple[Any, NDArray[np.float32]]:
    """The utterances' features, a sparse matrix (N, 384 + 2**14), and the n-grams' inverse document frequencies."""
    from scipy import sparse

    texts = [each.text for each in utterances]
    vectors = base_encoder().embed(texts)
    starts, columns, values = sparse_rows(texts)
    grams = sparse.csr_matrix((values, columns, starts), shape=(len(texts), SIZE))
    seen = np.asarray((grams > 0).sum(0)).ravel()
    idf = (np.log((1 + len(texts)) / (1 + seen)) + 1).astype(np.float32)
    grams = grams.multiply(idf).tocsr()
    length = np.sqrt(np.asarray(grams.multiply(grams).sum(1)).ravel())
    grams = sparse.diags(1 / np.maximum(length, 1e-9)) @ grams
    return sparse.hstack([sparse.csr_matrix(vectors), grams]).tocsr(), idf


def fit(features: Any, goal: list[str], cost: float) -> tuple[list[str], Floats, Floats]:
    """Classes, weights (classes, features) and offsets (classes) of the linear classifier."""
    from sklearn.svm import LinearSVC

    machine = LinearSVC(C=cost, random_state=0).fit(features, goal)
    return list(machine.classes_), machine.coef_.astype(np.float32), machine.intercept_.astype(np.float32)


def tasks(utterances: list[Utterance]) -> dict[str, tuple[NDArray[np.bool_], list[str]]]:
    """For each classifier the rows it learns from and their goals."""
    speaks = np.array([each.fault != NONE for each in utterances])
    return {
        "topic": (np.ones(len(utterances), bool), [each.fault for each in utterances]),
        "status": (speaks, [each.status for each in utterances if each.fault != NONE]),
    }


def train() -> dict[str, Any]:
    """Everything the weights file holds, at full precision."""
    utterances = lessons()
    features, idf = design(utterances)
    result: dict[str, Any] = {"idf": idf}
    for name, (rows, goal) in tasks(utterances).items():
        classes, weights, offsets = fit(features[rows], goal, COST[name])
        result[name] = (classes, weights, offsets)
    return result


def packed(trained: dict[str, Any]) -> dict[str, Any]:
    """The same with weights as 16-bit numbers and a scale a class."""
    arrays: dict[str, Any] = {"idf": trained["idf"].astype(np.float16)}
    for name in COST:
        classes, weights, offsets = trained[name]
        scale = np.abs(weights).max(1) / 32767
        arrays[f"{name}_classes"] = np.array(json.dumps(classes))
        arrays[f"{name}_weights"] = np.round(weights / scale[:, None]).astype(np.int16)
        arrays[f"{name}_scale"] = scale.astype(np.float32)
        arrays[f"{name}_offsets"] = offsets
    return arrays


def difference(trained: dict[str, Any], path: Path = WEIGHTS) -> float:
    """The largest difference between freshly trained weights and the shipped ones."""
    worst = 0.0
    with np.load(path) as shipped:
        for name in COST:
            classes, weights, offsets = trained[name]
            if classes != json.loads(str(shipped[f"{name}_classes"])):
                return float("inf")
            old = shipped[f"{name}_weights"].astype(np.float32) * shipped[f"{name}_scale"][:, None]
            worst = max(
                worst,
                float(np.abs(weights - old).max()),
                float(np.abs(offsets - shipped[f"{name}_offsets"]).max()),
            )
    return worst


def calibrate() -> dict[str, float]:
    """Softmax temperatures that make five-fold predictions most likely."""
    from scipy.optimize import minimize_scalar
    from sklearn.model_selection import StratifiedKFold
    from sklearn.svm import LinearSVC

    utterances = lessons()
    features, _ = design(utterances)
    found = {}
    for name, (rows, goal) in tasks(utterances).items():
        part, wanted = features[rows], np.array(goal)
        scores = np.zeros((len(wanted), len(set(goal))))
        for learn, test in StratifiedKFold(5, shuffle=True, random_state=0).split(part, wanted):
            machine = LinearSVC(C=COST[name], random_state=0).fit(part[learn], wanted[learn])
            scores[test] = machine.decision_function(part[test])
        column = np.searchsorted(machine.classes_, wanted)

        def loss(sharpness: float, scores: Any = scores, column: Any = column) -> float:
            z = sharpness * scores
            z = z - z.max(1, keepdims=True)
            return float(-(z[np.arange(len(z)), column] - np.log(np.exp(z).sum(1))).mean())

        best = minimize_scalar(loss, bounds=(0.5, 20), method="bounded")
        found[name] = round(float(best.x), 2)
        right = float((scores.argmax(1) == column).mean())
        print(f"{name}: sharpness {found[name]}, five-fold accuracy {right:.3f}, log loss {best.fun:.3f}")
    return found


def main() -> None:
    """Command line of the script."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument(
        "--check", action="store_true", help="train again and compare with the shipped weights"
    )
    parser.add_argument("--calibrate", action="store_true", help="fit the temperatures and write them too")
    args = parser.parse_args()
    if args.check:
        worst = difference(train())
        print(f"largest difference to the shipped weights: {worst:.2e}")
        raise SystemExit(worst > 1e-4)
    np.savez_compressed(WEIGHTS, **packed(train()))
    print(f"{WEIGHTS.name}: {WEIGHTS.stat().st_size:,} bytes")
    if args.calibrate:
        TEMPERATURES.write_text(json.dumps(calibrate(), indent=1) + "\n")


if __name__ == "__main__":
    main()
