"""What a player should see first: the last resolve, the one change, what is due, what is slipping."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from journal.care import pain_noted
from journal.history import last_intention
from journal.prescription import PAIN_FAULTS
from journal.records import (
    Change,
    ItemKind,
    ItemStatus,
    Note,
    PlanItem,
    Player,
    Polarity,
    Sighting,
    SightingStatus,
)
from journal.store.work import UnitOfWork

RECENT = 4
"""Days with a note that count as lately. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Slip:
    """A fault seen on more of the last note days than before: recent of recent_days, before of
    before_days."""

    fault: str
    recent: int
    recent_days: int
    before: int
    before_days: int


@dataclass(frozen=True, slots=True)
class Today:
    """The first screen's content. open_sightings: suggestions nobody has answered yet."""

    day: date
    notes: int
    intention: Note | None
    change: Change | None
    due: tuple[PlanItem, ...]
    next_items: tuple[PlanItem, ...]
    slipping: tuple[Slip, ...]
    open_sightings: int
    has_draft: bool
    pain: date | None


def look_at(work: UnitOfWork, player: Player, today: date) -> Today:
    """Everything the first screen tells, in one look."""
    sightings = work.sightings.all(order="day", player_id=player.id)
    days = sorted({note.day for note in work.notes.all(player_id=player.id)})
    changes = [
        each for each in work.changes.all(order="started_on", player_id=player.id) if each.ended_on is None
    ]
    items = [
        item
        for item in work.plan_items.all(order="day", player_id=player.id, status=ItemStatus.OPEN)
        if item.kind is not ItemKind.REST or item.minutes
    ]
    due = tuple(sorted((item for item in items if item.day == today), key=lambda item: item.start_minute))
    ahead = [item for item in items if item.day > today]
    return Today(
        day=today,
        notes=work.notes.count(player_id=player.id),
        intention=last_intention(work, player),
        change=changes[0] if changes else None,
        due=due,
        next_items=tuple(item for item in ahead if item.day == ahead[0].day),
        slipping=slipping(sightings, days),
        open_sightings=sum(each.status is SightingStatus.SUGGESTED for each in sightings),
        has_draft=work.drafts.count(player_id=player.id) > 0,
        pain=pain_noted(work, player),
    )


def slipping(sightings: list[Sighting], note_days: list[date]) -> tuple[Slip, ...]:
    """Faults confirmed on at least two of the last four note days and on a larger share of them than
    before."""
    recent, before = note_days[-RECENT:], note_days[-2 * RECENT : -RECENT]
    found = []
    for fault in {each.fault for each in sightings} - PAIN_FAULTS:
        seen = {
            each.day
            for each in sightings
            if each.fault == fault
            and each.status is SightingStatus.CONFIRMED
            and each.polarity in (Polarity.PRESENT, Polarity.WORSE)
        }
        now, then = len(seen & set(recent)), len(seen & set(before))
        if now >= 2 and now / len(recent) > (then / len(before) if before else 0.0):
            found.append(Slip(fault, now, len(recent), then, len(before)))
    return tuple(sorted(found, key=lambda slip: (-slip.recent, slip.before, slip.fault)))
