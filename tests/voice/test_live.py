"""Text while somebody speaks."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from journal.voice.errors import ModelDamaged
from journal.voice.live import LiveText, Spoken, speech
from journal.voice.transcriber import Transcriber
from tests.quality.voice import plain, read
from tests.voice.test_transcriber import joined

BLOCK = 1600


def blocks(path: Path) -> list[np.ndarray[tuple[int], np.dtype[np.int16]]]:
    sound = (read(path) * 32_767).astype(np.int16)
    return [sound[at : at + BLOCK] for at in range(0, len(sound), BLOCK)]


class Shown(list[Spoken]):
    """What came onto the screen, and a way to wait for it (minutes are allowed: machines may be busy)."""

    def wait_for(self, seen: Callable[[Spoken], bool]) -> Spoken:
        until = time.monotonic() + 90
        while time.monotonic() < until:
            for spoken in list(self):
                if seen(spoken):
                    return spoken
            time.sleep(0.05)
        raise AssertionError(f"it never came: {list(self)}")


def test_words_show_while_speaking_settle_at_a_pause_and_end_in_the_final_text(
    transcriber: Transcriber, say: Callable[[str], Path], tmp_path: Path
) -> None:
    first = joined(
        tmp_path / "one.wav", [(0.3, say("On Monday I lifted my head four times in the first frame."))]
    )
    second = joined(tmp_path / "two.wav", [(1.0, say("Then I went home with my brother.")), (0.3, None)])
    shown = Shown()
    live = LiveText(transcriber, shown.append)
    live.start()
    for block in blocks(first):
        live.feed(block)
    running = shown.wait_for(lambda spoken: "monday" in plain(spoken.running))
    assert running.settled == ""
    for block in blocks(second):
        live.feed(block)
    settled = shown.wait_for(lambda spoken: bool(spoken.settled)).settled
    assert "head four times" in plain(settled)
    assert "brother" not in plain(settled)
    last = shown.wait_for(lambda spoken: "brother" in plain(spoken.running))
    assert last.text.startswith(settled)
    whole = joined(tmp_path / "whole.wav", [(0, first), (0, second)])
    found = live.finish(whole)
    assert live.problem is None
    assert all(later.settled.startswith(earlier.settled) for earlier, later in pairwise(shown))
    assert "head four times" in plain(found.text)
    assert "brother" in plain(found.text)


def test_speech_and_pauses_are_told_apart(say: Callable[[str], Path], transcriber: Transcriber) -> None:
    transcriber.load()
    words = read(say("I lifted my head four times."))
    hush = np.zeros(16_000, np.float32)
    assert speech(words[: len(words) // 2]) == (True, None)
    spoken, pause = speech(np.concatenate([words, hush]))
    assert spoken
    assert pause is not None
    assert len(words) - 8_000 < pause < len(words) + 16_000
    both = np.concatenate([words, hush, words])
    spoken, pause = speech(both)
    assert spoken
    assert pause is not None
    assert len(words) - 8_000 < pause < len(words) + 16_000
    assert speech(hush[:8_000]) == (False, None)
    assert speech(np.zeros(32_000, np.float32)) == (False, 24_000)


class Broken(Transcriber):
    """A recogniser whose model cannot be loaded."""

    def load(self) -> None:
        raise ModelDamaged("The model is damaged.", "Install again.")


def test_a_broken_model_is_shown_and_the_recording_goes_on() -> None:
    live = LiveText(Broken(()), lambda _: None)
    live.start()
    until = time.monotonic() + 5
    while live.problem is None and time.monotonic() < until:
        time.sleep(0.01)
    live.feed(np.zeros(BLOCK, np.int16))
    live.close()
    live.close()
    assert isinstance(live.problem, ModelDamaged)


def test_feeding_never_waits_for_the_recogniser() -> None:
    """Ten minutes of blocks are taken at once, though nobody listens yet."""
    live = LiveText(Transcriber(()), lambda _: None)
    began = time.monotonic()
    for _ in range(6_000):
        live.feed(np.zeros(BLOCK, np.int16))
    assert time.monotonic() - began < 10  # it would take minutes if it waited
    live.close()


@pytest.mark.parametrize("parts", [("a", "b"), ("a", ""), ("", "b"), ("", "")])
def test_settled_and_running_text_are_one(parts: tuple[str, str]) -> None:
    assert Spoken(*parts).text == " ".join(filter(None, parts))


def test_no_thread_is_left_behind(transcriber: Transcriber) -> None:
    before = threading.active_count()
    live = LiveText(transcriber, lambda _: None)
    live.start()
    live.close()
    assert threading.active_count() <= before
