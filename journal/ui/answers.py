"""What the person says to each sighting while the note is still written, and how it reaches the journal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import StrEnum

from journal.draft_answers import DraftAnswer, flat, standing
from journal.notes import answer, correct
from journal.records import Polarity, Sighting, SightingStatus
from journal.store.work import UnitOfWork
from knowledge.reading.types import Guess, Mention


class Said(StrEnum):
    """The person's word on a sighting, as it is shown."""

    OPEN = "right?"
    KEPT = "keep"
    CORRECTED = "corrected"
    DROPPED = "dropped"


@dataclass(frozen=True, slots=True)
class Seen:
    """One sighting on the screen. read_as: what the reading made of the words; fault: what holds now."""

    read_as: str
    fault: str
    polarity: Polarity
    read_polarity: Polarity
    count: int | None
    start: int
    end: int
    words: str
    confidence: float
    guesses: tuple[Guess, ...] = ()
    said: Said = Said.OPEN

    @property
    def key(self) -> tuple[str, str]:
        """The same sighting in the next reading of the growing text."""
        return self.read_as, flat(self.words)


def of_mention(mention: Mention) -> Seen:
    """A suggestion fresh from the reader."""
    polarity = Polarity(mention.polarity)
    return Seen(
        mention.fault, mention.fault, polarity, polarity, mention.count, mention.start, mention.end,
        mention.words, mention.confidence, mention.guesses,
    )  # fmt: skip


def of_sighting(sighting: Sighting) -> Seen:
    """A stored sighting."""
    said = {
        SightingStatus.SUGGESTED: Said.OPEN,
        SightingStatus.CONFIRMED: Said.KEPT,
        SightingStatus.DROPPED: Said.DROPPED,
    }[sighting.status]
    return Seen(
        sighting.fault, sighting.fault, sighting.polarity, sighting.polarity, sighting.count, sighting.start,
        sighting.end, sighting.words, sighting.confidence, (), said,
    )  # fmt: skip


@dataclass
class Answers:
    """What was said so far, kept while the text is read again and again."""

    by_key: dict[tuple[str, str], Seen] = field(default_factory=dict)

    def laid_over(self, mentions: Iterable[Mention]) -> list[Seen]:
        """The reading's mentions with what the person has said to them already."""
        rows = []
        for mention in mentions:
            row = of_mention(mention)
            old = self.by_key.get(row.key)
            if old is not None:
                row = replace(row, fault=old.fault, polarity=old.polarity, said=old.said)
            rows.append(row)
        return rows

    def say(self, row: Seen) -> None:
        """Remember a word on a sighting."""
        self.by_key[row.key] = row

    def for_draft(self) -> tuple[DraftAnswer, ...]:
        """What was said, as an unfinished note keeps it."""
        return tuple(
            DraftAnswer(row.read_as, row.words, row.fault, row.polarity, row.said.value)
            for row in self.by_key.values()
        )

    def of_draft(self, answers: Iterable[DraftAnswer]) -> None:
        """Take over what was said before the note was left; what was said since goes before it."""
        for each in answers:
            row = Seen(
                each.read_as, each.fault, each.polarity, each.polarity, None, 0, 0, each.words, 0.0,
                said=Said(each.said),
            )  # fmt: skip
            self.by_key.setdefault(row.key, row)

    def forget_gone(self, text: str) -> bool:
        """Answers belong to the words: those whose words stand no longer go. Whether any went."""
        kept = {(each.read_as, flat(each.words)) for each in standing(self.for_draft(), text)}
        gone = [key for key in self.by_key if key not in kept]
        for key in gone:
            del self.by_key[key]
        return bool(gone)


def store_answers(
    work: UnitOfWork, sightings: Sequence[Sighting], answers: Answers, now: datetime
) -> list[Sighting]:
    """Put what the person said on the stored suggestions; what was not answered stays a suggestion."""
    return [
        store_answer(work, each, row, now) if (row := answers.by_key.get(of_sighting(each).key)) else each
        for each in sightings
    ]


def store_answer(work: UnitOfWork, sighting: Sighting, row: Seen, now: datetime) -> Sighting:
    """Put one word on one stored sighting."""
    if row.said is Said.KEPT and row.fault == sighting.fault and row.polarity == sighting.polarity:
        return answer(work, sighting, SightingStatus.CONFIRMED)
    if row.said is Said.DROPPED:
        return answer(work, sighting, SightingStatus.DROPPED)
    if row.said in (Said.KEPT, Said.CORRECTED):
        return correct(work, sighting, None if row.fault == "none" else row.fault, now, row.polarity)
    return work.sightings.put(replace(sighting, status=SightingStatus.SUGGESTED))
