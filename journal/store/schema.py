"""The tables. Every row of a player carries the player's id in its key.

One table a record type; column names are the record's field names, so a record and its row map by name.
"""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from enum import StrEnum
from typing import Any

import sqlalchemy as sa
from sqlalchemy.types import TypeDecorator

from journal.records import ChangeStatus, ItemKind, ItemStatus, Polarity, SeenBy, SightingStatus

metadata = sa.MetaData()
_DOUBLE: sa.types.TypeEngine[float] = sa.Double().with_variant(sa.REAL(), "sqlite")
"""STRICT tables of SQLite know REAL only."""


class UtcTime(TypeDecorator[datetime]):
    """An aware time, kept as ISO 8601 text in UTC."""

    impl = sa.Text
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Any) -> str | None:  # noqa: ARG002 (signature)
        if value is not None and value.tzinfo is None:
            raise ValueError("a time without a zone")
        return None if value is None else value.astimezone(UTC).isoformat(timespec="microseconds")

    def process_result_value(self, value: str | None, dialect: Any) -> datetime | None:  # noqa: ARG002 (signature)
        return None if value is None else datetime.fromisoformat(value)


class Day(TypeDecorator[date]):
    """A local day, kept as ISO 8601 text."""

    impl = sa.Text
    cache_ok = True

    def process_bind_param(self, value: date | None, dialect: Any) -> str | None:  # noqa: ARG002 (signature)
        return None if value is None else value.isoformat()

    def process_result_value(self, value: str | None, dialect: Any) -> date | None:  # noqa: ARG002 (signature)
        return None if value is None else date.fromisoformat(value)


class JsonText(TypeDecorator[Any]):
    """A small structure as JSON text; ``pack`` rebuilds the record's own type."""

    impl = sa.Text
    cache_ok = True

    def __init__(self, pack: type[Any] = dict) -> None:
        super().__init__()
        self.pack = pack

    def process_bind_param(self, value: Any, dialect: Any) -> str:  # noqa: ARG002 (signature)
        return json.dumps(value, ensure_ascii=False)

    def process_result_value(self, value: str | None, dialect: Any) -> Any:  # noqa: ARG002 (signature)
        return self.pack(json.loads(value or "null") or ())


class Flag(TypeDecorator[bool]):
    """A truth value as 0 or 1."""

    impl = sa.Integer
    cache_ok = True

    def process_bind_param(self, value: bool | None, dialect: Any) -> int:  # noqa: ARG002 (signature)
        return int(bool(value))

    def process_result_value(self, value: int | None, dialect: Any) -> bool:  # noqa: ARG002 (signature)
        return bool(value)


class Word(TypeDecorator[StrEnum]):
    """An enumeration by its value."""

    impl = sa.Text
    cache_ok = True

    def __init__(self, kind: type[StrEnum]) -> None:
        super().__init__()
        self.kind = kind

    def process_bind_param(self, value: StrEnum | str | None, dialect: Any) -> str | None:  # noqa: ARG002 (signature)
        return None if value is None else str(value)

    def process_result_value(self, value: str | None, dialect: Any) -> StrEnum | None:  # noqa: ARG002 (signature)
        return None if value is None else self.kind(value)


def _text(name: str, *, null: bool = False) -> sa.Column[Any]:
    return sa.Column(name, sa.Text, nullable=null)


def _real(name: str, *, null: bool = True) -> sa.Column[Any]:
    return sa.Column(name, _DOUBLE, nullable=null)


def _whole(name: str, *, null: bool = False) -> sa.Column[Any]:
    return sa.Column(name, sa.Integer, nullable=null)


def _col(name: str, kind: Any, *, null: bool = False) -> sa.Column[Any]:
    return sa.Column(name, kind, nullable=null)


def _of_player(name: str, *columns: sa.Column[Any], **extra: Any) -> sa.Table:
    """A table whose rows belong to a player: key (player_id, id), gone when the player goes."""
    owner = sa.Column("player_id", sa.Text, sa.ForeignKey("players.id", ondelete="CASCADE"), primary_key=True)
    return sa.Table(
        name,
        metadata,
        owner,
        sa.Column("id", sa.Text, primary_key=True),
        *columns,
        sqlite_strict=True,
        **extra,
    )


players = sa.Table(
    "players",
    metadata,
    sa.Column("id", sa.Text, primary_key=True),
    sa.Column("name", sa.Text, nullable=False, unique=True),
    _col("created_at", UtcTime()),
    _text("hand"),
    _text("level"),
    _whole("birth_year", null=True),
    _text("guardian_consent", null=True),
    _real("height_mm"),
    _real("hand_mm"),
    _real("shoulder_mm"),
    _real("upper_arm_mm"),
    _real("forearm_mm"),
    _text("time_zone"),
    _col("archived", Flag()),
    sqlite_strict=True,
)
notes = _of_player(
    "notes",
    _col("played_at", UtcTime()),
    _col("day", Day()),
    _col("created_at", UtcTime()),
    _text("went_well"),
    _text("went_wrong"),
    _text("next_time"),
    _text("kind"),
    _whole("minutes", null=True),
    _text("table_name", null=True),
    _text("origin"),
    _text("audio", null=True),
)
sightings = _of_player(
    "sightings",
    _text("note_id", null=True),
    _col("day", Day()),
    _text("fault"),
    _col("polarity", Word(Polarity)),
    _whole("count", null=True),
    _whole("start"),
    _whole("end"),
    _text("words"),
    _real("confidence", null=False),
    _col("status", Word(SightingStatus)),
    _col("seen_by", Word(SeenBy)),
    _text("context"),
)
sa.ForeignKeyConstraint(
    [sightings.c.player_id, sightings.c.note_id], [notes.c.player_id, notes.c.id], ondelete="CASCADE"
)._set_parent(sightings)
figures = _of_player(
    "figures",
    _text("note_id"),
    _col("day", Day()),
    _text("kind"),
    _real("value", null=False),
    _real("of"),
    _text("unit", null=True),
    _text("words"),
    _text("about", null=True),
)
drafts = sa.Table(
    "drafts",
    metadata,
    sa.Column("player_id", sa.Text, sa.ForeignKey("players.id", ondelete="CASCADE"), primary_key=True),
    _col("saved_at", UtcTime()),
    _col("fields", JsonText()),
    sqlite_strict=True,
)
own_utterances = _of_player(
    "own_utterances",
    _text("text"),
    _text("fault"),
    _col("polarity", Word(Polarity)),
    _col("created_at", UtcTime()),
)
check_results = _of_player(
    "check_results", _text("check_id"), _text("outcome_id"), _col("taken_at", UtcTime()), _text("remark")
)
changes = _of_player(
    "changes",
    _text("fault"),
    _text("cause"),
    _text("instruction"),
    _col("drills", JsonText(tuple)),
    _text("checkpoint", null=True),
    _text("measure"),
    _col("started_on", Day()),
    _col("stop_on", Day()),
    _col("status", Word(ChangeStatus)),
    _col("ended_on", Day(), null=True),
    _text("verdict"),
    _col("started_at", UtcTime(), null=True),
)
free_times = _of_player(
    "free_times",
    _text("rule"),
    _col("first_day", Day()),
    _whole("start_minute"),
    _whole("minutes"),
    _col("at_table", Flag()),
    _col("partner", Flag()),
    _col("except_days", JsonText(tuple)),
)
busy_times = _of_player(
    "busy_times",
    _text("rule"),
    _col("first_day", Day()),
    _whole("start_minute"),
    _whole("minutes"),
)
matches = _of_player(
    "matches",
    _col("day", Day()),
    _whole("start_minute"),
    _text("name"),
    _col("important", Flag()),
    _col("blocks_only", Flag()),
)
plans = _of_player(
    "plans",
    _col("made_at", UtcTime()),
    _col("first_day", Day()),
    _whole("days"),
    _text("change_id", null=True),
    _real("gap"),
    _col("settings", JsonText()),
)
plan_items = _of_player(
    "plan_items",
    _text("plan_id"),
    _col("day", Day()),
    _whole("start_minute"),
    _real("minutes", null=False),
    _col("kind", Word(ItemKind)),
    _text("ref"),
    _text("why"),
    _text("uid"),
    _col("status", Word(ItemStatus)),
    _whole("sequence"),
)
results = _of_player(
    "results",
    _text("ref"),
    _col("kind", Word(ItemKind)),
    _col("day", Day()),
    _col("taken_at", UtcTime()),
    _whole("hits"),
    _whole("tries"),
    _real("minutes"),
    _text("item_id", null=True),
    _col("open", Flag()),
    _col("detail", JsonText()),
)
questions = _of_player(
    "questions",
    _col("asked_at", UtcTime()),
    _text("text"),
    _text("reply"),
    _col("sent_at", UtcTime(), null=True),
)
settings = sa.Table(
    "settings",
    metadata,
    sa.Column("key", sa.Text, primary_key=True),
    _col("value", JsonText()),
    sqlite_strict=True,
)
sa.Index("notes_by_day", notes.c.player_id, notes.c.day)
sa.Index("sightings_by_note", sightings.c.player_id, sightings.c.note_id)
sa.Index("items_by_day", plan_items.c.player_id, plan_items.c.day)
