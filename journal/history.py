"""A player's past: notes with their sightings, and each fault as a row through time."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from journal.records import Figure, Note, Player, Polarity, Sighting, SightingStatus
from journal.store.work import UnitOfWork

COUNTED = (SightingStatus.CONFIRMED, SightingStatus.SUGGESTED)


@dataclass(frozen=True, slots=True)
class PastNote:
    """One note with what was read from it (dropped sightings left out)."""

    note: Note
    sightings: tuple[Sighting, ...]
    figures: tuple[Figure, ...]


@dataclass(frozen=True, slots=True)
class FaultRow:
    """One fault through time: its sightings, days seen, and in how many of the sessions since the first
    sighting.

    sessions: days with a note from this fault's first sighting on. times: counted times, at least one a
    sighting.
    """

    fault: str
    sightings: tuple[Sighting, ...]
    days: tuple[date, ...]
    sessions: int
    times: int
    confirmed: int

    @property
    def last(self) -> date:
        """The latest day it was spoken of."""
        return self.sightings[-1].day


def past_notes(work: UnitOfWork, player: Player, limit: int | None = None) -> list[PastNote]:
    """The player's notes, latest first."""
    notes = work.notes.all(order="-played_at", player_id=player.id)[:limit]
    ids = [note.id for note in notes]
    sightings: dict[str, list[Sighting]] = defaultdict(list)
    figures: dict[str, list[Figure]] = defaultdict(list)
    for sighting in work.sightings.all(order="start", player_id=player.id):
        if sighting.note_id in ids and sighting.status is not SightingStatus.DROPPED:
            sightings[str(sighting.note_id)].append(sighting)
    for figure in work.figures.all(player_id=player.id):
        figures[figure.note_id].append(figure)
    return [PastNote(note, tuple(sightings[note.id]), tuple(figures[note.id])) for note in notes]


def last_intention(work: UnitOfWork, player: Player) -> Note | None:
    """The latest note that says what to do next time."""
    notes = work.notes.all(order="-played_at", player_id=player.id)
    return next((note for note in notes if note.next_time), None)


def fault_rows(work: UnitOfWork, player: Player) -> list[FaultRow]:
    """Each fault this player has spoken of, the most often seen first."""
    by_fault: dict[str, list[Sighting]] = defaultdict(list)
    for sighting in work.sightings.all(order="day", player_id=player.id):
        if sighting.status in COUNTED:
            by_fault[sighting.fault].append(sighting)
    session_days = sorted({note.day for note in work.notes.all(player_id=player.id)})
    rows = []
    for fault, sightings in by_fault.items():
        seen = [each for each in sightings if each.polarity in (Polarity.PRESENT, Polarity.WORSE)]
        days = tuple(sorted({each.day for each in seen}))
        since = sightings[0].day
        sessions = len({*(day for day in session_days if day >= since), *days})
        times = sum(each.count or 1 for each in seen)
        confirmed = sum(each.status is SightingStatus.CONFIRMED for each in sightings)
        rows.append(FaultRow(fault, tuple(sightings), days, sessions, times, confirmed))
    return sorted(rows, key=lambda row: (-len(row.days), -row.times, row.fault))
