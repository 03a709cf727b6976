"""Sound that is to be kept stays: in drafts, without words, when the disk or the program fails."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from journal.desk import Desk
from journal.notes import open_draft
from journal.records import Player
from journal.ui.screens.confirm import Confirm
from journal.ui.screens.note import NoteScreen
from journal.ui.widgets.note_area import NoteArea
from journal.voice.errors import ModelDamaged, NoSpeech

from .conftest import Opened, screen_text, settle, until
from .played import SAID, heard, keep, kept, play, save, sounds, speak, stop, the_note

ROOT = Path(__file__).parents[2]


@pytest.fixture(autouse=True)
def played(monkeypatch: pytest.MonkeyPatch) -> None:
    play(monkeypatch)


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
        "import sys, time; from pathlib import Path; from tests.ui.played import killed_while_keeping;"
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
