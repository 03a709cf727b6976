"""The journal's file: private, migrated, all or nothing."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys
from pathlib import Path

import pytest
import sqlalchemy as sa

from journal.errors import StoreUnusable
from journal.players import add_player, find_player
from journal.records import Note, Player, Polarity, Sighting
from journal.store import schema
from journal.store.opening import HEAD, MIGRATIONS
from journal.store.work import new_id, open_store
from tests.conftest import NOW


def test_the_file_is_readable_by_its_owner_only(tmp_path):
    open_store(tmp_path / "new" / "journal.db").close()
    assert stat.S_IMODE((tmp_path / "new" / "journal.db").stat().st_mode) == 0o600
    assert stat.S_IMODE((tmp_path / "new").stat().st_mode) == 0o700


def test_work_that_is_not_committed_is_undone(desk):
    with desk.store.work() as work:
        add_player(work, "Ola", now=NOW)
    with desk.store.work() as work:
        assert work.players.all() == []


def test_a_failure_in_the_middle_undoes_everything_of_that_work(desk, player):
    def spoil() -> None:
        with desk.store.work() as work:
            work.notes.add(Note(player.id, new_id(), NOW, NOW.date(), NOW, went_wrong="x"))
            raise RuntimeError("stopped in the middle")

    with pytest.raises(RuntimeError):
        spoil()
    with desk.store.work() as work:
        assert work.notes.count() == 0


def test_records_come_back_as_they_went_in(desk, player):
    note = Note(player.id, new_id(), NOW, NOW.date(), NOW, "a", "b", "c", "match", 45, "table 3")
    sighting = Sighting(
        player.id, new_id(), note.id, NOW.date(), "head.lifts", Polarity.WORSE, 3, 1, 5, "words", 0.7
    )
    with desk.store.work() as work:
        work.notes.add(note)
        work.sightings.add(sighting)
        work.commit()
    with desk.store.work() as work:
        assert work.notes.all() == [note]
        assert work.sightings.all() == [sighting]
        assert work.players.one(id=player.id) == player


def test_erasing_a_player_takes_everything_of_theirs(desk, player):
    note = Note(player.id, new_id(), NOW, NOW.date(), NOW, went_wrong="x")
    with desk.store.work() as work:
        work.notes.add(note)
        work.sightings.add(Sighting(player.id, new_id(), note.id, NOW.date(), "head.lifts", Polarity.PRESENT))
        work.commit()
        work.players.remove(id=player.id)
        work.commit()
        assert (work.notes.count(), work.sightings.count()) == (0, 0)


def test_every_table_of_a_player_carries_the_player_in_its_key():
    for table in schema.metadata.tables.values():
        if table.name not in ("settings",):
            assert {"player_id", "id"} & {column.name for column in table.primary_key}, table.name
            assert table.name == "players" or "player_id" in {column.name for column in table.primary_key}


def test_the_migrations_make_the_schema_that_the_code_uses(tmp_path):
    store = open_store(tmp_path / "journal.db")
    inspector = sa.inspect(store.engine)
    for table in schema.metadata.tables.values():
        made = {column["name"] for column in inspector.get_columns(table.name)}
        assert made == {column.name for column in table.columns}, table.name
    store.close()


def test_the_newest_migration_is_the_one_the_opener_expects():
    assert sorted(path.stem for path in (MIGRATIONS / "versions").glob("v*.py"))[-1].startswith(f"v{HEAD}")


def test_a_newer_journal_is_refused_and_left_alone(tmp_path):
    open_store(tmp_path / "journal.db").close()
    with sqlite3.connect(tmp_path / "journal.db") as raw:
        raw.execute("update alembic_version set version_num = '9999'")
    with pytest.raises(StoreUnusable, match="newer"):
        open_store(tmp_path / "journal.db")


def test_a_file_that_is_no_journal_is_refused(tmp_path):
    (tmp_path / "notes.db").write_text("this is a shopping list, and a long one at that" * 40)
    with pytest.raises(StoreUnusable):
        open_store(tmp_path / "notes.db")
    with sqlite3.connect(tmp_path / "other.db") as raw:
        raw.execute("create table shopping (item text)")
    with pytest.raises(StoreUnusable, match="something else"):
        open_store(tmp_path / "other.db")


def test_a_read_only_folder_gets_a_message(tmp_path):
    folder = tmp_path / "shut"
    folder.mkdir()
    folder.chmod(0o500)
    if os.access(folder, os.W_OK):  # root may write everywhere
        blocked = tmp_path / "file"
        blocked.write_text("")
        folder = blocked
    with pytest.raises(StoreUnusable) as caught:
        open_store(folder / "journal.db")
    assert "--journal" in caught.value.hint


def test_what_was_saved_survives_a_kill(tmp_path):
    """A process that is killed in the middle of an unfinished write loses only that write."""
    script = f"""
import os, signal
from journal.store.work import open_store
from journal.players import add_player
from datetime import datetime, timezone
store = open_store({str(tmp_path / "journal.db")!r})
now = datetime(2026, 5, 12, tzinfo=timezone.utc)
with store.work() as work:
    add_player(work, "Saved", now=now)
    work.commit()
    add_player(work, "Unsaved", now=now)
    os.kill(os.getpid(), signal.SIGKILL)
"""
    done = subprocess.run([sys.executable, "-c", script], check=False, capture_output=True)
    assert done.returncode == -9
    store = open_store(tmp_path / "journal.db")
    with store.work() as work:
        assert [player.name for player in work.players.all()] == ["Saved"]
    store.close()


def test_a_database_without_its_driver_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "psycopg", None)
    with pytest.raises(StoreUnusable) as caught:
        open_store("postgresql://nobody@localhost/nothing")
    assert "plainball[club]" in caught.value.hint


def test_a_player_is_found_by_name_whatever_the_case(desk, player):
    with desk.store.work() as work:
        assert find_player(work, "ANSEL") == player
        assert isinstance(find_player(work, None), Player)


def test_two_programs_write_one_after_the_other(tmp_path):
    first, second = open_store(tmp_path / "journal.db"), open_store(Path(tmp_path / "journal.db"))
    for store, name in ((first, "Ida"), (second, "Jon"), (first, "Kim")):
        with store.work() as work:
            add_player(work, name, now=NOW)
            work.commit()
    with second.work() as work:
        assert work.players.count() == 3
    first.close()
    second.close()
