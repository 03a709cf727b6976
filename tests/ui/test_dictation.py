"""Speaking a note: the real recorder and the real recogniser, the microphone replaced by the demo's spoken note."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from journal.desk import Desk
from journal.notes import open_draft
from journal.records import Player
from journal.ui.screens.dictation import Dictation
from journal.ui.screens.note import NoteScreen
from journal.ui.screens.repairs import Repairs
from journal.ui.widgets.note_area import NoteArea
from journal.voice import recorder
from journal.voice.audio import RATE, SoundFile

from .conftest import Opened, screen_text, settle, until

SPOKEN = Path(__file__).parents[2] / "demo_data" / "spoken_note.ogg"
BLOCK = RATE // 10


class Played:
    """A microphone that hears the spoken note at once."""

    def __init__(self, take: Callable[[bytes], None]) -> None:
        self._take = take

    def start(self) -> None:
        sound = np.concatenate(list(SoundFile(SPOKEN).blocks()))
        heard = (np.clip(sound, -1, 1) * 32767).astype("<i2")
        for start in range(0, len(heard), BLOCK):
            self._take(heard[start : start + BLOCK].tobytes())

    def stop(self) -> None: ...

    def close(self) -> None: ...


def sounds(desk: Desk) -> list[Path]:
    """Every sound file beside the journal."""
    return sorted(desk.recordings.folder.glob("*/*"))


@pytest.mark.usefixtures("tamsin")
async def test_a_spoken_note_becomes_words_and_the_sound_is_deleted(
    opened: Opened, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(recorder, "open_microphone", lambda _device, take: Played(take))
    async with opened() as pilot:
        await pilot.press("s")
        await until(pilot, lambda: isinstance(pilot.app.screen, Dictation))
        await until(pilot, lambda: pilot.app.screen._recorder is not None)
        assert "0:" in screen_text(pilot)
        await pilot.press("ctrl+r")
        await until(pilot, lambda: not isinstance(pilot.app.screen, Dictation), seconds=120)
        if isinstance(pilot.app.screen, Repairs):
            await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, NoteScreen))
        await settle(pilot)
        words = " ".join(area.text for area in pilot.app.screen.query(NoteArea)).lower()
    assert "lifted my head" in words
    assert "cushion" in words
    assert sounds(desk) == []


async def test_a_recording_cut_off_by_a_crash_is_written_down_next_time(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    folder = desk.recordings.room(tamsin.id)
    crash = (
        "import os, sys, time; from pathlib import Path; sys.path.insert(0, sys.argv[2]);"
        "from tests.ui.test_dictation import Played; from journal.voice import recorder;"
        "recorder.open_microphone = lambda _device, take: Played(take);"
        "one = recorder.Recorder(Path(sys.argv[1])); one.start(); time.sleep(3); os.kill(os.getpid(), 9)"
    )
    root = str(Path(__file__).parents[2])
    subprocess.run([sys.executable, "-c", crash, str(folder), root], check=False, cwd=root)
    assert list(folder.glob("*"))
    async with opened() as pilot:
        await pilot.press("n")
        await until(pilot, lambda: "cut off is written down" in screen_text(pilot), seconds=120)
        assert "head" in pilot.app.screen.query_one("#went_wrong", NoteArea).text
        await until(pilot, lambda: sounds(desk) == [])  # once the draft holds the words
    with desk.store.work() as work:
        draft = open_draft(work, tamsin)
    assert draft is not None
    assert "head" in draft.went_wrong
