"""The trained recogniser over the fine-tuned encoder: what each span of a note speaks of, and how."""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from knowledge.reading.context import ContextEncoder, Tokens, context_encoder

WEIGHTS = Path(__file__).parent / "recogniser.npz"
CALIBRATION = Path(__file__).parent / "calibration.json"
Floats = NDArray[np.float32]
Spans = Sequence[tuple[int, int]]

HEADS = ("topic", "status", "words", "numbers", "scores")


class Softmax:
    """A linear layer over unit vectors with a softmax of fitted sharpness."""

    def __init__(self, arrays: Any, name: str, sharpness: float) -> None:
        self.classes: list[str] = json.loads(str(arrays[f"{name}_classes"]))
        self._weights = np.ascontiguousarray(arrays[f"{name}_weights"].T.astype(np.float32)) * sharpness
        self._offsets = arrays[f"{name}_offsets"].astype(np.float32) * sharpness

    def __call__(self, vectors: Floats) -> Floats:
        """Shape (N, classes); each row sums to 1."""
        scores = vectors @ self._weights + self._offsets
        expo = np.exp(scores - scores.max(1, keepdims=True))
        return np.asarray(expo / expo.sum(1, keepdims=True), np.float32)


class Recogniser:
    """Clauses, topics, statuses, counts and scores of a text, by the HEADS."""

    def __init__(
        self, encoder: ContextEncoder, weights: Path = WEIGHTS, sharpness: dict[str, float] | None = None
    ) -> None:
        self.encoder = encoder
        sharpness = sharpness or json.loads(CALIBRATION.read_text())["sharpness"]
        with np.load(weights) as arrays:
            self.heads = {name: Softmax(arrays, name, sharpness[name]) for name in HEADS}

    @property
    def topics(self) -> list[str]:
        """The classes of the topic, the faults and none."""
        return self.heads["topic"].classes

    def read(self, text: str) -> Judged:
        """The text, encoded once; any of its spans can then be judged."""
        return Judged(self, self.encoder.read(text))


class Judged:
    """One text's token vectors and what the recogniser makes of spans of it."""

    def __init__(self, recogniser: Recogniser, tokens: Tokens) -> None:
        self._heads, self._tokens = recogniser.heads, tokens

    def judge(self, spans: Spans) -> tuple[Floats, Floats]:
        """Topic probabilities (N, 77) and status probabilities (N, 5) of the spans."""
        vectors = self._tokens.pooled(spans)
        return self._heads["topic"](vectors), self._heads["status"](vectors)

    def starts(self, words: Spans) -> Floats:
        """For each word the probability that a new clause begins with it; shape (N,)."""
        return self._heads["words"](self._tokens.pooled(words))[:, 1]

    def counts(self, numbers: Spans) -> Floats:
        """For each number the probability that it tells how often a fault came; shape (N,)."""
        return self._heads["numbers"](self._tokens.pooled(numbers))[:, 1]

    def scores(self, numbers: Spans) -> Floats:
        """For each number without unit or total the probability that it is a score; shape (N,)."""
        return self._heads["scores"](self._tokens.pooled(numbers))[:, 1]


@cache
def shipped_recogniser() -> Recogniser:
    """The recogniser with the shipped weights. Raises: EncoderDamaged."""
    return Recogniser(context_encoder())
