"""The trained fault recogniser as a further voice of look-up, loaded with the first longer query."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from knowledge.reading.classifier import Classifier

_log = logging.getLogger(__name__)


def fault_chances(text: str) -> Mapping[str, float]:
    """The chance of each fault that the recogniser hears in a text; empty when it cannot be loaded."""
    classifier = _classifier()
    return {} if classifier is None else classifier.topics([text])[0]


@cache
def _classifier() -> Classifier | None:
    try:
        from knowledge.reading.classifier import shipped_classifier

        return shipped_classifier()
    except (
        Exception
    ) as error:  # a native library or a weight file that cannot be loaded: the other voices go on
        _log.warning("look-up goes without the fault recogniser: %s", error)
        return None
