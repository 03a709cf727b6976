"""Text while somebody speaks, and the final text when they stop.

Blocks from the recorder pile up as the running segment. A worker thread hears it again and again while it
grows (quick search, so a word may still change) and settles it at a pause or at its longest (full search).
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal.errors import JournalError
from journal.voice.audio import RATE, quietest

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from journal.voice.audio import Samples
    from journal.voice.transcriber import Transcriber, Transcript

_LOOK_EVERY = 0.2
_FRESH = 0.7  # seconds of new sound that are worth hearing again
_PAUSE_MS = 600
_LONGEST = 20.0


@dataclass(frozen=True, slots=True)
class Spoken:
    """What is on the screen while speaking. settled: stays until the stop. running: may still change."""

    settled: str
    running: str

    @property
    def text(self) -> str:
        """Both together."""
        return " ".join(filter(None, (self.settled, self.running)))


class LiveText:
    """Turns recorded blocks into text in the background.

    on_text hears each change, on the worker's thread. A fault of the recogniser ends the text while speaking,
    shows in ``problem``, and leaves the recording alone.
    """

    def __init__(self, transcriber: Transcriber, on_text: Callable[[Spoken], None]) -> None:
        self._transcriber, self._on_text = transcriber, on_text
        self._blocks: list[NDArray[np.int16]] = []
        self._lock = threading.Lock()
        self._ended = threading.Event()
        self._shown = Spoken("", "")
        self.problem: JournalError | None = None
        self._worker = threading.Thread(target=self._work, name="live text", daemon=True)

    def start(self) -> None:
        """Begin; the model loads on the worker's thread."""
        self._worker.start()

    def feed(self, block: NDArray[np.int16]) -> None:
        """One more block of 16 kHz mono sound; returns at once. Give it to the recorder as ``on_block``."""
        with self._lock:
            self._blocks.append(block)

    def finish(self, recording: Path, on_progress: Callable[[float], None] | None = None) -> Transcript:
        """Stop the text while speaking and hear the whole recording once more, pauses and all.

        Raises: what ``Transcriber.transcribe`` raises.
        """
        self.close()
        return self._transcriber.transcribe(recording, on_progress)

    def close(self) -> None:
        """Stop the text while speaking. Safe to call twice, and before ``start``."""
        self._ended.set()
        if self._worker.is_alive():
            self._worker.join()

    def _work(self) -> None:
        try:
            self._transcriber.load()
            self._listen()
        except JournalError as error:
            self.problem = error

    def _listen(self) -> None:
        import numpy as np

        running: Samples = np.zeros(0, np.float32)
        heard = 0
        while not self._ended.wait(_LOOK_EVERY):
            fresh = self._taken()
            if fresh is not None:
                running = np.concatenate([running, fresh])
            if len(running) - heard < _FRESH * RATE:
                continue
            spoken, pause = speech(running)
            if pause is None and len(running) > _LONGEST * RATE:
                pause = quietest(running, int(_LONGEST * RATE / 2))
            if pause is not None:
                if spoken:
                    self._show(f"{self._shown.settled} {self._transcriber.hear(running[:pause])}".strip(), "")
                running, heard = running[pause:], 0
                continue
            heard = len(running)
            if spoken:
                self._show(self._shown.settled, self._transcriber.hear(running, beam=1))

    def _taken(self) -> Samples | None:
        import numpy as np

        with self._lock:
            blocks, self._blocks = self._blocks, []
        if not blocks:
            return None
        return np.concatenate(blocks).astype(np.float32) / np.float32(32768.0)

    def _show(self, settled: str, running: str) -> None:
        now = Spoken(settled, running)
        if now != self._shown:
            self._shown = now
            self._on_text(now)


def speech(sound: Samples) -> tuple[bool, int | None]:
    """Whether somebody speaks, and the index of the last pause after words (None while they go on without
    one).

    Sound without a word has its pause at its end, less half a second in which a word may begin.
    """
    found = voiced(sound)
    if not found:
        quiet = len(sound) - RATE // 2
        return False, quiet if quiet > RATE else None
    begins = [int(part["start"]) for part in found[1:]] + [len(sound)]
    for part, begin in zip(reversed(found), reversed(begins), strict=True):
        end = int(part["end"])
        if begin - end >= _PAUSE_MS * RATE // 1000:
            return True, end + RATE // 5
    return True, None


def voiced(sound: Samples) -> list[dict[str, Any]]:
    """Stretches of speech as {"start", "end"} in samples, by the voice-activity model that the recogniser
    brings."""
    from faster_whisper.vad import VadOptions, get_speech_timestamps

    options = VadOptions(min_silence_duration_ms=_PAUSE_MS // 2, speech_pad_ms=100)
    found: list[dict[str, Any]] = get_speech_timestamps(sound, options)
    return found
