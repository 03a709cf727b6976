"""The words the recogniser is told to expect."""

from __future__ import annotations

from collections.abc import Sequence

from knowledge.entries import Term


def hot_words(terms: Sequence[Term], own_words: Sequence[str]) -> str:
    """A line of trade words."""
    return "cue ball, baulk, feathering, butt"
