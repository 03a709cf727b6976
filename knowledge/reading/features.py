"""Hashed word and character n-grams of a text, as a sparse vector of 2**14 numbers.

Words one and two at a time; characters two to five at a time inside padded words. Hash: CRC-32, so that the
same text gives the same numbers on every machine.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

SIZE = 1 << 14
_WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)*|\?")


def words_of(text: str) -> list[str]:
    """Lower-case words; an apostrophe stays inside its word, a question mark is a word."""
    return [word.replace("’", "'") for word in _WORD.findall(text.lower())]


def grams_of(text: str) -> Iterator[str]:
    """Every n-gram of a text, with a mark for its sort."""
    words = words_of(text)
    for word in words:
        yield "w:" + word
        padded = f" {word} "
        for size in range(2, 6):
            for start in range(len(padded) - size + 1):
                yield "c:" + padded[start : start + size]
    for first, second in pairwise(words):
        yield f"b:{first} {second}"
    for first, second in zip(words, words[2:], strict=False):
        yield f"s:{first} {second}"


def hashed(text: str) -> dict[int, float]:
    """Column to damped count, 1 + ln n."""
    counts = Counter(crc32(gram.encode()) % SIZE for gram in grams_of(text))
    return {column: 1.0 + float(np.log(count)) for column, count in counts.items()}


def sparse_rows(texts: Sequence[str]) -> tuple[NDArray[np.int64], NDArray[np.int32], NDArray[np.float32]]:
    """The texts' n-grams in compressed rows: row starts (len(texts) + 1), columns and values."""
    starts, columns, values = [0], list[int](), list[float]()
    for text in texts:
        row = hashed(text)
        columns.extend(row)
        values.extend(row.values())
        starts.append(len(columns))
    return np.array(starts, np.int64), np.array(columns, np.int32), np.array(values, np.float32)
