"""Any sound file in, 16 kHz mono pieces of some 18 seconds out.

Decoding runs piece by piece, so that three hours need no more memory than a minute.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

from journal.voice.errors import UnreadableAudio

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Samples: TypeAlias = "NDArray[np.float32]"
"""16 kHz mono sound in [-1, 1]."""

RATE = 16_000
"""Samples a second that the recogniser takes."""

PIECE_SECONDS = 18.0
"""Longest piece. The recogniser could hear 30 s at a time, but loses fewer words in shorter stretches:
word errors on six joined sentences of the tuning half were 3.8 % at 18 s, 5.4 % at 28 s and 4.3 % at 12 s
(one voice)."""

WHOLE_SECONDS = 24.0
"""What is left at the end is not cut when it is this short: two pieces of it would take longer than one."""

_SEARCH_SECONDS = 8.0
_FRAME = 320  # 20 ms
_GROUP = 100_000

SUFFIXES = frozenset({".wav", ".flac", ".ogg", ".oga", ".opus", ".mp3", ".m4a", ".mp4", ".aac"})
"""Endings taken from a folder. A file that is named outright is tried whatever it is called."""


class SoundFile:
    """One sound file. ``seconds`` is the length its header claims, or None when it does not say.

    Raises: UnreadableAudio when it cannot be opened or holds no sound.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._check_is_there()
        import av

        try:
            with av.open(str(path), mode="r", metadata_errors="ignore") as container:
                if not container.streams.audio:
                    raise UnreadableAudio(
                        f"{path.name} holds no sound.", "Give a sound file: WAV, FLAC, OGG, MP3 or M4A."
                    )
                length = container.duration
        except (av.FFmpegError, ValueError) as error:
            raise self._damaged(error) from error
        self.seconds: float | None = length / 1_000_000 if length else None

    def _check_is_there(self) -> None:
        try:
            if self.path.is_dir():
                raise UnreadableAudio(
                    f"{self.path} is a folder.", "Name a sound file, or a folder that holds some."
                )
            if self.path.stat().st_size == 0:
                raise UnreadableAudio(
                    f"{self.path.name} is empty.", "Record it again, or fetch the file anew."
                )
        except FileNotFoundError as error:
            raise UnreadableAudio(
                f"There is no file {self.path}.", "Check the name and the folder."
            ) from error
        except OSError as error:
            raise UnreadableAudio(
                f"{self.path} cannot be read ({error.strerror}).", "Check its rights."
            ) from error

    def _damaged(self, error: Exception) -> UnreadableAudio:
        why = type(error).__name__ if isinstance(error, ValueError) else str(error).split(":")[0].strip()
        return UnreadableAudio(
            f"{self.path.name} cannot be decoded ({why}).",
            "It may be damaged or cut short. WAV, FLAC, OGG, MP3 and M4A are understood.",
        )

    def blocks(self) -> Iterator[Samples]:
        """Decoded sound as 16 kHz mono float32 in [-1, 1], a block at a time.

        A file that breaks off in the middle gives what could be decoded.
        """
        import av

        resampler = av.AudioResampler(format="s16", layout="mono", rate=RATE)
        heard = False
        try:
            with av.open(str(self.path), mode="r", metadata_errors="ignore") as container:
                for frame in _grouped(_frames(container)):
                    for part in resampler.resample(frame):
                        heard = True
                        yield _as_float(part)
        except (av.FFmpegError, ValueError) as error:
            if not heard:
                raise self._damaged(error) from error
        if not heard:
            raise UnreadableAudio(
                f"{self.path.name} holds no sound.", "Record it again, or fetch the file anew."
            )


def _frames(container: Any) -> Iterator[Any]:
    """Frames of the first sound stream; packets that are not valid are stepped over."""
    import av

    frames = iter(container.decode(audio=0))
    while True:
        try:
            frame = next(frames)
        except StopIteration:
            return
        except av.error.InvalidDataError:
            continue
        frame.pts = None  # a gap in time stamps is no reason to refuse the sound
        yield frame


def _grouped(frames: Iterator[Any]) -> Iterator[Any]:
    """Larger frames, then None for the end: a call for every few milliseconds would cost more than the
    decoding."""
    import av

    fifo = av.AudioFifo()
    for frame in frames:
        fifo.write(frame)
        if fifo.samples >= _GROUP:
            yield fifo.read()
    rest = fifo.read() if fifo.samples else None
    if rest is not None:
        yield rest
        yield None


def _as_float(part: Any) -> Samples:
    import numpy as np

    sound: Samples = part.to_ndarray().reshape(-1).astype(np.float32) / np.float32(32768.0)
    return sound


def pieces(blocks: Iterator[Samples]) -> Iterator[tuple[float, Samples]]:
    """Cut a stream of blocks at its quietest places: (start in seconds, at most 18 s of sound; the last, 24 s)."""
    import numpy as np

    most, whole = int(PIECE_SECONDS * RATE), int(WHOLE_SECONDS * RATE)
    kept: list[Samples] = []
    held, start = 0, 0
    for block in blocks:
        kept.append(block)
        held += len(block)
        while held > whole:
            sound = np.concatenate(kept)
            cut = quietest(sound[:most], int(_SEARCH_SECONDS * RATE))
            yield start / RATE, sound[:cut]
            start += cut
            kept, held = [sound[cut:]], len(sound) - cut
    if held:
        yield start / RATE, np.concatenate(kept)


def quietest(sound: Samples, search: int) -> int:
    """Index in the last ``search`` samples at the middle of the quietest fifth of a second."""
    import numpy as np

    tail = sound[-search:]
    frames = len(tail) // _FRAME
    energy = np.square(tail[: frames * _FRAME].reshape(frames, _FRAME)).sum(axis=1)
    wide = np.convolve(energy, np.ones(10), mode="same")
    return len(sound) - len(tail) + int(np.argmin(wide)) * _FRAME + _FRAME // 2


def trimmed(sound: Samples) -> Samples:
    """The sound without the hush before the first and after the last word, a third of a second left at
    each end.

    Hush is what stays 34 dB below the loud parts; noise that is louder than that stays in.
    """
    import numpy as np

    frames = len(sound) // _FRAME
    loud = (
        np.sqrt(np.square(sound[: frames * _FRAME].reshape(frames, _FRAME)).mean(axis=1))
        if frames
        else np.zeros(0)
    )
    if not len(loud) or loud.max() == 0:
        return sound[:0]
    heard = np.flatnonzero(loud > 0.02 * np.sort(loud)[-max(1, min(25, frames // 4))])
    spare = RATE // 3
    return sound[max(0, int(heard[0]) * _FRAME - spare) : (int(heard[-1]) + 1) * _FRAME + spare]


def level(sound: Samples) -> float:
    """Root mean square in [0, 1]; 0.0 for no samples."""
    import numpy as np

    return float(np.sqrt(np.mean(np.square(sound)))) if len(sound) else 0.0
