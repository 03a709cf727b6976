"""A microphone and a hearing that are played, for screens that are real; what tests do with them."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from textual.pilot import Pilot

from journal.desk import Desk
from journal.errors import JournalError
from journal.records import Note
from journal.ui.screens.dictation import Dictation
from journal.ui.screens.note import NoteScreen
from journal.ui.screens.past_note import PastNoteScreen
from journal.voice import recorder
from journal.voice.live import LiveText
from journal.voice.transcriber import Transcriber, Transcript

from .conftest import screen_text, settle, until

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


def play(monkeypatch: pytest.MonkeyPatch) -> None:
    """Microphone and hearing for one test."""
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
