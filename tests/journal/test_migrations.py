"""Journals written by an earlier version open with everything that was in them."""

from __future__ import annotations

import sqlite3
from datetime import UTC, date
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic import command
from alembic.config import Config

from journal.freetimes import listing
from journal.planning.gather import known_of
from journal.planning.slots import free_slots
from journal.records import BusyTime, FreeTime, RecordId
from journal.sharing.export import everything_of
from journal.store import opening
from journal.store.work import open_store

FIRST = date(2026, 5, 4)
BUSY = "BUSY;RDATE:20260505T000000,20260512T000000"
LEFT_OUT = "BUSY;RDATE:20260507T000000"
"""How the first version marked time that is taken: by a calendar file, and by a day kept off the plan."""


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A journal in the first schema: two players, free times, and two kinds of busy time."""
    place = tmp_path / "journal.db"
    engine = sa.create_engine(f"sqlite:///{place}")
    config = Config()
    config.set_main_option("script_location", str(opening.MIGRATIONS))
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "0001")
    engine.dispose()
    with sqlite3.connect(place) as raw:
        for player, name in (("p", "Odalys"), ("q", "Benno")):
            raw.execute(
                "insert into players (id, name, created_at, hand, level, time_zone, archived) "
                "values (?, ?, '2026-05-01T00:00:00.000000+00:00', 'right', 'club', 'UTC', 0)",
                (player, name),
            )
        for row in (
            ("p", "f", "FREQ=DAILY", "2026-05-04", 1140, 90, 1, 0, '["2026-05-06"]'),
            ("p", "ics0123", BUSY, "2026-05-05", 1080, 180, 1, 0, "[]"),
            ("p", "day", LEFT_OUT, "2026-05-07", 0, 1440, 1, 0, "[]"),
            ("q", "ics0123", BUSY, "2026-05-05", 600, 30, 1, 0, "[]"),
        ):
            raw.execute("insert into free_times values (?, ?, ?, ?, ?, ?, ?, ?, ?)", row)
        raw.execute(
            "insert into changes (player_id, id, fault, cause, instruction, drills, measure, started_on, stop_on,"
            " status, verdict) values ('p', 'c', 'head.lifts', 'cause.looks_up_early', 'Stay down', '[]', 'count',"
            " '2026-05-01', '2026-05-21', 'running', '')"
        )
        raw.execute("insert into matches values ('p', 'm', '2026-05-09', 900, 'Cup', 1, 0)")
    return place


def test_busy_times_move_to_their_own_table_and_nothing_is_lost(old: Path) -> None:
    store = open_store(old)
    with store.work() as work:
        (free,) = work.free_times.all()
        assert free == FreeTime(
            work.players.all(name="Odalys")[0].id, RecordId("f"), "FREQ=DAILY", FIRST, 1140, 90, True, False,
            ("2026-05-06",),
        )  # fmt: skip
        found = {(busy.player_id, busy.id): busy for busy in work.busy_times.all()}
        assert set(found) == {("p", "ics0123"), ("p", "day"), ("q", "ics0123")}
        player = free.player_id
        assert found[player, RecordId("ics0123")] == BusyTime(
            player, RecordId("ics0123"), BUSY.removeprefix("BUSY;"), date(2026, 5, 5), 1080, 180
        )
        assert work.matches.count() == 1
        assert [change.started_at for change in work.changes.all()] == [None], (
            "nobody knows the time any more"
        )
    store.close()
    with sqlite3.connect(old) as raw:
        assert raw.execute("select version_num from alembic_version").fetchall() == [(opening.HEAD,)]


def test_a_migrated_journal_plans_and_lists_as_before(old: Path) -> None:
    store = open_store(old)
    with store.work() as work:
        player = work.players.all(name="Odalys")[0]
        known = known_of(work, player)
        slots = free_slots(known.free, known.busy, known.matches, FIRST, 6, UTC)
        assert [(s.day.day, s.start, s.minutes) for s in slots] == [
            (4, 1140, 90),
            (8, 1140, 90),
            (9, 1140, 90),
        ]
        assert [line.split(",")[0] for line in listing(work, player, FIRST).free[1:]] == [
            "busy 2026-05-05 and 1 more day",
            "not on Thu 7 May",
        ]
        assert len(everything_of(work, player)["busy_times"]) == 2
        work.players.remove(id=player.id)
        assert [busy.player_id for busy in work.busy_times.all()] == ["q"]
    store.close()


def test_a_migration_that_fails_leaves_the_journal_as_it_was(
    old: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The table is made, then copying fails: neither the table nor the new version stays."""

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "disk full")

    monkeypatch.setattr("alembic.op.execute", full)
    with pytest.raises(opening.StoreUnusable, match="disk full"):
        open_store(old)
    monkeypatch.undo()
    with sqlite3.connect(old) as raw:
        assert raw.execute("select version_num from alembic_version").fetchall() == [("0001",)]
        assert not raw.execute("select * from sqlite_master where name = 'busy_times'").fetchall()
        assert raw.execute("select count(*) from free_times").fetchone() == (4,)
    store = open_store(old)
    with store.work() as work:
        assert work.busy_times.count() == 3
    store.close()
