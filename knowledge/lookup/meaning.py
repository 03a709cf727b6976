"""The meaning side of look-up: how near a query's sentence vector lies to those of each entry.

When no encoder can be loaded or it fails, every likeness is 0 and the words decide alone; a warning is logged once.
"""

from __future__ import annotations

import logging
from collections.abc import Sequence
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from knowledge.lookup.texts import Searchable
from knowledge.lookup.vectors import Embed, vectors_of

Numbers = NDArray[np.float32]
_log = logging.getLogger(__name__)


class Meaning:
    """Likeness of a text to each of the entries.

    folder: keeps vectors of own rules. embed: sentences to unit vectors; the general encoder when None.
    """

    def __init__(self, items: Sequence[Searchable], folder: Path | None, embed: Embed | None) -> None:
        self._items = items
        self._folder = folder
        self._embed = embed
        self._off = False
        sizes = [len(item.sentences) for item in items]
        self._starts = np.cumsum([0, *sizes])[:-1].astype(np.intp)

    def likeness(self, text: str) -> tuple[Numbers, Numbers]:
        """(best cosine of any of an entry's sentences, cosine of its title), one number an entry."""
        if not self._off:
            try:
                # einsum keeps to one thread: the library's product waits for busy cores on each key press
                each = np.einsum("ij,j->i", self._rows, self._encode([text])[0])
                return np.maximum.reduceat(each, self._starts), each[self._starts]
            except Exception as error:  # the native library fails in ways of its own; the words go on
                _log.warning("look-up goes by words alone: %s", error)
                self._off = True
        nothing = np.zeros(len(self._items), np.float32)
        return nothing, nothing

    @cached_property
    def _encode(self) -> Embed:
        from knowledge.lookup.recognised import Remembering

        return self._embed or Remembering.embed

    @cached_property
    def _rows(self) -> Numbers:
        return vectors_of(
            [text for item in self._items for text in item.sentences], self._folder, self._encode
        )
