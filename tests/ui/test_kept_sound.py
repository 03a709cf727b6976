"""Keeping the sound of a note on purpose: the real recorder and screens; only microphone and hearing are played."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from textual.pilot import Pilot

from journal.desk import Desk
from journal.errors import JournalError
from journal.notes import open_draft
from journal.records import Note, Player
from journal.ui.screens.confirm import Confirm
from journal.ui.screens.dictation import Dictation
from journal.ui.screens.kept_sound import KeptSound
from journal.ui.screens.note import NoteScreen
from journal.ui.screens.past_note import PastNoteScreen
from journal.ui.widgets.note_area import NoteArea
from journal.voice import recorder
from journal.voice.errors import ModelDamaged, NoSpeech
from journal.voice.live import LiveText
from journal.voice.transcriber import Transcriber, Transcript

from .conftest import Opened, screen_text, settle, type_in, until

ROOT = Path(__file__).parents[2]
SAID = "kept lifting my head on the long ones"
TONE = (8_000 * np.sin(np.arange(1_600) * 0.2)).astype("<i2").tobytes()


class Tone:
    """A microphone that hears two seconds of a tone at once."""

    def __init__(self, take: Callable[[bytes], None]) -> None:
        self._take = take

    def start(self) -> None:
        for _ in range(20):
            self._take(TONE)

    def stop(self) -> None: ...

    def close(self) -> None: ...


@pytest.fixture(autouse=True)
def tone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(recorder, "open_microphone", lambda _device, take: Tone(take))
    monkeypatch.setattr(recorder, "devices", lambda: ["desk", "headset"])
    monkeypatch.setattr(LiveText, "_work", lambda _self: None)
    heard(monkeypatch, Transcript(SAID, SAID, (), 2.0, 0.1))


def heard(monkeypatch: pytest.MonkeyPatch, what: Transcript | JournalError) -> None:
    """What the recogniser makes of the next sound."""

    def transcribe(_self: Transcriber, path: Path, _progress: object = None) -> Transcript:
        assert path.exists()
        if isinstance(what, JournalError):
            raise what
        return what

    monkeypatch.setattr(Transcriber, "transcribe", transcribe)


def sounds(desk: Desk) -> list[Path]:
    return sorted(desk.recordings.folder.glob("*/*"))


def kept(desk: Desk) -> list[Path]:
    return [path for path in sounds(desk) if not path.name.startswith("spoken-")]


async def speak(pilot: Pilot[Any], key: str = "s") -> None:
    """Open the dictation and wait until it records."""
    await pilot.press(key)
    await until(pilot, lambda: isinstance(pilot.app.screen, Dictation))
    await until(
        pilot, lambda: pilot.app.screen._recorder is not None and pilot.app.screen._recorder.elapsed > 1
    )


async def keep(pilot: Pilot[Any]) -> None:
    await pilot.press("k")
    await until(pilot, lambda: "The sound is KEPT" in screen_text(pilot))


async def stop(pilot: Pilot[Any]) -> None:
    """Take the words and wait until the draft holds them."""
    await pilot.press("ctrl+r")
    await until(pilot, lambda: isinstance(pilot.app.screen, NoteScreen))
    await until(pilot, lambda: "draft saved" in screen_text(pilot))
    await settle(pilot)


async def save(pilot: Pilot[Any]) -> None:
    await pilot.press("ctrl+s")
    await until(pilot, lambda: isinstance(pilot.app.screen, PastNoteScreen))
    await settle(pilot)


def the_note(desk: Desk) -> Note:
    with desk.store.work() as work:
        (note,) = work.notes.all()
    return note


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


async def test_the_draft_remembers_it_at_once(opened: Opened, desk: Desk, tamsin: Player) -> None:
    async with opened() as pilot:
        await speak(pilot)
        await keep(pilot)

        def drafted() -> bool:
            with desk.store.work() as work:
                draft = open_draft(work, tamsin)
            return draft is not None and [path.name for path in kept(desk)] == list(draft.kept)

        await until(pilot, drafted)


async def test_sound_in_which_nobody_speaks_is_kept_all_the_same_when_it_was_wished(
    opened: Opened, desk: Desk, tamsin: Player, monkeypatch: pytest.MonkeyPatch
) -> None:
    heard(monkeypatch, NoSpeech("Nobody speaks in it.", "Speak closer."))
    async with opened() as pilot:
        await speak(pilot)
        await keep(pilot)
        await pilot.press("ctrl+r")
        await until(pilot, lambda: "What was recorded is KEPT" in screen_text(pilot))
        assert "Nobody speaks" in screen_text(pilot)
        assert "stop and take" not in screen_text(pilot)
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, NoteScreen))
        await until(pilot, lambda: "sound kept" in screen_text(pilot))
        assert sounds(desk) == kept(desk) != []


@pytest.mark.usefixtures("tamsin")
async def test_sound_that_could_not_be_heard_waits_for_the_next_time(
    opened: Opened, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as broken:
        heard(broken, ModelDamaged("The speech model is damaged.", "Install it anew."))
        async with opened() as pilot:
            await speak(pilot)
            await pilot.press("ctrl+r")
            await until(pilot, lambda: "What was recorded waits" in screen_text(pilot))
            await pilot.press("escape")
            await settle(pilot)
    assert len(sounds(desk)) == 1
    async with opened() as pilot:
        await pilot.press("n")
        await until(pilot, lambda: "cut off is written down" in screen_text(pilot))
        assert pilot.app.screen.query_one("#went_wrong", NoteArea).text == SAID
        await until(pilot, lambda: sounds(desk) == [])


@pytest.mark.parametrize(("key", "left"), [("y", 0), ("n", 1)])
async def test_an_emptied_note_asks_whether_its_kept_sound_goes_too(
    opened: Opened, desk: Desk, tamsin: Player, key: str, left: int
) -> None:
    async with opened() as pilot:
        await speak(pilot)
        await keep(pilot)
        await stop(pilot)
        pilot.app.screen.query_one("#went_wrong", NoteArea).text = ""
        await settle(pilot)
        await until(pilot, lambda: not pilot.app.screen._dirty)
        assert len(kept(desk)) == 1
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, Confirm))
        assert "Delete its kept sound?" in screen_text(pilot)
        await pilot.press(key)
        await until(pilot, lambda: type(pilot.app.screen).__name__ == "TodayScreen")
        await settle(pilot)
        assert len(sounds(desk)) == left
        with desk.store.work() as work:
            assert (open_draft(work, tamsin) is not None) == bool(left)


async def test_after_sigkill_in_mid_recording_the_words_and_the_kept_sound_are_there(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    """The whole program is killed while it records what is to be kept; it runs with a microphone played to it."""
    program = (
        "import sys, time; from pathlib import Path; from tests.ui.test_kept_sound import killed_while_keeping;"
        "killed_while_keeping(Path(sys.argv[1]))"
    )
    done = subprocess.run([sys.executable, "-c", program, desk.place], check=False, cwd=ROOT, timeout=120)
    assert done.returncode == -9
    (file,) = kept(desk)
    assert len(sounds(desk)) == 2
    async with opened() as pilot:
        await pilot.press("n")
        await until(pilot, lambda: "cut off is written down" in screen_text(pilot))
        assert "sound kept: 0:02" in screen_text(pilot)
        await until(pilot, lambda: sounds(desk) == [file])
        await save(pilot)
    note = the_note(desk)
    assert (note.went_wrong, note.audio, note.player_id) == (SAID, file.name, tamsin.id)
    assert sounds(desk) == [file]


def killed_while_keeping(place: Path) -> None:
    """For a process of its own: open the screens, speak, keep, die."""
    import asyncio

    from journal.ui.app import JournalApp

    recorder.open_microphone = lambda _device, take: Tone(take)
    LiveText._work = lambda _self: None  # type: ignore[method-assign]

    async def run() -> None:
        app = JournalApp(Desk(place))
        async with app.run_test(size=(80, 24)) as pilot:
            await until(pilot, lambda: app.player is not None)
            await settle(pilot)
            await speak(pilot)
            await keep(pilot)
            await pilot.pause(1.0)
            os.kill(os.getpid(), 9)

    asyncio.run(run())


@pytest.mark.usefixtures("tamsin")
async def test_typing_a_k_into_the_note_keeps_nothing(opened: Opened, desk: Desk) -> None:
    async with opened() as pilot:
        await pilot.press("n")
        await until(pilot, lambda: isinstance(pilot.app.screen, NoteScreen))
        await settle(pilot)
        await type_in(pilot, "kick")
        await settle(pilot)
    assert sounds(desk) == []
