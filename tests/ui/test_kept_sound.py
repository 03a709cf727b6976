"""Keeping the sound of a note on purpose: the real recorder and screens; only microphone and hearing are played."""

from __future__ import annotations

import errno
import os
import stat
import threading
from pathlib import Path

import pytest

from journal.desk import Desk
from journal.records import Player
from journal.ui.screens.confirm import Confirm
from journal.ui.screens.kept_sound import KeptSound
from journal.ui.screens.note import NoteScreen
from journal.ui.widgets.note_area import NoteArea
from journal.voice.transcriber import Transcriber, Transcript

from .conftest import Opened, screen_text, settle, type_in, until
from .played import SAID, keep, kept, play, save, sounds, speak, stop, the_note


@pytest.fixture(autouse=True)
def played(monkeypatch: pytest.MonkeyPatch) -> None:
    play(monkeypatch)


@pytest.mark.usefixtures("tamsin")
async def test_the_state_is_told_in_words_and_the_key_stands_in_the_footer(
    opened: Opened, desk: Desk
) -> None:
    async with opened() as pilot:
        await speak(pilot)
        assert "k keep the sound / don't" in screen_text(pilot)
        assert "The sound is deleted once it is text." in screen_text(pilot)
        await keep(pilot)
        (file,) = kept(desk)
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
        await pilot.press("k")
        await until(pilot, lambda: kept(desk) == [])
        assert "The sound is deleted once it is text." in screen_text(pilot)
        await stop(pilot)
    assert sounds(desk) == []


async def test_kept_sound_belongs_to_the_note_and_is_erased_with_it(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    async with opened() as pilot:
        await speak(pilot)
        await keep(pilot)
        await stop(pilot)
        assert "sound kept: 0:02, 64.0 kB" in screen_text(pilot)
        await speak(pilot, "ctrl+r")
        await keep(pilot)
        await stop(pilot)
        assert "sound kept: 2 recordings" in screen_text(pilot)
        await save(pilot)
        note = the_note(desk)
        names = [f"{note.id}-1.wav", f"{note.id}-2.wav"]
        assert [path.name for path in sounds(desk)] == names
        assert sounds(desk)[0].parent.name == tamsin.id
        assert note.audio == " ".join(names)
        assert "sound kept: 2 recordings" in screen_text(pilot)
        await pilot.press("e")
        await until(pilot, lambda: isinstance(pilot.app.screen, Confirm))
        assert "kept sound" in screen_text(pilot)
        await pilot.press("y")
        await until(pilot, lambda: sounds(desk) == [])
    with desk.store.work() as work:
        assert work.notes.count() == 0


@pytest.mark.usefixtures("tamsin")
async def test_the_past_note_deletes_the_chosen_recording_only(opened: Opened, desk: Desk) -> None:
    async with opened() as pilot:
        await speak(pilot)
        await keep(pilot)
        await stop(pilot)
        await speak(pilot, "ctrl+r")
        await keep(pilot)
        await stop(pilot)
        await save(pilot)
        await until(pilot, lambda: "d delete kept sound" in screen_text(pilot))
        first, second = sounds(desk)
        await pilot.press("d")
        await until(pilot, lambda: isinstance(pilot.app.screen, KeptSound))
        assert first.name[-12:] in "".join(line.strip(" │╭╰") for line in screen_text(pilot).splitlines())
        await pilot.press("escape")
        await settle(pilot)
        assert sounds(desk) == [first, second]
        await pilot.press("d", "down", "x")
        await until(pilot, lambda: sounds(desk) == [first])
        await settle(pilot)
        assert the_note(desk).audio == first.name
        await pilot.press("d", "x")
        await until(pilot, lambda: the_note(desk).audio is None)
        await settle(pilot)
        assert "sound kept" not in screen_text(pilot)
        assert "d delete kept sound" not in screen_text(pilot)
    assert sounds(desk) == []


@pytest.mark.usefixtures("tamsin")
async def test_a_recording_that_was_moved_away_is_named_on_the_past_note(opened: Opened, desk: Desk) -> None:
    async with opened() as pilot:
        await speak(pilot)
        await keep(pilot)
        await stop(pilot)
        await save(pilot)
        note = the_note(desk)
        sounds(desk)[0].unlink()
        pilot.app.go("past note", note.id)
        await until(pilot, lambda: "1 kept recording missing" in " ".join(screen_text(pilot).split()))
        await pilot.press("d")
        await until(pilot, lambda: isinstance(pilot.app.screen, KeptSound))
        await pilot.press("x")
        await until(pilot, lambda: the_note(desk).audio is None)


@pytest.mark.usefixtures("tamsin")
async def test_throwing_away_deletes_what_was_to_be_kept(opened: Opened, desk: Desk) -> None:
    async with opened() as pilot:
        await speak(pilot)
        await keep(pilot)
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, NoteScreen))
        await until(pilot, lambda: sounds(desk) == [])
        await settle(pilot)
        assert "sound kept" not in screen_text(pilot)


@pytest.mark.usefixtures("tamsin")
async def test_throwing_away_while_it_is_written_down_leaves_no_sound(
    opened: Opened, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, go_on = threading.Event(), threading.Event()

    def slow(_self: Transcriber, _path: Path, _progress: object = None) -> Transcript:
        begun.set()
        go_on.wait(20)
        return Transcript(SAID, SAID, (), 2.0, 0.1)

    monkeypatch.setattr(Transcriber, "transcribe", slow)
    async with opened() as pilot:
        await speak(pilot)
        await keep(pilot)
        await pilot.press("ctrl+r")
        await until(pilot, begun.is_set)
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, NoteScreen))
        go_on.set()
        await until(pilot, lambda: sounds(desk) == [])
        assert pilot.app.screen.words().text == ""


@pytest.mark.usefixtures("tamsin")
async def test_another_microphone_starts_anew_and_the_wish_stays(opened: Opened, desk: Desk) -> None:
    async with opened() as pilot:
        await speak(pilot)
        await keep(pilot)
        (first,) = kept(desk)
        inode = first.stat().st_ino
        await pilot.press("m")
        await until(
            pilot, lambda: pilot.app.screen._recorder is not None and pilot.app.screen._device == "headset"
        )
        await until(pilot, lambda: "The sound is KEPT" in screen_text(pilot) and kept(desk))
        assert [path.stat().st_ino != inode for path in kept(desk)] == [True]
        await stop(pilot)
        await until(pilot, lambda: sounds(desk) == kept(desk))
    assert len(sounds(desk)) == 1


@pytest.mark.usefixtures("tamsin")
async def test_a_disk_that_refuses_is_told_and_the_recording_goes_on(
    opened: Opened, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "link", full)
    async with opened() as pilot:
        await speak(pilot)
        await pilot.press("k")
        await until(pilot, lambda: "No space left" in " ".join(screen_text(pilot).split()))
        shown = " ".join(screen_text(pilot).replace("│", " ").split())
        assert "Free some disk space" in shown
        assert "The sound is deleted once it is text." in shown
        await stop(pilot)
        assert pilot.app.screen.query_one("#went_wrong", NoteArea).text == SAID


@pytest.mark.usefixtures("tamsin")
async def test_typing_a_k_into_the_note_keeps_nothing(opened: Opened, desk: Desk) -> None:
    async with opened() as pilot:
        await pilot.press("n")
        await until(pilot, lambda: isinstance(pilot.app.screen, NoteScreen))
        await settle(pilot)
        await type_in(pilot, "kick")
        await settle(pilot)
    assert sounds(desk) == []
