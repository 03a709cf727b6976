"""Sentence vectors of the entries: shipped for the shipped rules, kept in the cache folder for own ones.

Each vector is found by a hash of its text, so a changed rule costs one new vector and never a wrong one.
``python -m knowledge.lookup.vectors`` writes ``vectors.npz`` anew after the rules were changed.
"""

from __future__ import annotations

import hashlib
import io
import logging
import zipfile
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from knowledge.reading.encoder import BASE_SHA256
from knowledge.rulecache import write_whole

SHIPPED = Path(__file__).parent / "vectors.npz"
WIDTH = 384
MAX_KEPT = 200_000
Embed = Callable[[Sequence[str]], NDArray[np.float32]]
Vectors = NDArray[np.float32]
_log = logging.getLogger(__name__)


def text_key(text: str) -> int:
    """The first 8 bytes of the text's SHA-256 as a number."""
    return int.from_bytes(hashlib.sha256(text.encode("utf-8", "replace")).digest()[:8], "big")


class VectorStore:
    """Vectors by text: bytes of one eighth of a percent of the widest value, 384 numbers each.

    model: the encoder's hash; a file made with another encoder is passed over.
    """

    def __init__(self, model: str = BASE_SHA256) -> None:
        self.model = model
        self.rows: dict[int, NDArray[np.int8]] = {}
        self.scales: dict[int, float] = {}

    def read(self, path: Path) -> bool:
        """Add a file's vectors; False when there is no such file, or it is damaged or of another encoder."""
        try:
            with np.load(path, allow_pickle=False) as held:
                if str(held["model"]) != self.model:
                    return False
                keys, codes, scales = held["keys"], held["codes"], held["scales"]
        except (
            OSError,
            ValueError,
            KeyError,
            EOFError,
            zipfile.BadZipFile,
            zipfile.LargeZipFile,
            MemoryError,
        ):
            return False
        fits = codes.dtype == np.int8 and codes.shape == (len(keys), WIDTH) and scales.shape == (len(keys),)
        if not fits or keys.dtype != np.uint64 or not np.isfinite(scales).all():
            return False
        for key, code, scale in zip(keys.tolist(), codes, scales.tolist(), strict=True):
            self.rows[key] = code
            self.scales[key] = scale
        return True

    def write(self, path: Path, texts: Iterable[str]) -> None:
        """Write these texts' vectors, whole or not at all. Raises: OSError; KeyError for an unknown text."""
        keys = sorted({text_key(text) for text in texts})
        raw = io.BytesIO()
        np.savez_compressed(
            raw,
            model=np.array(self.model),
            keys=np.array(keys, np.uint64),
            codes=np.array([self.rows[key] for key in keys], np.int8).reshape(-1, WIDTH),
            scales=np.array([self.scales[key] for key in keys], np.float32),
        )
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, raw.getvalue())

    def missing(self, texts: Iterable[str]) -> list[str]:
        """The texts without a vector, each once."""
        return [text for text in dict.fromkeys(texts) if text_key(text) not in self.rows]

    def add(self, texts: Sequence[str], vectors: Vectors) -> None:
        """Keep the texts' unit vectors, rounded to bytes."""
        scales = np.abs(vectors).max(axis=1) / 127.0
        codes = np.round(vectors / scales[:, None]).astype(np.int8)
        for text, code, scale in zip(texts, codes, scales.tolist(), strict=True):
            self.rows[text_key(text)] = code
            self.scales[text_key(text)] = float(np.float32(scale))

    def matrix(self, texts: Sequence[str]) -> Vectors:
        """Unit vectors, shape (len(texts), 384). Raises: KeyError for a text without one."""
        keys = [text_key(text) for text in texts]
        found = np.array([self.rows[key] for key in keys], np.float32).reshape(-1, WIDTH)
        found *= np.array([self.scales[key] for key in keys], np.float32)[:, None]
        return np.asarray(found / np.linalg.norm(found, axis=1, keepdims=True), np.float32)


def vectors_of(texts: Sequence[str], folder: Path | None, embed: Embed | None) -> Vectors:
    """The texts' vectors: from the shipped file, the cache folder, or computed now and kept there.

    Raises: KeyError when some are missing and there is no encoder.
    """
    store = VectorStore()
    store.read(SHIPPED)
    missing = store.missing(texts)
    own = folder / "vectors.npz" if folder else None
    if missing and own:
        store.read(own)
        missing = store.missing(missing)
    if missing and embed:
        store.add(missing, embed(missing))
        if own and len(store.rows) <= MAX_KEPT:
            _keep(store, own, texts)
    return store.matrix(texts)


def _keep(store: VectorStore, own: Path, texts: Sequence[str]) -> None:
    shipped = VectorStore()
    shipped.read(SHIPPED)
    try:
        store.write(own, shipped.missing(texts))
    except OSError as error:
        _log.debug("vectors are not kept: %s", error)


def build(path: Path = SHIPPED) -> int:
    """Write the shipped rules' vectors; returns how many."""
    from knowledge.lookup.texts import searchables
    from knowledge.reading.encoder import base_encoder
    from knowledge.rulebase import read_rules

    base, _ = read_rules()
    texts = list(dict.fromkeys(text for item in searchables(base.entries) for text in item.sentences))
    store = VectorStore()
    store.add(texts, base_encoder().embed(texts))
    store.write(path, texts)
    path.chmod(0o644)
    return len(texts)


if __name__ == "__main__":
    print(f"{build()} vectors, {SHIPPED.stat().st_size:,} bytes: {SHIPPED.name}")
