"""Recording a spoken note: microphone to a private file that survives a crash.

The sound card's thread only puts blocks into a bounded queue; a writer thread takes them to the disk,
makes sure of them every half second, and hands each to whoever listens (the level meter, the text while
speaking).
"""

from __future__ import annotations

import queue
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol
from uuid import uuid4

from journal.voice.audio import RATE
from journal.voice.errors import AlreadyRecording, NoMicrophone, RecordingLost
from journal.voice.wavefile import HEADER, GrowingWave, mend

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Block = NDArray[np.int16]

BLOCK = 1600  # a tenth of a second
_QUEUE_BLOCKS = 300  # half a minute: a disk that stalls longer than that costs sound, and says so
_SURE_EVERY = 0.5
_TAIL = 0.3  # seconds that the sound card still holds when the key is pressed
_GONE_AFTER = 2.0
_SILENT = 0.002
_SILENT_AFTER = 4.0
_CLIPPED = 32_700
_PREFIX, _SUFFIX = "spoken-", ".wav"


class Stream(Protocol):
    """What a recording needs of a sound card's stream."""

    def start(self) -> None: ...
    def stop(self) -> None: ...
    def close(self) -> None: ...


OpenStream = Callable[[str | None, Callable[[bytes], None]], Stream]
"""Opens a 16 kHz mono 16-bit stream on a named device that hands blocks of bytes to the callback."""


class Recorder:
    """One recording at a time into ``folder``.

    device: a name from ``devices()``; None for the system's own choice. on_block: hears every block (int16,
    16 kHz) on the writer's thread. level: loudness of the last tenth of a second, 0 to 1. elapsed: seconds
    recorded. warnings: what the person should know now, in words.
    """

    def __init__(
        self,
        folder: Path,
        device: str | None = None,
        *,
        on_block: Callable[[Block], None] | None = None,
        open_stream: OpenStream | None = None,
    ) -> None:
        self._folder, self._device = folder, device
        self._on_block = on_block
        self._open_stream = open_stream or open_microphone
        self._stream: Stream | None = None
        self._file: GrowingWave | None = None
        self._writer: threading.Thread | None = None
        self._reset()

    def _reset(self) -> None:
        self._blocks: queue.Queue[bytes | None] = queue.Queue(_QUEUE_BLOCKS)
        self._peak_seen = self._clipped = self._lost = 0
        self._loud_at = 0.0
        self._last_block = 0.0
        self._problem: str | None = None
        self.level = 0.0

    def start(self) -> None:
        """Begin. Raises: AlreadyRecording, NoMicrophone, RecordingLost (the folder cannot be written)."""
        if self._file is not None:
            raise AlreadyRecording("A recording is running already.", "Stop it first; nothing of it is lost.")
        self._reset()
        file = _new_file(self._folder)
        try:
            self._stream = self._open_stream(self._device, self._take)
            self._stream.start()
        except BaseException:
            self._stream = None
            file.close()
            file.path.unlink(missing_ok=True)
            raise
        self._file = file
        self._last_block = time.monotonic()
        self._writer = threading.Thread(target=self._write, args=(file,), name="recording", daemon=True)
        self._writer.start()

    def stop(self) -> Path:
        """End the recording; the finished file. Keeps what was recorded whatever went wrong on the way.

        Raises: RecordingLost when none was started, or not one sample arrived.
        """
        if self._file is None or self._writer is None:
            raise RecordingLost("No recording is running.", "Start one first.")
        if self._problem is None and not self._is_gone():
            time.sleep(_TAIL)
        self._close_stream()
        self._blocks.put(None)
        self._writer.join()
        file, self._file, self._writer = self._file, None, None
        if file.seconds == 0:
            file.path.unlink(missing_ok=True)
            raise RecordingLost(
                "Not one sample arrived from the microphone.",
                "Check its plug and the system's sound settings.",
            )
        return file.path

    def _close_stream(self) -> None:
        if self._stream is None:
            return
        for end in (self._stream.stop, self._stream.close):
            try:
                end()
            except Exception as error:  # a sound card that was pulled out may refuse; the file matters more
                self._problem = self._problem or f"The microphone did not close ({error})."
        self._stream = None

    def _take(self, sound: bytes) -> None:
        """Runs on the sound card's thread: no disk, no waiting."""
        self._last_block = time.monotonic()
        try:
            self._blocks.put_nowait(sound)
        except queue.Full:
            self._lost += 1

    def _write(self, file: GrowingWave) -> None:
        sure_at = time.monotonic()
        while (sound := self._blocks.get()) is not None:
            try:
                if self._problem is None:
                    file.write(sound)
                if time.monotonic() - sure_at >= _SURE_EVERY:
                    file.make_sure()
                    sure_at = time.monotonic()
            except OSError as error:
                self._problem = f"The disk took no more ({error.strerror}); what came before is kept."
            self._measure(sound, file.seconds)
        try:
            file.close()
        except OSError as error:
            self._problem = self._problem or f"The file did not close well ({error.strerror})."

    def _measure(self, sound: bytes, at: float) -> None:
        import numpy as np

        block = np.frombuffer(sound, dtype="<i2")
        if not len(block):
            return
        peak = int(np.abs(block.astype(np.int32)).max())
        self.level = min(1.0, float(np.sqrt(np.mean(np.square(block / 32768.0)))) * 4)
        if peak / 32768 > _SILENT:
            self._loud_at = at
        self._clipped = 10 if peak >= _CLIPPED else max(0, self._clipped - 1)
        if self._on_block is not None:
            self._on_block(block)

    @property
    def path(self) -> Path | None:
        """The file that is being written; None when nothing runs."""
        return self._file.path if self._file is not None else None

    @property
    def elapsed(self) -> float:
        """Seconds recorded so far."""
        return self._file.seconds if self._file is not None else 0.0

    @property
    def warnings(self) -> tuple[str, ...]:
        """What the person should know now."""
        said = [self._problem] if self._problem else []
        if self._file is not None and self._is_gone():
            said.append("Nothing comes from the microphone any more. Stop: what came before is kept.")
        elif self.elapsed - self._loud_at > _SILENT_AFTER:
            said.append("It is silent. Is the microphone on, and is it the right one?")
        if self._clipped:
            said.append("Too loud: move away from the microphone.")
        if self._lost:
            said.append(f"{self._lost * BLOCK / RATE:.1f} s were lost: the disk is too slow.")
        return tuple(said)

    def _is_gone(self) -> bool:
        return time.monotonic() - self._last_block > _GONE_AFTER


def _new_file(folder: Path) -> GrowingWave:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        file = GrowingWave(folder / f"{_PREFIX}{uuid4().hex}{_SUFFIX}")
    except OSError as error:
        raise RecordingLost(
            f"{folder} cannot be written ({error.strerror}).", "Free some space, or check its rights."
        ) from error
    _lock(file.fileno())
    return file


def _lock(number: int) -> bool:
    """Mark a file as being written; False when somebody else does. Without locks on this system: True."""
    try:
        import fcntl
    except ImportError:
        return True
    try:
        fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def recover(folder: Path) -> list[Path]:
    """Recordings that a crash left behind, oldest first, mended and readable. Ones still being written are
    left."""
    found = []
    for path in sorted(folder.glob(f"{_PREFIX}*{_SUFFIX}"), key=lambda path: path.stat().st_mtime):
        with path.open("rb") as file:
            if not _lock(file.fileno()):
                continue
            if path.stat().st_size > HEADER and mend(path) > 0:
                found.append(path)
            else:
                path.unlink()
    return found


def sound_library() -> Any:
    """The sound library. Raises: NoMicrophone when it, or the PortAudio it needs, is not there."""
    try:
        import sounddevice
    except (ImportError, OSError) as error:  # OSError: the wheel for Linux brings no PortAudio
        raise NoMicrophone(
            "No sound library was found, so nothing can be recorded; everything else works.",
            "On Debian or Ubuntu: apt install libportaudio2. Sound files work: plainball transcribe FILE",
        ) from error
    return sounddevice


def devices() -> list[str]:
    """Names of the microphones, the system's own choice first. Raises: NoMicrophone."""
    sounds = sound_library()
    try:
        listed = [device for device in sounds.query_devices() if device["max_input_channels"] > 0]
        chosen = sounds.default.device[0]
    except sounds.PortAudioError as error:
        raise NoMicrophone(f"The sound system does not answer ({error}).", "Check that it runs.") from error
    listed.sort(key=lambda device: device["index"] != chosen)
    return list(dict.fromkeys(str(device["name"]) for device in listed))


def open_microphone(device: str | None, take: Callable[[bytes], None]) -> Stream:
    """A stream on a real microphone. Raises: NoMicrophone."""
    sounds = sound_library()

    def heard(sound: Any, _frames: int, _time: object, _status: object) -> None:
        take(bytes(sound))

    try:
        stream: Stream = sounds.RawInputStream(
            samplerate=RATE, channels=1, dtype="int16", device=device, blocksize=BLOCK, callback=heard
        )
    except (sounds.PortAudioError, ValueError) as error:
        asked = f'The microphone "{device}" cannot be opened' if device else "No microphone can be opened"
        raise NoMicrophone(
            f"{asked} ({error}).", "Plug one in or choose another; typing works without."
        ) from error
    return stream
