"""The fine-tuned encoder: a whole note's token vectors, each seen in context, and the mean of any span of them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from knowledge.reading.encoder import VOCAB, Session

ENCODER = Path(__file__).parent / "encoder.onnx"
ENCODER_SHA256 = "c129969dee9570fc381a3e19f400cb298f59560d7b1e0717f52903b5f97f9753"
BODY, BEFORE = 240, 60
"""Tokens read at a time, and how many of those before them are shown again for their context."""
BATCH = 4
_STOP = re.compile(r"[.!?\n]")


class Tokens:
    """Token vectors of a text. starts, ends: characters, shape (T,); vectors: shape (T, 384)."""

    def __init__(
        self, starts: NDArray[np.int64], ends: NDArray[np.int64], vectors: NDArray[np.float32]
    ) -> None:
        self.starts, self.ends = starts, ends
        self._sums = np.zeros((len(starts) + 1, vectors.shape[1] if vectors.size else 384))
        if vectors.size:
            np.cumsum(vectors, axis=0, out=self._sums[1:])

    def pooled(self, spans: Sequence[tuple[int, int]]) -> NDArray[np.float32]:
        """The unit mean vector of each span's tokens, shape (len(spans), 384); zeros where a span has no token."""
        first = np.searchsorted(self.ends, [start for start, _ in spans], side="right")
        last = np.searchsorted(self.starts, [end for _, end in spans], side="left")
        total = self._sums[np.maximum(first, last)] - self._sums[first]
        return np.asarray(total / np.maximum(np.linalg.norm(total, axis=1, keepdims=True), 1e-9), np.float32)


class ContextEncoder:
    """Runs the fine-tuned encoder over texts of any length. Raises: EncoderDamaged."""

    def __init__(self, path: Path, sha256: str, threads: int = 1) -> None:
        from tokenizers import BertWordPieceTokenizer

        self.sha256 = sha256
        self._session = Session(path, sha256, threads)
        self._words: Any = BertWordPieceTokenizer(str(VOCAB), lowercase=True)
        self._first, self._last = (self._words.token_to_id(each) for each in ("[CLS]", "[SEP]"))

    def read(self, text: str) -> Tokens:
        """The text's token vectors; long texts window by window, with some context before each."""
        code = self._words.encode(text, add_special_tokens=False)
        offsets = np.array(code.offsets, np.int64).reshape(-1, 2)
        vectors = np.zeros((len(code.ids), 384), np.float32)
        windows = list(_windows(text, code.offsets))
        for at in range(0, len(windows), BATCH):
            part = windows[at : at + BATCH]
            ids = [[self._first, *code.ids[shown:end], self._last] for shown, _, end in part]
            for row, (shown, start, end) in zip(self._session.run(ids), part, strict=True):
                vectors[start:end] = row[1 + start - shown : 1 + end - shown]
        return Tokens(offsets[:, 0], offsets[:, 1], vectors)


def _windows(text: str, offsets: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int, int]]:
    """(first token shown, first token read, end) of each window; cut after a sentence's end where there is one."""
    start = 0
    while start < len(offsets):
        end = min(start + BODY, len(offsets))
        if end < len(offsets):
            stops = (n for n in range(end, start + BODY // 2, -1) if _STOP.search(text, *_gap(offsets, n)))
            end = next(stops, end)
        yield max(0, start - BEFORE), start, end
        start = end


def _gap(offsets: Sequence[tuple[int, int]], number: int) -> tuple[int, int]:
    """The characters of the token before a cut and of the gap after it."""
    return offsets[number - 1][0], offsets[number][0]


@cache
def context_encoder() -> ContextEncoder:
    """The shipped fine-tuned encoder. Raises: EncoderDamaged."""
    return ContextEncoder(ENCODER, ENCODER_SHA256, threads=2)
