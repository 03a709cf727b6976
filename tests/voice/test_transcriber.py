"""Sound to text with the real recogniser."""

from __future__ import annotations

import subprocess
import sys
import wave
from collections.abc import Callable
from pathlib import Path

import jiwer
import numpy as np
import pytest

from journal.voice.errors import NoSpeech
from journal.voice.transcriber import Transcriber
from knowledge.entries import Term
from tests.quality.voice import plain, read, recalled
from tests.voice.test_audio import write_wav

DEMO = Path(__file__).parents[2] / "demo_data" / "spoken_note"


def joined(path: Path, parts: list[tuple[float, Path | None]]) -> Path:
    """A 16 kHz file of silences (seconds) each followed by a spoken file."""
    sound = []
    for seconds, spoken in parts:
        sound.append(np.zeros(int(seconds * 16_000), np.float32))
        if spoken is not None:
            sound.append(read(spoken))
    return write_wav(path, np.concatenate(sound).astype(np.float64), 16_000)


def test_the_demo_note_is_understood(transcriber: Transcriber) -> None:
    """One wrong word in ten at most, and every word that the journal needs."""
    shares: list[float] = []
    found = transcriber.transcribe(DEMO.with_suffix(".ogg"), shares.append)
    said = DEMO.with_suffix(".txt").read_text("utf-8")
    assert jiwer.wer(plain(said), plain(found.text)) <= 0.1
    wanted = ["lifted my head", "four times", "tip slid off twice", "white tight on the cushion", "stay down"]
    assert recalled(found.text, wanted) == len(wanted)
    assert 20 < found.seconds_audio < 30
    assert found.seconds_taken > 0
    assert shares[-1] == pytest.approx(1.0, abs=0.01)


def test_every_word_of_a_long_recording_is_kept_in_order(
    transcriber: Transcriber, say: Callable[[str], Path], tmp_path: Path
) -> None:
    """Longer than one window: the marks at the start, in the middle and at the end all arrive."""
    fillers = [
        "The short ones went in nicely and I was pleased with that part of the evening.",
        "My brother came to watch, and we had a drink together at the bar afterwards.",
        "I lost two frames to one, but both of them went down to the last few balls.",
    ]
    marks = [
        "On Monday I played alone.",
        "On Wednesday I played with my brother.",
        "On Friday I played the match.",
    ]
    parts: list[tuple[float, Path | None]] = []
    for mark, filler in zip(marks, fillers, strict=True):
        parts += [(0.6, say(mark)), (0.6, say(filler))]
    shares: list[float] = []
    found = transcriber.transcribe(joined(tmp_path / "long.wav", parts), shares.append)
    at = [plain(found.text).find(word) for word in ("monday", "wednesday", "friday")]
    assert -1 not in at
    assert at == sorted(at)
    assert recalled(found.text, ["evening", "brother", "drink", "two frames", "last"]) == 5
    assert shares == sorted(shares)
    assert len(shares) >= 2


@pytest.mark.parametrize("sound", ["silence", "hiss", "hum"])
def test_where_nobody_speaks_no_words_are_invented(
    sound: str, transcriber: Transcriber, tmp_path: Path
) -> None:
    times = np.arange(8 * 16_000) / 16_000
    made = {
        "silence": np.zeros(len(times)),
        "hiss": 0.05 * np.random.default_rng(3).normal(size=len(times)).clip(-3, 3),
        "hum": 0.2 * np.sin(2 * np.pi * 50 * times),
    }[sound]
    with pytest.raises(NoSpeech) as caught:
        transcriber.transcribe(write_wav(tmp_path / f"{sound}.wav", made, 16_000))
    assert sound in caught.value.message


def test_three_hours_end_in_their_text(
    transcriber: Transcriber, say: Callable[[str], Path], tmp_path: Path
) -> None:
    """Three hours at 8 kHz and 8 bit, silent but for a sentence at each end."""
    spoken = read(say("I lifted my head four times."))[::2]
    hush = bytes([128]) * (8_000 * 60)
    path = tmp_path / "evening.wav"
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(1)
        file.setframerate(8_000)
        words = (spoken * 127 + 128).clip(0, 255).astype(np.uint8).tobytes()
        file.writeframes(words)
        for _ in range(180):
            file.writeframes(hush)
        file.writeframes(words)
    found = transcriber.transcribe(path)
    assert found.seconds_audio == pytest.approx(180 * 60 + 2 * len(spoken) / 8_000, abs=1)
    assert plain(found.text).count("four times") == 2


def test_raw_text_and_repairs_make_the_text(transcriber: Transcriber) -> None:
    text, repairs = transcriber.put_right("The queue ball ran to the bulk line.")
    assert text == "The cue ball ran to the baulk line."
    assert [repair.heard for repair in repairs] == ["queue ball", "bulk line"]


def test_a_players_own_word_is_told_to_the_recogniser(terms: tuple[Term, ...]) -> None:
    assert "Brindlewick" in Transcriber(terms, ("Brindlewick",))._prompt
    many = Transcriber(terms, tuple(f"somebody{n}" for n in range(200)))._prompt
    assert "somebody0" in many
    assert "somebody150" not in many
    assert many.endswith("baulk colours.")


def test_heavy_libraries_wait_until_they_are_needed() -> None:
    script = """
import sys
import journal.voice.transcriber, journal.voice.recorder, journal.voice.live, journal.cli.transcribe
heavy = {"faster_whisper", "ctranslate2", "onnxruntime", "av", "sounddevice", "numpy", "rapidfuzz"}
print(sorted(heavy & set(sys.modules)))
"""
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
