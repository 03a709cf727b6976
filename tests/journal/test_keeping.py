"""From the wish to keep to the saved note: crashes, drafts, full disks and backups lose nothing that was kept."""

from __future__ import annotations

import errno
import io
import os
import signal
import subprocess
import sys
import tarfile
import wave
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from journal.desk import Desk
from journal.errors import BadInput, CannotWrite
from journal.keeping import Keeping, throw_draft, unfinished
from journal.notes import NoteWords, open_draft, save_draft
from journal.recordings import Recordings
from journal.records import Player
from journal.store.work import new_id
from journal.voice.recorder import recover
from tests.conftest import NOW
from tests.kept import keep, mode, speak, take

ROOT = Path(__file__).parents[2]


def test_the_wish_can_be_taken_back_and_comes_before_or_after_the_recording(
    desk: Desk, player: Player
) -> None:
    note = new_id()
    keeping = Keeping(desk.recordings, player.id, note)
    keeping.wanted = True
    keeping.settle(None)
    assert keeping.file is None
    spoken = speak(desk, player)
    keeping.settle(spoken)
    keeping.settle(spoken)
    assert desk.recordings.names(player.id, note) == [f"{note}-1.wav"]
    keeping.wanted = False
    keeping.settle(spoken)
    assert desk.recordings.names(player.id) == []
    assert spoken.exists()


def test_without_second_names_a_running_recording_waits_and_is_copied_at_its_end(
    desk: Desk, player: Player, monkeypatch: pytest.MonkeyPatch
) -> None:
    """FAT file systems, the usual ones of memory sticks, refuse link(2) with EPERM (Linux manual page)."""

    def refuse(*_: object) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", refuse)
    keeping = Keeping(desk.recordings, player.id, new_id())
    keeping.wanted = True
    spoken = speak(desk, player)
    keeping.settle(spoken)
    assert keeping.file is None
    assert keeping.wanted
    keeping.settle(spoken, ended=True)
    assert keeping.file is not None
    assert keeping.file.read_bytes() == spoken.read_bytes()
    assert mode(keeping.file) == 0o600


def test_a_refusal_is_told_and_the_recording_itself_is_untouched(
    desk: Desk, player: Player, monkeypatch: pytest.MonkeyPatch
) -> None:
    spoken = speak(desk, player)
    before = spoken.read_bytes()

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "link", full)
    keeping = Keeping(desk.recordings, player.id, new_id())
    keeping.wanted = True
    with pytest.raises(CannotWrite, match="No space left") as caught:
        keeping.settle(spoken)
    assert str(desk.recordings.folder) in caught.value.message
    assert "disk space" in caught.value.hint
    assert not keeping.wanted
    assert spoken.read_bytes() == before


def test_a_draft_remembers_its_recordings_even_without_words(desk: Desk, player: Player) -> None:
    mine = new_id()
    kept = keep(desk, player, mine)
    words = NoteWords(note_id=mine, kept=(kept.name,))
    with desk.store.work() as work:
        save_draft(work, player, words, NOW)
    with desk.store.work() as work:
        assert open_draft(work, player) == words
        assert unfinished(work, player, desk.recordings) == (words, ())
        throw_draft(work, player, mine, desk.recordings)
        assert open_draft(work, player) is None
    assert not kept.exists()


def test_a_note_taken_elsewhere_leaves_the_draft_and_its_recordings(desk: Desk, player: Player) -> None:
    mine = new_id()
    kept = keep(desk, player, mine)
    with desk.store.work() as work:
        save_draft(work, player, NoteWords(went_wrong="half a", note_id=mine, kept=(kept.name,)), NOW)
    take(desk, player, NoteWords(went_wrong="another note"))
    with desk.store.work() as work:
        draft = open_draft(work, player)
    assert draft is not None
    take(desk, player, replace(draft, went_wrong="half a sentence"))
    with desk.store.work() as work:
        assert open_draft(work, player) is None
        note = work.notes.one(id=mine)
    assert note is not None
    assert note.audio == kept.name


def test_a_draft_saved_in_two_windows_makes_two_notes_and_the_first_has_the_sound(
    desk: Desk, player: Player
) -> None:
    mine = new_id()
    words = NoteWords(went_wrong="one", note_id=mine, kept=(keep(desk, player, mine).name,))
    first, second = take(desk, player, words), take(desk, player, replace(words, went_wrong="two"))
    assert (first.id, second.audio) == (mine, None)
    assert second.id != mine
    with desk.store.work() as work:
        save_draft(work, player, words, NOW)
        again, _missing = unfinished(work, player, desk.recordings)
    assert again.note_id not in (None, mine)
    assert again.kept == ()


def test_a_drafts_recording_that_is_gone_is_named(desk: Desk, player: Player) -> None:
    mine = new_id()
    kept = keep(desk, player, mine)
    with desk.store.work() as work:
        save_draft(work, player, NoteWords(went_wrong="x", note_id=mine, kept=(kept.name,)), NOW)
        kept.unlink()
        draft, missing = unfinished(work, player, desk.recordings)
    assert (draft.kept, missing) == ((), (kept.name,))


@pytest.mark.parametrize("drafted", [False, True])
def test_sigkill_between_keeping_and_saving_loses_nothing(desk: Desk, player: Player, drafted: bool) -> None:
    """The recording runs, is wished to stay, and the program is killed: words and sound are both there again."""
    mine = new_id()
    if drafted:
        with desk.store.work() as work:
            save_draft(work, player, NoteWords(went_well="straight", note_id=mine), NOW)
    script = f"""
import sys, time
from tests.voice.test_recorder import Card
from journal.keeping import Keeping
from journal.recordings import Recordings
from journal.voice.recorder import Recorder
recordings = Recordings.beside({desk.place!r})
card = Card()
recorder = Recorder(recordings.room({player.id!r}), open_stream=card.open)
recorder.start()
keeping = Keeping(recordings, {player.id!r}, {mine!r})
keeping.wanted = True
keeping.settle(recorder.path)
for n in range(200):
    card.give(1)
    if n == 30:
        print("three seconds are said", flush=True)
    time.sleep(0.02)
time.sleep(60)
"""
    process = subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True, cwd=ROOT)
    assert process.stdout is not None
    process.stdout.readline()
    process.send_signal(signal.SIGKILL)
    process.wait()
    with desk.store.work() as work:
        draft, missing = unfinished(work, player, desk.recordings)
        work.commit()
    assert (draft.went_well, missing) == ("straight" if drafted else "", ())
    (kept,) = desk.recordings.of_note(player.id, str(draft.note_id))
    (spoken,) = recover(kept.path.parent)
    with wave.open(str(kept.path)) as file:
        assert file.getnframes() >= 16_000
    spoken.unlink()  # as after its words are written down
    assert recover(kept.path.parent) == []
    assert mode(kept.path) == 0o600
    note = take(desk, player, replace(draft, went_wrong="head up"))
    assert [each.path.name for each in desk.recordings.of_note(player.id, note.id)] == list(draft.kept)


def test_copies_that_broke_off_are_tidied_away_after_an_hour(desk: Desk, player: Player) -> None:
    old, young = (desk.recordings.room(player.id) / f"part-{name}" for name in ("old", "young"))
    for part in (old, young):
        part.write_bytes(b"half")
    hours_ago = old.stat().st_mtime - timedelta(hours=2).total_seconds()
    os.utime(old, (hours_ago, hours_ago))
    with desk.store.work() as work:
        unfinished(work, player, desk.recordings)
    assert (old.exists(), young.exists()) == (False, True)


def test_a_backup_holds_the_kept_sound_and_brings_it_back(desk: Desk, player: Player, tmp_path: Path) -> None:
    from journal.sharing.backup import restore_backup, write_backup

    mine = new_id()
    kept = keep(desk, player, mine)
    speak(desk, player)
    take(desk, player, NoteWords(went_wrong="snatched it", note_id=mine, kept=(kept.name,)))
    phrase, backup = "three plain words", tmp_path / "b.age"
    assert write_backup(Path(desk.place), backup, phrase, desk.recordings.folder)[1] == 1
    assert b"RIFF" not in backup.read_bytes()
    new = tmp_path / "new" / "again.db"
    there = Recordings.beside(str(new))
    assert restore_backup(backup, new, phrase, there.folder) == 1
    (again,) = there.of_note(player.id, mine)
    assert again.path.read_bytes() == kept.read_bytes()
    assert [mode(again.path), mode(again.path.parent), mode(there.folder), mode(new)] == [
        0o600,
        0o700,
        0o700,
        0o600,
    ]
    other = Desk(new)
    with other.store.work() as work:
        found = work.notes.one(id=mine)
    other.close()
    assert found is not None
    assert there.missing(found) == []


def test_a_backup_from_elsewhere_writes_only_names_of_recordings(desk: Desk, tmp_path: Path) -> None:
    import pyrage

    from journal.sharing.backup import restore_backup

    packed = io.BytesIO()
    with tarfile.open(fileobj=packed, mode="w") as archive:
        for name in ("recordings/../evil-1.wav", "../evil-1.wav", "recordings/p/q/evil-1.wav", "/evil-1.wav"):
            archive.addfile(_member(name, 4), io.BytesIO(b"evil"))
    sealed = tmp_path / "in" / "b.age"
    sealed.parent.mkdir()
    sealed.write_bytes(pyrage.passphrase.encrypt(packed.getvalue(), "three plain words"))
    new = tmp_path / "in" / "new.db"
    with pytest.raises(BadInput):
        restore_backup(sealed, new, "three plain words", Recordings.beside(str(new)).folder)
    assert not list(tmp_path.rglob("evil*"))
    assert not new.exists()


def _member(name: str, size: int) -> tarfile.TarInfo:
    member = tarfile.TarInfo(name)
    member.size = size
    return member
