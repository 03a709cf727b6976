"""What the journal keeps: frozen records. Times are UTC-aware, days are the player's local days.

``None`` means "not known". Lengths are millimetres. A sighting is a fact somebody noticed; a cause is only
ever a probability, so the two never share a record.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import Any, NewType

PlayerId = NewType("PlayerId", str)
RecordId = NewType("RecordId", str)


class Polarity(StrEnum):
    """How a fault is spoken of."""

    PRESENT = "present"
    ABSENT = "absent"
    BETTER = "better"
    WORSE = "worse"


class SightingStatus(StrEnum):
    """What the person said to a suggested sighting."""

    SUGGESTED = "suggested"
    CONFIRMED = "confirmed"
    DROPPED = "dropped"


class SeenBy(StrEnum):
    """Who noticed; a coach counts more than the player, a film more than both."""

    PLAYER = "player"
    COACH = "coach"
    FILM = "film"


class ChangeStatus(StrEnum):
    """Where the one change stands."""

    RUNNING = "running"
    KEPT = "kept"
    DROPPED = "dropped"
    EXTENDED = "extended"


class ItemKind(StrEnum):
    """What a plan item or a result is. TRIAL: of a dilemma's answers in shuffled order; never in a plan."""

    DRILL = "drill"
    RECHECK = "recheck"
    MATCH = "match"
    REST = "rest"
    TRIAL = "trial"


class ItemStatus(StrEnum):
    """What became of a plan item."""

    OPEN = "open"
    DONE = "done"
    MISSED = "missed"
    CANCELLED = "cancelled"


@dataclass(frozen=True, slots=True)
class Player:
    """Somebody whose faults are kept. ``name`` is a code or first name, unique in a journal."""

    id: PlayerId
    name: str
    created_at: datetime
    hand: str = "right"
    level: str = "club"
    birth_year: int | None = None
    guardian_consent: str | None = None
    height_mm: float | None = None
    hand_mm: float | None = None
    shoulder_mm: float | None = None
    upper_arm_mm: float | None = None
    forearm_mm: float | None = None
    time_zone: str = "UTC"
    archived: bool = False


@dataclass(frozen=True, slots=True)
class Note:
    """A reflection in the player's own words, in three short fields."""

    player_id: PlayerId
    id: RecordId
    played_at: datetime
    day: date
    created_at: datetime
    went_well: str = ""
    went_wrong: str = ""
    next_time: str = ""
    kind: str = "practice"
    minutes: int | None = None
    table_name: str | None = None
    origin: str = "typed"
    audio: str | None = None

    @property
    def text(self) -> str:
        """The three fields as one text; sightings' spans are offsets into it."""
        return "\n".join(part for part in (self.went_well, self.went_wrong, self.next_time) if part)


@dataclass(frozen=True, slots=True)
class Sighting:
    """One fault noticed, mostly in one note.

    start, end: character offsets into the note's text, end exclusive. confidence: calibrated probability
    in [0, 1].
    """

    player_id: PlayerId
    id: RecordId
    note_id: RecordId | None
    day: date
    fault: str
    polarity: Polarity
    count: int | None = None
    start: int = 0
    end: int = 0
    words: str = ""
    confidence: float = 1.0
    status: SightingStatus = SightingStatus.SUGGESTED
    seen_by: SeenBy = SeenBy.PLAYER
    context: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """A score ("7 out of 10") or a measure ("about 35 cm") told in a note."""

    player_id: PlayerId
    id: RecordId
    note_id: RecordId
    day: date
    kind: str
    value: float
    of: float | None = None
    unit: str | None = None
    words: str = ""
    about: str | None = None


@dataclass(frozen=True, slots=True)
class Draft:
    """An unfinished note, saved while it is written."""

    player_id: PlayerId
    saved_at: datetime
    fields: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class OwnUtterance:
    """How this player puts a fault, learnt from a correction. ``fault`` may be "none"."""

    player_id: PlayerId
    id: RecordId
    text: str
    fault: str
    polarity: Polarity
    created_at: datetime


@dataclass(frozen=True, slots=True)
class CheckResult:
    """The outcome of a check that was done."""

    player_id: PlayerId
    id: RecordId
    check_id: str
    outcome_id: str
    taken_at: datetime
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Change:
    """The one change a player works on, with a start, a stop date and the measure that decides.

    started_at: the moment it was begun; None in journals from before it was kept.
    """

    player_id: PlayerId
    id: RecordId
    fault: str
    cause: str
    instruction: str
    drills: tuple[str, ...]
    checkpoint: str | None
    measure: str
    started_on: date
    stop_on: date
    status: ChangeStatus = ChangeStatus.RUNNING
    ended_on: date | None = None
    verdict: str = ""
    started_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class FreeTime:
    """When a player can practise: an RFC 5545 recurrence in local time, a start minute of the day and
    minutes."""

    player_id: PlayerId
    id: RecordId
    rule: str
    first_day: date
    start_minute: int
    minutes: int
    at_table: bool = True
    partner: bool = False
    except_days: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BusyTime:
    """Time that is taken, read from a calendar or kept off a plan: an RFC 5545 recurrence in local time, a start
    minute of the day and minutes."""

    player_id: PlayerId
    id: RecordId
    rule: str
    first_day: date
    start_minute: int
    minutes: int


@dataclass(frozen=True, slots=True)
class Match:
    """A match or another fixed date."""

    player_id: PlayerId
    id: RecordId
    day: date
    start_minute: int
    name: str = ""
    important: bool = True
    blocks_only: bool = False


@dataclass(frozen=True, slots=True)
class PlanItem:
    """One thing to do on one day. ``ref``: a drill's, fault's or match's id. ``uid``: stable calendar id."""

    player_id: PlayerId
    id: RecordId
    plan_id: RecordId
    day: date
    start_minute: int
    minutes: float
    kind: ItemKind
    ref: str
    why: str
    uid: str
    status: ItemStatus = ItemStatus.OPEN
    sequence: int = 0


@dataclass(frozen=True, slots=True)
class Plan:
    """A dated plan as it was built; it is stored, never recomputed on view."""

    player_id: PlayerId
    id: RecordId
    made_at: datetime
    first_day: date
    days: int
    change_id: RecordId | None = None
    gap: float | None = None
    settings: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Result:
    """A scored drill, re-check or trial. ``detail``: the balls one by one, ladder rungs, context."""

    player_id: PlayerId
    id: RecordId
    ref: str
    kind: ItemKind
    day: date
    taken_at: datetime
    hits: int
    tries: int
    minutes: float | None = None
    item_id: RecordId | None = None
    open: bool = False
    detail: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Question:
    """A pupil's question that came in, and the coach's reply."""

    player_id: PlayerId
    id: RecordId
    asked_at: datetime
    text: str
    reply: str = ""
    sent_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Setting:
    """One remembered choice of the journal."""

    key: str
    value: dict[str, Any]
