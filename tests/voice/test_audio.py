"""Every kind of sound file, and every kind of bad one."""

from __future__ import annotations

import struct
import tracemalloc
import wave
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from journal.voice.audio import (
    PIECE_SECONDS,
    RATE,
    WHOLE_SECONDS,
    SoundFile,
    level,
    pieces,
    quietest,
    trimmed,
)
from journal.voice.errors import UnreadableAudio
from journal.voice.inbox import sound_files


def tone(seconds: float, rate: int, hertz: float = 440.0) -> NDArray[np.float64]:
    return 0.5 * np.sin(2 * np.pi * hertz * np.arange(int(seconds * rate)) / rate)


def write_wav(path: Path, samples: NDArray[np.float64], rate: int, width: int = 2, channels: int = 1) -> Path:
    scaled = samples * 127 + 128 if width == 1 else samples * 32_767
    kind = np.uint8 if width == 1 else np.dtype("<i2")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(width)
        file.setframerate(rate)
        file.writeframes(np.repeat(scaled.astype(kind), channels).tobytes())
    return path


def encode(path: Path, codec: str, seconds: float = 1.0, rate: int = 48_000) -> Path:
    with av.open(str(path), "w") as out:
        stream = out.add_stream(codec, rate=rate, layout="mono")
        resampler = av.AudioResampler(
            format=stream.format.name, layout="mono", rate=rate, frame_size=stream.frame_size or 1024
        )
        samples = (tone(seconds, rate) * 32_767).astype(np.int16)[None]
        frame = av.AudioFrame.from_ndarray(samples, format="s16", layout="mono")
        frame.sample_rate = rate
        for part in (*resampler.resample(frame), *resampler.resample(None)):
            out.mux(stream.encode(part))
        out.mux(stream.encode(None))
    return path


def heard(path: Path) -> NDArray[np.float32]:
    return np.concatenate(list(SoundFile(path).blocks()))


def pitch(sound: NDArray[np.float32]) -> float:
    spectrum = np.abs(np.fft.rfft(sound))
    return float(np.argmax(spectrum) * RATE / len(sound))


@pytest.mark.parametrize(
    ("rate", "width", "channels"),
    [
        (8_000, 1, 1),
        (16_000, 2, 1),
        (22_050, 2, 2),
        (44_100, 2, 2),
        (48_000, 1, 2),
        (96_000, 2, 1),
        (96_000, 2, 2),
    ],
)
def test_any_rate_width_and_channels_become_16_khz_mono(
    tmp_path: Path, rate: int, width: int, channels: int
) -> None:
    """A 440 Hz tone stays 440 Hz at half scale, whose root mean square is 0.5/√2 = 0.354."""
    sound = heard(write_wav(tmp_path / "a.wav", tone(1.0, rate), rate, width, channels))
    assert len(sound) == pytest.approx(RATE, abs=RATE // 50)
    assert pitch(sound) == pytest.approx(440, abs=3)
    assert level(sound[1_000:-1_000]) == pytest.approx(0.354, abs=0.02)


@pytest.mark.parametrize(
    ("name", "codec"),
    [
        ("a.flac", "flac"),
        ("a.ogg", "libopus"),
        ("a.mp3", "libmp3lame"),
        ("a.m4a", "aac"),
    ],
)
def test_packed_kinds_are_understood(tmp_path: Path, name: str, codec: str) -> None:
    path = encode(tmp_path / name, codec)
    assert pitch(heard(path)[2_000:14_000]) == pytest.approx(440, abs=3)


def test_32_bit_float_with_extra_chunks_is_understood(tmp_path: Path) -> None:
    """Format tag 3 with fact and PEAK chunks before data, the kind that Python's wave module refuses."""
    samples = tone(1.0, RATE).astype("<f4").tobytes()
    chunks = b"fmt " + struct.pack("<IHHIIHH", 16, 3, 1, RATE, RATE * 4, 4, 32)
    chunks += b"fact" + struct.pack("<II", 4, RATE) + b"PEAK" + struct.pack("<IIIfI", 16, 1, 0, 0.5, 9)
    chunks += b"data" + struct.pack("<I", len(samples)) + samples
    path = tmp_path / "float.wav"
    path.write_bytes(b"RIFF" + struct.pack("<I", 4 + len(chunks)) + b"WAVE" + chunks)
    with pytest.raises(wave.Error), wave.open(str(path)):
        pass
    assert pitch(heard(path)) == pytest.approx(440, abs=3)


def bad_files(folder: Path) -> dict[str, Path]:
    whole = write_wav(folder / "whole.wav", tone(1.0, RATE), RATE).read_bytes()
    contents = {
        "empty.wav": b"",
        "noise.wav": np.random.default_rng(1).bytes(5_000),
        "text.mp3": b"This is a letter, not a sound. " * 50,
        "header.wav": whole[:44],
        "half header.wav": whole[:20],
        "zeros.ogg": bytes(4_000),
    }
    for name, content in contents.items():
        (folder / name).write_bytes(content)
    return {name: folder / name for name in contents}


def test_each_bad_file_ends_in_a_message_with_its_name(tmp_path: Path) -> None:
    for name, path in bad_files(tmp_path).items():
        with pytest.raises(UnreadableAudio) as caught:
            heard(path)
        assert name in caught.value.message
        assert caught.value.hint


def test_a_missing_file_and_a_folder_are_told_apart(tmp_path: Path) -> None:
    with pytest.raises(UnreadableAudio, match="There is no file"):
        SoundFile(tmp_path / "none.wav")
    with pytest.raises(UnreadableAudio, match="is a folder"):
        SoundFile(tmp_path)


def test_a_file_cut_short_gives_what_is_there(tmp_path: Path) -> None:
    path = write_wav(tmp_path / "a.wav", tone(2.0, RATE), RATE)
    path.write_bytes(path.read_bytes()[: 44 + RATE * 2])
    assert len(heard(path)) == pytest.approx(RATE, abs=2_100)


def test_pieces_are_cut_where_it_is_quiet_and_lose_nothing() -> None:
    """Words of 1.7 s with gaps of 0.3 s: every cut falls into a gap."""
    word = np.concatenate([tone(1.7, RATE), np.zeros(int(0.3 * RATE))]).astype(np.float32)
    sound = np.tile(word, 50)
    found = list(pieces(iter(np.array_split(sound, 777))))
    assert np.array_equal(np.concatenate([piece for _, piece in found]), sound)
    assert len(found) > 3
    for start, piece in found[1:]:
        assert start % 2.0 > 1.69
        assert len(piece) <= WHOLE_SECONDS * RATE
    assert all(len(piece) <= PIECE_SECONDS * RATE for _, piece in found[:-1])


def test_quietest_finds_the_gap() -> None:
    sound = np.ones(RATE * 10, np.float32)
    sound[8 * RATE : 8 * RATE + 4_000] = 0
    assert 8 * RATE <= quietest(sound, 5 * RATE) <= 8 * RATE + 4_000


def test_hush_before_and_after_the_words_is_left_out() -> None:
    hiss = 0.001 * np.random.default_rng(5).normal(size=RATE * 10)
    sound = (hiss + np.concatenate([np.zeros(6 * RATE), tone(1.0, RATE), np.zeros(3 * RATE)])).astype(
        np.float32
    )
    kept = trimmed(sound)
    assert len(kept) == pytest.approx(RATE * 5 / 3, abs=700)
    assert pitch(kept) == pytest.approx(440, abs=3)
    assert len(trimmed(np.zeros(RATE, np.float32))) == 0
    assert len(trimmed(np.zeros(0, np.float32))) == 0


def test_a_long_file_is_never_held_whole(tmp_path: Path) -> None:
    """Ten minutes at 8 kHz, 8-bit: all of it would take 38 MB as 16 kHz float32."""
    path = write_wav(tmp_path / "long.wav", np.zeros(10 * 60 * 8_000), 8_000, 1)
    tracemalloc.start()
    seconds = sum(len(piece) for _, piece in pieces(SoundFile(path).blocks())) / RATE
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert seconds == pytest.approx(600, abs=1)
    assert most < 20_000_000


def test_a_folder_gives_its_sound_files_in_spoken_order(tmp_path: Path) -> None:
    for name in ("note 10.ogg", "note 2.OGG", "note 1.m4a", "readme.txt", ".hidden"):
        (tmp_path / name).write_bytes(b"x")
    named = [path.name for path in sound_files([tmp_path])]
    assert named == ["note 1.m4a", "note 2.OGG", "note 10.ogg"]
    outright = sound_files([tmp_path / "readme.txt", tmp_path, tmp_path / "note 2.OGG"])
    assert [path.name for path in outright] == ["readme.txt", *named]


def test_a_folder_without_sound_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(UnreadableAudio, match="no sound file"):
        sound_files([tmp_path])
