"""What a person said to the sightings of an unfinished note, kept with its draft for as long as the words stand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from journal.records import Polarity


@dataclass(frozen=True, slots=True)
class DraftAnswer:
    """One answer. read_as: the fault that was read in the words; fault, polarity: what holds now ("none" for no
    fault); said: the answer as the screen keeps it.
    """

    read_as: str
    words: str
    fault: str
    polarity: Polarity
    said: str


def flat(text: str) -> str:
    """The text as words are compared in it: one line, no capitals."""
    return " ".join(text.casefold().split())


def standing(answers: Iterable[DraftAnswer], text: str) -> tuple[DraftAnswer, ...]:
    """The answers whose words still stand in the text."""
    answers = tuple(answers)
    said = flat(text) if answers else ""
    return tuple(each for each in answers if flat(each.words) in said)


def packed(answers: Iterable[DraftAnswer]) -> list[dict[str, Any]]:
    """As plain values for a draft's row."""
    return [asdict(each) for each in answers]


def unpacked(rows: Iterable[Mapping[str, Any]]) -> tuple[DraftAnswer, ...]:
    """Back from a draft's row; drafts of earlier versions have none."""
    return tuple(DraftAnswer(**{**row, "polarity": Polarity(row["polarity"])}) for row in rows)
