"""Trade-term repair (first shape)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from knowledge.entries import Term


@dataclass(frozen=True, slots=True)
class Repair:
    """One replacement: ``text[start:end] == meant`` in the repaired text; ``heard`` stood there before."""

    start: int
    end: int
    heard: str
    meant: str


def repair(text: str, terms: Sequence[Term], own_words: Sequence[str] = ()) -> tuple[str, tuple[Repair, ...]]:
    """The text with trade terms put right, and what was changed."""
    return text, ()


def undo(text: str, repair: Repair) -> str:
    """The text with one repair taken back. The repair must still stand at its place."""
    return text[: repair.start] + repair.heard + text[repair.end :]
