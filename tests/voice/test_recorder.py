"""The recorder, with a simulated sound card: what must not be lost is not lost."""

from __future__ import annotations

import errno
import os
import signal
import stat
import subprocess
import sys
import threading
import time
import wave
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from journal.voice import recorder as recording
from journal.voice.errors import AlreadyRecording, NoMicrophone, RecordingLost
from journal.voice.recorder import BLOCK, Recorder, devices, recover
from journal.voice.wavefile import GrowingWave

TONE = (8_000 * np.sin(np.arange(BLOCK) * 0.2)).astype("<i2").tobytes()


class Card:
    """A sound card that hands over blocks when the test says so."""

    def __init__(self) -> None:
        self.running = False
        self.refuses_to_stop = False
        self.take: Callable[[bytes], None] = lambda _: None

    def open(self, device: str | None, take: Callable[[bytes], None]) -> Card:
        self.device, self.take = device, take
        return self

    def start(self) -> None:
        self.running = True

    def stop(self) -> None:
        if self.refuses_to_stop:
            raise OSError("device unplugged")
        self.running = False

    def close(self) -> None:
        self.running = False

    def give(self, blocks: int, sound: bytes = TONE) -> None:
        for _ in range(blocks):
            self.take(sound)


@pytest.fixture
def card() -> Card:
    return Card()


@pytest.fixture
def recorder(tmp_path: Path, card: Card) -> Recorder:
    return Recorder(tmp_path / "sound", "desk microphone", open_stream=card.open)


def until(true: Callable[[], bool], seconds: float = 5.0) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it never came"
        time.sleep(0.01)


def frames(path: Path) -> int:
    with wave.open(str(path)) as read:
        return read.getnframes()


def test_what_was_said_is_in_the_file(recorder: Recorder, card: Card) -> None:
    recorder.start()
    card.give(20)
    path = recorder.stop()
    assert frames(path) == 20 * BLOCK
    assert card.device == "desk microphone"
    assert not card.running
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


def test_level_and_elapsed_follow_the_sound(recorder: Recorder, card: Card) -> None:
    recorder.start()
    assert (recorder.level, recorder.elapsed) == (0.0, 0.0)
    card.give(10)
    until(lambda: recorder.elapsed == pytest.approx(1.0))
    until(lambda: 0.1 < recorder.level <= 1.0)
    assert recorder.warnings == ()
    card.give(1, bytes(2 * BLOCK))
    until(lambda: recorder.level == 0.0)
    recorder.stop()


def test_silence_is_told_after_four_seconds_and_forgotten_when_somebody_speaks(
    recorder: Recorder, card: Card
) -> None:
    recorder.start()
    card.give(39, bytes(2 * BLOCK))
    until(lambda: recorder.elapsed == pytest.approx(3.9))
    assert recorder.warnings == ()
    card.give(10, bytes(2 * BLOCK))
    until(lambda: any("silent" in said for said in recorder.warnings))
    card.give(1)
    until(lambda: recorder.warnings == ())
    recorder.stop()


def test_clipping_is_told(recorder: Recorder, card: Card) -> None:
    recorder.start()
    card.give(2, np.full(BLOCK, 32_767, "<i2").tobytes())
    until(lambda: any("loud" in said for said in recorder.warnings))
    recorder.stop()


def test_a_second_recording_is_refused_and_the_first_goes_on(recorder: Recorder, card: Card) -> None:
    recorder.start()
    card.give(3)
    with pytest.raises(AlreadyRecording):
        recorder.start()
    card.give(2)
    assert frames(recorder.stop()) == 5 * BLOCK


def test_two_recorders_on_one_folder_keep_apart(tmp_path: Path) -> None:
    one, other = Card(), Card()
    first, second = Recorder(tmp_path, open_stream=one.open), Recorder(tmp_path, open_stream=other.open)
    first.start()
    second.start()
    one.give(2)
    other.give(4)
    assert recover(tmp_path) == []
    assert (frames(first.stop()), frames(second.stop())) == (2 * BLOCK, 4 * BLOCK)


def test_a_recorder_can_be_used_again(recorder: Recorder, card: Card) -> None:
    recorder.start()
    card.give(3)
    first = recorder.stop()
    recorder.start()
    card.give(1)
    second = recorder.stop()
    assert (frames(first), frames(second)) == (3 * BLOCK, BLOCK)


def test_a_full_disk_ends_in_a_warning_and_keeps_what_came_before(
    recorder: Recorder, card: Card, monkeypatch: pytest.MonkeyPatch
) -> None:
    recorder.start()
    card.give(5)
    until(lambda: recorder.elapsed == pytest.approx(0.5))

    def full(_file: GrowingWave, _sound: bytes) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(GrowingWave, "write", full)
    card.give(5)
    until(lambda: any("No space left" in said for said in recorder.warnings))
    assert frames(recorder.stop()) == 5 * BLOCK


def test_a_really_full_disk_keeps_every_sample_that_fitted(tmp_path: Path) -> None:
    """A limit on the size of files stands for the end of the disk: the write that crosses it is cut short."""
    script = f"""
import resource, signal, sys
from pathlib import Path
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, 40_000))
from tests.voice.test_recorder import Card, until
from journal.voice.recorder import Recorder
card = Card()
recorder = Recorder(Path({str(tmp_path)!r}), open_stream=card.open)
recorder.start()
card.give(20)
until(lambda: bool(recorder.warnings))
print(recorder.warnings[0])
print(recorder.stop())
"""
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    said, path = done.stdout.splitlines()
    assert "The disk took no more" in said
    assert frames(Path(path)) == (40_000 - 44) // 2


def test_an_unplugged_microphone_is_told_and_the_recording_kept(
    recorder: Recorder, card: Card, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(recording, "_GONE_AFTER", 0.2)
    recorder.start()
    card.give(7)
    card.refuses_to_stop = True
    until(lambda: any("Nothing comes from the microphone" in said for said in recorder.warnings))
    assert frames(recorder.stop()) == 7 * BLOCK


def test_a_stalled_disk_loses_nothing_within_the_queue_and_says_so_beyond(
    recorder: Recorder, card: Card, monkeypatch: pytest.MonkeyPatch
) -> None:
    stalled = threading.Event()
    write = GrowingWave.write

    def slow(self: GrowingWave, sound: bytes) -> None:
        stalled.wait(5)
        write(self, sound)

    monkeypatch.setattr(GrowingWave, "write", slow)
    recorder.start()
    card.give(1)
    time.sleep(0.1)
    card.give(recording._QUEUE_BLOCKS + 20)
    assert any("2.0 s were lost" in said for said in recorder.warnings)
    stalled.set()
    assert frames(recorder.stop()) == (recording._QUEUE_BLOCKS + 1) * BLOCK


def test_no_sample_at_all_is_an_error_and_leaves_no_file(tmp_path: Path, card: Card) -> None:
    recorder = Recorder(tmp_path, open_stream=card.open)
    recorder.start()
    with pytest.raises(RecordingLost, match="Not one sample"):
        recorder.stop()
    assert list(tmp_path.iterdir()) == []


def test_stopping_what_was_not_started_is_an_error(recorder: Recorder) -> None:
    with pytest.raises(RecordingLost):
        recorder.stop()


def test_a_folder_that_cannot_be_made_is_an_error_with_a_hint(tmp_path: Path, card: Card) -> None:
    (tmp_path / "taken").write_text("a file")
    with pytest.raises(RecordingLost) as caught:
        Recorder(tmp_path / "taken", open_stream=card.open).start()
    assert caught.value.hint


def test_a_device_that_does_not_open_leaves_no_file(tmp_path: Path) -> None:
    def none(_device: str | None, _take: Callable[[bytes], None]) -> Card:
        raise NoMicrophone("No microphone can be opened.", "Plug one in.")

    with pytest.raises(NoMicrophone):
        Recorder(tmp_path, open_stream=none).start()
    assert list(tmp_path.iterdir()) == []


def test_without_the_sound_library_the_message_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    with pytest.raises(NoMicrophone) as caught:
        devices()
    assert "libportaudio2" in caught.value.hint
    with pytest.raises(NoMicrophone):
        Recorder(tmp_path).start()
    assert list(tmp_path.iterdir()) == []


def test_after_a_crash_at_most_two_seconds_are_lost(tmp_path: Path) -> None:
    """A process that records 5 s in real time is killed without warning; what it left is found and
    readable."""
    script = f"""
import sys, time
from pathlib import Path
from tests.voice.test_recorder import BLOCK, TONE, Card
from journal.voice.recorder import Recorder
card = Card()
recorder = Recorder(Path({str(tmp_path)!r}), open_stream=card.open)
recorder.start()
for n in range(100):
    card.give(1)
    if n == 30:
        print("three seconds are said", flush=True)
    time.sleep(0.02)
time.sleep(60)
"""
    process = subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    process.stdout.readline()
    process.send_signal(signal.SIGKILL)
    process.wait()
    (path,) = recover(tmp_path)
    assert frames(path) / 16_000 >= 3.0 - 2.0
    assert frames(path) % BLOCK == 0


def test_recover_leaves_a_running_recording_alone_and_forgets_empty_ones(tmp_path: Path, card: Card) -> None:
    (tmp_path / "spoken-00.wav").write_bytes(b"RIFF")
    (tmp_path / "holiday.wav").write_bytes(b"mine")
    recorder = Recorder(tmp_path, open_stream=card.open)
    recorder.start()
    card.give(2)
    assert recover(tmp_path) == []
    assert not (tmp_path / "spoken-00.wav").exists()
    assert (tmp_path / "holiday.wav").read_bytes() == b"mine"
    path = recorder.stop()
    assert recover(tmp_path) == [path]


def test_recover_leaves_other_names_of_a_recording_alone_and_mends_what_they_name(
    tmp_path: Path, card: Card
) -> None:
    recorder = Recorder(tmp_path, open_stream=card.open)
    assert recorder.path is None
    recorder.start()
    assert recorder.path is not None
    os.link(recorder.path, tmp_path / "kept.wav")
    card.give(7)
    spoken = recorder.stop()
    with spoken.open("r+b") as file:  # as a crash before the last half second was made sure of
        file.write(bytes(44))
    assert recover(tmp_path) == [spoken]
    spoken.unlink()
    assert recover(tmp_path) == []
    assert frames(tmp_path / "kept.wav") == 7 * BLOCK


def test_a_listener_hears_every_block(tmp_path: Path, card: Card) -> None:
    heard: list[int] = []
    recorder = Recorder(tmp_path, open_stream=card.open, on_block=lambda block: heard.append(len(block)))
    recorder.start()
    card.give(4)
    recorder.stop()
    assert heard == [BLOCK] * 4
