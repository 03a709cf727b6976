"""How the voices are weighed: numbers of each candidate, and what each cue says for each kind of entry.

The weights lie in ``weights.json``; ``python -m tests.quality.lookup --fit`` fits them on the development
queries.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from knowledge.lookup.intent import CUES
from knowledge.lookup.texts import SEARCHED

NUMBERS = (
    "words",  # BM25F, as a share of the best
    "words_root",  # its square root
    "covered",  # share of the query's words that stand in the entry
    "rare_covered",  # the same, rare words counting more
    "title_covered",  # share of the entry's title that the query says
    "asks_title",  # share of the query's words that stand in one of the entry's names
    "named",  # 1 when the query is one of the entry's names
    "like",  # best cosine of any of its sentences
    "like_short",  # the same, less the best of all
    "title_like",  # cosine of its title
    "recognised",  # square root of the chance by the fault recogniser
    "kin",  # best cosine of a fault that the entry is linked with
    "kin_recognised",  # square root of the best chance of a fault that the entry is linked with
    "like_in_kind",  # cosine less the best of its kind
    "words_in_kind",  # BM25F as a share of the best of its kind
)
BY_KIND = ("words", "title_covered", "asks_title", "named", "like_short", "like_in_kind")
"""Numbers that count differently from kind to kind: a term is asked for by name, a fault by its meaning."""
ALL_CUES = ("any", *CUES)
WEIGHTS = Path(__file__).parent / "weights.json"
_BY_KIND = [NUMBERS.index(name) for name in BY_KIND]
_COLUMNS = (*ALL_CUES, *BY_KIND)
Floats = NDArray[np.float32]


def rows_of(numbers: Floats, kinds: NDArray[np.intp], cues: Floats) -> Floats:
    """One row a candidate: its numbers, then the cues and the numbers by kind in its kind's columns."""
    table = np.zeros((len(numbers), len(SEARCHED), len(_COLUMNS)), np.float32)
    rows = np.arange(len(numbers))
    table[rows, kinds, : len(ALL_CUES)] = cues
    table[rows, kinds, len(ALL_CUES) :] = numbers[:, _BY_KIND]
    return np.hstack([numbers, table.reshape(len(numbers), -1)])


@dataclass(frozen=True, slots=True)
class Weights:
    """One weight for each column of ``rows_of``."""

    values: Floats

    def score(self, numbers: Floats, kinds: NDArray[np.intp], cues: Floats) -> Floats:
        """Each candidate's score; larger is better. kinds: places in ``SEARCHED``."""
        table = self.values[len(NUMBERS) :].reshape(len(SEARCHED), len(_COLUMNS))
        by_cue = (table[:, : len(ALL_CUES)] @ cues)[kinds]
        by_kind = (numbers[:, _BY_KIND] * table[kinds, len(ALL_CUES) :]).sum(axis=1)
        return np.asarray(numbers @ self.values[: len(NUMBERS)] + by_cue + by_kind, np.float32)

    def as_json(self) -> dict[str, dict[str, object]]:
        """The weights by name."""
        numbers = [round(float(value), 3) for value in self.values[: len(NUMBERS)]]
        table = self.values[len(NUMBERS) :].reshape(len(SEARCHED), len(_COLUMNS))
        kinds: dict[str, object] = {
            kind: {name: round(float(value), 3) for name, value in zip(_COLUMNS, row, strict=True)}
            for kind, row in zip(SEARCHED, table, strict=True)
        }
        return {"numbers": dict(zip(NUMBERS, numbers, strict=True)), "kinds": kinds}


def weights_from(held: Mapping[str, Any]) -> Weights:
    """Weights from their JSON form; a name that is missing counts 0."""
    numbers = [held["numbers"].get(name, 0.0) for name in NUMBERS]
    table = [held["kinds"].get(kind, {}).get(name, 0.0) for kind in SEARCHED for name in _COLUMNS]
    return Weights(np.array([*numbers, *table], np.float32))


def read_weights(path: Path = WEIGHTS) -> Weights:
    """The shipped weights."""
    return weights_from(json.loads(path.read_text(encoding="utf-8")))
