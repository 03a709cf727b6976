"""The file a recording grows in."""

from __future__ import annotations

import stat
import struct
import wave
from pathlib import Path

import pytest

from journal.voice.wavefile import HEADER, GrowingWave, header, mend


def test_the_header_of_one_second_is_the_canonical_one() -> None:
    """Bytes of 1 s, 16 kHz mono 16-bit. Source: the common canonical WAVE description, values by Python's
    wave module."""
    head = header(32_000)
    assert head[:4] == b"RIFF"
    assert head[4:8] == bytes.fromhex("247d0000")
    assert head[8:16] == b"WAVEfmt "
    assert head[16:20] == bytes.fromhex("10000000")
    assert head[20:22] == bytes.fromhex("0100")
    assert head[22:24] == bytes.fromhex("0100")
    assert struct.unpack("<IIHH", head[24:36]) == (16_000, 32_000, 2, 16)
    assert head[36:40] == b"data"
    assert struct.unpack("<I", head[40:44]) == (32_000,)


def test_the_standard_library_reads_it_and_only_its_owner_may(tmp_path: Path) -> None:
    path = tmp_path / "note.wav"
    file = GrowingWave(path)
    file.write(b"\x01\x00" * 8_000)
    file.close()
    file.close()
    with wave.open(str(path)) as read:
        assert (read.getframerate(), read.getnchannels(), read.getsampwidth(), read.getnframes()) == (
            16_000,
            1,
            2,
            8_000,
        )
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_it_can_be_read_while_it_still_grows(tmp_path: Path) -> None:
    file = GrowingWave(tmp_path / "note.wav")
    file.write(b"\x01\x00" * 4_000)
    file.make_sure()
    file.write(b"\x02\x00" * 4_000)
    with wave.open(str(file.path)) as read:
        assert read.getnframes() == 4_000
    file.close()
    with wave.open(str(file.path)) as read:
        assert read.readframes(8_000)[-2:] == b"\x02\x00"


def test_a_broken_off_file_is_mended_to_its_length(tmp_path: Path) -> None:
    path = tmp_path / "note.wav"
    path.write_bytes(header(0) + b"\x01\x00" * 16_000 + b"\x07")
    assert mend(path) == 1.0
    assert path.stat().st_size == HEADER + 32_000
    with wave.open(str(path)) as read:
        assert read.getnframes() == 16_000


def test_a_file_of_that_name_is_never_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "note.wav"
    path.write_bytes(b"mine")
    with pytest.raises(FileExistsError):
        GrowingWave(path)
    assert path.read_bytes() == b"mine"
