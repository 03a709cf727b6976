"""The trained recogniser: a text's topic (a fault or none) and status, as calibrated probabilities."""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from knowledge.reading.encoder import Encoder, base_encoder
from knowledge.reading.features import SIZE, hashed

WEIGHTS = Path(__file__).parent / "weights.npz"
TEMPERATURES = Path(__file__).parent / "temperatures.json"
Floats = NDArray[np.float32]


class Linear:
    """One linear classifier over vector and n-grams, with a softmax of fitted sharpness."""

    def __init__(self, arrays: Any, name: str, sharpness: float) -> None:
        self.classes: list[str] = json.loads(str(arrays[f"{name}_classes"]))
        weights = arrays[f"{name}_weights"].astype(np.float32) * arrays[f"{name}_scale"][:, None]
        self._dense = np.ascontiguousarray(weights[:, :-SIZE].T)
        self._grams = np.ascontiguousarray(weights[:, -SIZE:].T)
        self._offsets = arrays[f"{name}_offsets"]
        self._sharpness = sharpness

    def probabilities(self, vectors: Floats, rows: list[tuple[NDArray[np.int64], Floats]]) -> Floats:
        """Shape (texts, classes); each row sums to 1."""
        scores = vectors @ self._dense + self._offsets
        for number, (columns, values) in enumerate(rows):
            scores[number] += values @ self._grams[columns]
        scaled = self._sharpness * scores
        scaled -= scaled.max(1, keepdims=True)
        expo = np.exp(scaled)
        return np.asarray(expo / expo.sum(1, keepdims=True), np.float32)


class Classifier:
    """Topic and status of short texts."""

    def __init__(self, encoder: Encoder) -> None:
        self.encoder = encoder
        sharpness = json.loads(TEMPERATURES.read_text())
        with np.load(WEIGHTS) as arrays:
            self._idf = arrays["idf"].astype(np.float32)
            self.topic = Linear(arrays, "topic", sharpness["topic"])
            self.status = Linear(arrays, "status", sharpness["status"])

    def judge(self, texts: Sequence[str]) -> tuple[Floats, Floats, Floats]:
        """Topic probabilities (N, 77), status probabilities (N, 5) and sentence vectors (N, 384)."""
        vectors = self.encoder.embed(texts)
        rows = [self._row(text) for text in texts]
        return self.topic.probabilities(vectors, rows), self.status.probabilities(vectors, rows), vectors

    def topics(self, texts: Sequence[str]) -> list[dict[str, float]]:
        """For each text every topic with its probability, likeliest first."""
        return [
            {self.topic.classes[n]: float(row[n]) for n in np.argsort(-row, kind="stable")}
            for row in self.judge(texts)[0]
        ]

    def _row(self, text: str) -> tuple[NDArray[np.int64], Floats]:
        counts = hashed(text)
        columns = np.fromiter(counts, np.int64, len(counts))
        values = np.fromiter(counts.values(), np.float32, len(counts)) * self._idf[columns]
        length = float(np.sqrt(values @ values))
        return columns, values / max(length, 1e-9)


@cache
def shipped_classifier() -> Classifier:
    """The classifier with the shipped weights. Raises: EncoderDamaged."""
    return Classifier(base_encoder())
