"""A sound file that can be read at any moment, even when its writer died in mid-sentence.

16 kHz mono 16-bit PCM in RIFF/WAVE, 44 bytes of header: the common "canonical" layout of the format.
"""

from __future__ import annotations

import os
import struct
from pathlib import Path

from journal.voice.audio import RATE

HEADER = 44
_BYTES_A_SECOND = RATE * 2
_MOST = 0xFFFFFFFF - HEADER


class GrowingWave:
    """A new file, readable by its owner only, whose header always tells the length last made sure of.

    Raises: OSError from every method when the disk is full or the folder cannot be written.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._bytes = 0
        number = os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600)
        self._file = os.fdopen(number, "w+b", buffering=0)
        self._file.write(header(0))

    def fileno(self) -> int:
        """The operating system's number, for a lock."""
        return self._file.fileno()

    def write(self, sound: bytes) -> None:
        """Append 16-bit samples. What fits on a full disk is kept; the error still comes."""
        view = memoryview(sound)[: _MOST - self._bytes]
        while view:
            written = self._file.write(view) or 0
            self._bytes += written
            view = view[written:]

    def make_sure(self) -> None:
        """Put the length into the header and everything onto the disk."""
        self._file.seek(0)
        self._file.write(header(self._bytes - self._bytes % 2))
        self._file.seek(0, os.SEEK_END)
        os.fsync(self._file.fileno())

    def close(self) -> None:
        """Finish the file. Safe to call twice."""
        if not self._file.closed:
            try:
                self.make_sure()
            finally:
                self._file.close()

    @property
    def seconds(self) -> float:
        """Length written so far."""
        return self._bytes / _BYTES_A_SECOND


def header(size: int) -> bytes:
    """The 44 bytes before ``size`` bytes of sound."""
    return struct.pack(
        "<4sI4s4sIHHIIHH4sI",
        b"RIFF",
        36 + size,
        b"WAVE",
        b"fmt ",
        16,
        1,
        1,
        RATE,
        _BYTES_A_SECOND,
        2,
        16,
        b"data",
        size,
    )


def mend(path: Path) -> float:
    """Make the header of a recording that broke off fit its length; the seconds that are in it."""
    size = max(0, path.stat().st_size - HEADER)
    size -= size % 2
    with path.open("r+b") as file:
        file.write(header(size))
        file.truncate(HEADER + size)
    return size / _BYTES_A_SECOND
