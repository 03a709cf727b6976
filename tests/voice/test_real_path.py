"""The whole way: synthesised speech, a sound server, the real recorder, the real recogniser.

Skipped, with the reason, where there is no sound server that answers or no PortAudio. The server's
start-up lines are those of .ci/run; a server that plays into a null sink and records from its monitor
needs no sound card.
"""

from __future__ import annotations

import shutil
import subprocess
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from journal.voice.errors import NoMicrophone
from journal.voice.live import LiveText
from journal.voice.recorder import Recorder, devices
from journal.voice.transcriber import Transcriber
from tests.quality.voice import plain, recalled


@pytest.fixture(scope="module")
def device() -> str:
    """Name of the sound server's device."""
    for tool in ("paplay", "pactl"):
        if shutil.which(tool) is None:
            pytest.skip(f"{tool} is not installed (apt install pulseaudio-utils)")
    if subprocess.run(["pactl", "info"], capture_output=True, timeout=20, check=False).returncode != 0:
        pytest.skip("no PulseAudio server answers; see .ci/run for how one is started")
    sinks = subprocess.run(
        ["pactl", "list", "short", "sinks"], capture_output=True, text=True, timeout=20, check=True
    ).stdout
    if "null-sink" not in sinks:
        pytest.skip("the sound server has no null sink: this test would play aloud")
    try:
        names = devices()
    except NoMicrophone as error:
        pytest.skip(error.message)
    if "pulse" not in names:
        pytest.skip(
            f"PortAudio does not see the sound server (apt install libasound2-plugins); it sees {names}"
        )
    return "pulse"


def play(path: Path) -> None:
    subprocess.run(["paplay", str(path)], check=True, timeout=60)


def test_a_spoken_note_is_recorded_shown_and_understood(
    device: str, say: Callable[[str], Path], transcriber: Transcriber, tmp_path: Path
) -> None:
    transcriber.load()
    shown: list[str] = []
    live = LiveText(transcriber, lambda spoken: shown.append(spoken.text))
    recorder = Recorder(tmp_path, device, on_block=live.feed)
    spoken = say("I lifted my head four times on the long pots, and the tip slid off twice on the cushion.")
    recorder.start()
    live.start()
    play(spoken)
    elapsed = recorder.elapsed
    path = recorder.stop()
    until = time.monotonic() + 60
    while not shown and time.monotonic() < until:
        time.sleep(0.05)
    found = live.finish(path)
    assert elapsed > 4
    assert recorder.warnings == ()
    wanted = ["head", "four times", "tip", "twice", "cushion"]
    assert recalled(found.text, wanted) >= 4, found.text
    assert live.problem is None
    assert any({"lifted", "head", "four"} & set(plain(text).split()) for text in shown), (shown, found)


@pytest.mark.usefixtures("device")
def test_a_microphone_that_does_not_exist_is_told(tmp_path: Path) -> None:
    with pytest.raises(NoMicrophone) as caught:
        Recorder(tmp_path, "no such microphone 7").start()
    assert "no such microphone 7" in caught.value.message
    assert caught.value.hint
    assert list(tmp_path.iterdir()) == []
