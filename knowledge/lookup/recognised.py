"""The trained fault recogniser as a further voice of look-up, and the query's vector shared between the voices."""

from __future__ import annotations

import logging
from collections.abc import Mapping, Sequence
from functools import cache, lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from knowledge.reading.recogniser import Recogniser

DOUBT = 0.5
"""Power of the recogniser's probabilities for a query."""
_log = logging.getLogger(__name__)


class Remembering:
    """The general encoder; a text asked for lately is not computed again."""

    @staticmethod
    def embed(texts: Sequence[str]) -> NDArray[np.float32]:
        """Unit vectors, shape (len(texts), 384). Raises: EncoderDamaged."""
        from knowledge.reading.encoder import base_encoder

        return _one(texts[0]) if len(texts) == 1 else base_encoder().embed(texts)


@lru_cache(maxsize=256)
def _one(text: str) -> NDArray[np.float32]:
    from knowledge.reading.encoder import base_encoder

    vector = base_encoder().embed([text])
    vector.flags.writeable = False
    return vector


def fault_chances(text: str) -> Mapping[str, float]:
    """The chance of each fault that the recogniser hears in a text; empty when it cannot be loaded."""
    recogniser = _recogniser()
    if recogniser is None or not text:
        return {}
    # a query is no report of play: the recogniser, made for those, is believed less than it says
    chances = recogniser.read(text).judge([(0, len(text))])[0][0] ** DOUBT
    return dict(zip(recogniser.topics, (chances / chances.sum()).tolist(), strict=True))


@cache
def _recogniser() -> Recogniser | None:
    try:
        from knowledge.reading.recogniser import shipped_recogniser

        return shipped_recogniser()
    except (
        Exception
    ) as error:  # a native library or a weight file that cannot be loaded: the other voices go on
        _log.warning("look-up goes without the fault recogniser: %s", error)
        return None
