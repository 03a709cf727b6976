"""Recordings kept on purpose: private, tied to their note, gone with it, and never lost on the way there."""

from __future__ import annotations

import errno
import os
import struct
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from journal.desk import Desk
from journal.errors import BadInput, CannotWrite
from journal.keeping import delete_recording
from journal.notes import NoteWords, erase_note
from journal.players import add_player
from journal.recordings import Kept, Recordings
from journal.records import Player
from journal.sharing.export import erase_player
from journal.store.work import new_id
from tests.conftest import NOW
from tests.kept import SECOND, keep, mode, speak, take

ROOT = Path(__file__).parents[2]


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
