"""Recordings kept on purpose: private, tied to their note, gone with it, and never lost on the way there."""

from __future__ import annotations

import errno
import io
import os
import signal
import stat
import struct
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
from journal.keeping import Keeping, delete_recording, throw_draft, unfinished
from journal.notes import NoteWords, erase_note, open_draft, save_draft, take_note
from journal.players import add_player
from journal.recordings import Kept, Recordings
from journal.records import Player
from journal.sharing.export import erase_player
from journal.store.work import new_id
from journal.voice.recorder import recover
from journal.voice.wavefile import GrowingWave
from tests.conftest import NOW

ROOT = Path(__file__).parents[2]
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


def test_a_kept_recording_lies_beside_the_journal_for_its_owner_only(desk: Desk, player: Player) -> None:
    note = new_id()
    previous = os.umask(0)
    try:
        one, other = keep(desk, player, note, 3), keep(desk, player, note, 1)
    finally:
        os.umask(previous)
    assert one.parent.parent == Path(desk.place).with_name("journal.db-recordings")
    assert (one.name, other.name) == (f"{note}-1.wav", f"{note}-2.wav")
    assert [mode(one), mode(one.parent), mode(one.parent.parent)] == [0o600, 0o700, 0o700]
    assert [each.seconds for each in desk.recordings.of_note(player.id, note)] == [3.0, 1.0]


def test_a_folder_that_others_may_read_is_closed(desk: Desk, player: Player) -> None:
    desk.recordings.room(player.id).chmod(0o755)
    assert mode(desk.recordings.room(player.id)) == 0o700


def test_length_and_size_are_those_of_the_format(desk: Desk, player: Player) -> None:
    """RIFF/WAVE PCM, Multimedia Programming Interface and Data Specifications 1.0 (IBM and Microsoft, 1991): 44
    bytes of header, then rate x channels x bytes a sample for every second: 42 s are 44 + 42 x 32,000 bytes."""
    note = new_id()
    kept = keep(desk, player, note, 42)
    (found,) = desk.recordings.of_note(player.id, note)
    assert (found.size, found.facts) == (1_344_044, "0:42, 1.3 MB")
    raw = kept.read_bytes()
    assert struct.unpack_from("<I", raw, 40)[0] / struct.unpack_from("<I", raw, 28)[0] == found.seconds
    assert Kept(kept, 2_000, None).facts == "2.0 kB"
    assert Kept(kept, 2_000, 61.4).facts == "1:01, 2.0 kB"


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


def test_a_folder_that_cannot_be_made_is_named(desk: Desk, player: Player, tmp_path: Path) -> None:
    (tmp_path / "journal.db-recordings").write_text("a file")
    with pytest.raises(CannotWrite, match=r"journal\.db-recordings cannot be written") as caught:
        desk.recordings.room(player.id)
    assert caught.value.hint


def test_a_really_full_disk_leaves_no_half_copy_and_harms_nothing_kept_before(
    desk: Desk, player: Player, tmp_path: Path
) -> None:
    """A limit on the size of files stands for the end of the disk."""
    before = keep(desk, player, new_id(), 1)
    long = speak(desk, player, 20).rename(tmp_path / "long.wav")
    script = f"""
import resource, signal, sys
from pathlib import Path
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, 40_000))
from journal.errors import CannotWrite
from journal.recordings import Recordings
try:
    Recordings.beside({desk.place!r}).copy({player.id!r}, {new_id()!r}, Path({str(long)!r}))
except CannotWrite as error:
    print(error.message); print(error.hint)
"""
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=ROOT
    )
    assert "cannot be written" in done.stdout
    assert "disk space" in done.stdout
    assert list(before.parent.iterdir()) == [before]
    assert before.stat().st_size == 44 + len(SECOND)


def test_a_missing_sound_file_is_named(desk: Desk, player: Player, tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match=r"nowhere\.wav cannot be read"):
        desk.recordings.copy(player.id, new_id(), tmp_path / "nowhere.wav")


def test_a_journal_on_a_server_keeps_none_and_says_why(player: Player, tmp_path: Path) -> None:
    there = Recordings.beside("postgresql://club.invalid/journal")
    assert not there.keeps
    (tmp_path / "x.wav").write_bytes(b"x")
    with pytest.raises(CannotWrite, match="on a server"):
        there.copy(player.id, new_id(), tmp_path / "x.wav")


def test_a_note_is_erased_with_its_recordings_and_no_others(desk: Desk, player: Player) -> None:
    mine, other = new_id(), new_id()
    keep(desk, player, mine)
    keep(desk, player, mine)
    kept = keep(desk, player, other)
    note = take(desk, player, NoteWords(went_wrong="snatched it", note_id=mine, kept=(f"{mine}-1.wav",)))
    assert note.id == mine
    with desk.store.work() as work:
        erase_note(work, player, note.id, desk.recordings)
        work.commit()
    assert list(kept.parent.iterdir()) == [kept]


def test_a_recording_that_cannot_be_deleted_keeps_its_note(
    desk: Desk, player: Player, monkeypatch: pytest.MonkeyPatch
) -> None:
    mine = new_id()
    kept = keep(desk, player, mine)
    take(desk, player, NoteWords(went_wrong="snatched it", note_id=mine, kept=(kept.name,)))

    def refuse(_path: Path, missing_ok: bool = False) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    with monkeypatch.context() as patch, desk.store.work() as work:
        patch.setattr(Path, "unlink", refuse)
        with pytest.raises(CannotWrite, match="cannot be deleted: Permission denied"):
            erase_note(work, player, mine, desk.recordings)
    with desk.store.work() as work:
        assert work.notes.count(id=mine) == 1
    assert kept.exists()


def test_a_player_is_erased_with_every_sound_of_theirs(desk: Desk, player: Player) -> None:
    with desk.store.work() as work:
        other = add_player(work, "Ola", now=NOW)
        work.commit()
    kept = keep(desk, other, new_id())
    keep(desk, player, new_id())
    spoken = speak(desk, player)
    with desk.store.work() as work:
        gone = erase_player(work, player, desk.recordings)
        work.commit()
    assert gone["kept_recordings"] == 1
    assert not spoken.parent.exists()
    assert kept.exists()
    with desk.store.work() as work:
        erase_player(work, other, desk.recordings)
        work.commit()
    assert not desk.recordings.folder.exists()


def test_an_id_from_a_damaged_journal_reaches_no_other_folder(desk: Desk, player: Player) -> None:
    for bad in ("..", "../x", "", "a/b"):
        with pytest.raises(BadInput):
            desk.recordings.erase_player(replace(player, id=bad).id)


def test_one_recording_of_several_is_deleted_and_the_note_stays(desk: Desk, player: Player) -> None:
    mine = new_id()
    names = tuple(keep(desk, player, mine).name for _ in range(3))
    note = take(desk, player, NoteWords(went_wrong="snatched it", note_id=mine, kept=names))
    assert note.audio == " ".join(names)
    with desk.store.work() as work:
        note = delete_recording(work, note, names[1], desk.recordings)
        work.commit()
    assert note.audio == f"{names[0]} {names[2]}"
    assert desk.recordings.names(player.id, mine) == [names[0], names[2]]
    assert desk.recordings.missing(note) == []


def test_a_recording_that_was_moved_away_is_told_and_can_be_forgotten(desk: Desk, player: Player) -> None:
    mine = new_id()
    kept = keep(desk, player, mine)
    note = take(desk, player, NoteWords(went_wrong="snatched it", note_id=mine, kept=(kept.name,)))
    kept.unlink()
    assert desk.recordings.missing(note) == [kept.name]
    with desk.store.work() as work:
        assert delete_recording(work, note, kept.name, desk.recordings).audio is None


def test_a_name_that_leads_elsewhere_deletes_nothing(desk: Desk, player: Player, tmp_path: Path) -> None:
    (tmp_path / "mine.wav").write_bytes(b"mine")
    note = take(desk, player, NoteWords(went_wrong="snatched it", kept=("../../mine.wav",)))
    with desk.store.work() as work:
        delete_recording(work, note, "../../mine.wav", desk.recordings)
    assert (tmp_path / "mine.wav").exists()


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
def test_sigkill_between_keeping_and_saving_loses_nothing(
    desk: Desk, player: Player, drafted: bool
) -> None:
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


def test_a_backup_holds_the_kept_sound_and_brings_it_back(
    desk: Desk, player: Player, tmp_path: Path
) -> None:
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
