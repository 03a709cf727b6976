"""Sound to text: the recogniser with the trade's words in its prompt, then the repair of trade terms."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal.voice.audio import RATE, SoundFile, level, pieces
from journal.voice.errors import ModelDamaged, NoSpeech
from journal.voice.model import checked_folder
from journal.voice.prompt import hot_words
from journal.voice.repair import Repair, repair

if TYPE_CHECKING:
    from journal.voice.audio import Samples
    from knowledge.entries import Term

__all__ = ["Repair", "Transcriber", "Transcript"]

SILENCE = 10 ** (-65 / 20)
"""Root mean square below which a piece is not sent to the recogniser, which invents words in silence."""


@dataclass(frozen=True, slots=True)
class Transcript:
    """What was said.

    text: with trade terms put right. raw: as recognised. repairs: places in ``text``, in order.
    seconds_audio: length of the sound. seconds_taken: wall time, loading of the model not counted.
    """

    text: str
    raw: str
    repairs: tuple[Repair, ...]
    seconds_audio: float
    seconds_taken: float


class Transcriber:
    """Recognises English speech with the bundled small model, or a larger one from a folder.

    The library and the model load at the first use (about half a second). Nothing is fetched.
    """

    def __init__(
        self, terms: Sequence[Term], own_words: Sequence[str] = (), model: Path | None = None
    ) -> None:
        self._terms = tuple(terms)
        self._own_words = tuple(own_words)
        self._folder = model
        self._engine: Any = None

    def load(self) -> None:
        """Load library and model now. Raises: ModelDamaged."""
        if self._engine is not None:
            return
        folder = checked_folder(self._folder)
        os.environ.setdefault("HF_HUB_OFFLINE", "1")
        from faster_whisper import WhisperModel

        try:
            self._engine = WhisperModel(str(folder), device="cpu", compute_type="int8", local_files_only=True)
        except (RuntimeError, ValueError, OSError) as error:
            raise ModelDamaged(
                f"The speech model in {folder} cannot be loaded ({error}).", "Install it again."
            ) from error

    def transcribe(self, path: Path, on_progress: Callable[[float], None] | None = None) -> Transcript:
        """Text of one sound file; ``on_progress`` hears the done share in [0, 1].

        Raises: UnreadableAudio, NoSpeech, ModelDamaged.
        """
        sound = SoundFile(path)
        self.load()
        began = time.perf_counter()
        said: list[str] = []
        seconds = 0.0
        for start, piece in pieces(sound.blocks()):
            said.append(self.hear(piece))
            seconds = start + len(piece) / RATE
            if on_progress is not None:
                on_progress(min(1.0, seconds / sound.seconds) if sound.seconds else 0.0)
        raw = " ".join(filter(None, said))
        if not raw:
            raise NoSpeech(f"Nobody speaks in {path.name}.", "Check the microphone and speak closer to it.")
        text, repairs = repair(raw, self._terms, self._own_words)
        return Transcript(text, raw, repairs, seconds, time.perf_counter() - began)

    def hear(self, piece: Samples, beam: int = 5) -> str:
        """Raw text of at most 30 s of sound; empty for silence. ``load`` comes first."""
        if level(piece) < SILENCE:
            return ""
        segments, _ = self._engine.transcribe(
            piece,
            language="en",
            beam_size=beam,
            condition_on_previous_text=False,
            hotwords=hot_words(self._terms, self._own_words),
        )
        return " ".join(segment.text.strip() for segment in segments).strip()
