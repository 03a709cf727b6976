"""Recordings to keep, as the recorder leaves them."""

from __future__ import annotations

import stat
from pathlib import Path

from journal.desk import Desk
from journal.notes import NoteWords, take_note
from journal.records import Player
from journal.store.work import new_id
from journal.voice.wavefile import GrowingWave
from tests.conftest import NOW

SECOND = bytes(2 * 16_000)


def speak(desk: Desk, player: Player, seconds: int = 2) -> Path:
    """A finished recording, not text yet."""
    file = GrowingWave(desk.recordings.room(player.id) / f"spoken-{new_id()}.wav")
    for _ in range(seconds):
        file.write(SECOND)
    file.close()
    return file.path


def keep(desk: Desk, player: Player, note: str, seconds: int = 2) -> Path:
    """A recording that was kept, its words' name deleted as after the draft was saved."""
    spoken = speak(desk, player, seconds)
    kept = desk.recordings.keep(player.id, note, spoken)
    assert kept is not None
    spoken.unlink()
    return kept


def take(desk: Desk, player: Player, words: NoteWords):
    return take_note(words, player, store=desk.store, reader=desk.reader, now=NOW).note


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)
