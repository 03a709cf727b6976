"""The recogniser itself: a CTranslate2 Whisper model through faster-whisper, several guesses for a piece
of sound."""

from __future__ import annotations

import os
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal.voice.audio import RATE
from journal.voice.errors import ModelDamaged

if TYPE_CHECKING:
    from journal.voice.audio import Samples

_FRAMES_A_SECOND = 100
_LONGEST_FRAMES = 3000
_SPARE_FRAMES = 300  # the model wants some quiet after the last word
_LEAST_FRAMES = 1200
_MOST_TOKENS = 448
_PROMPT_TOKENS = 223
_TOKENS_A_SECOND = (
    10  # nobody speaks faster; a guess that runs away is cut off here, not at the model's limit
)
_SPARE_TOKENS = 20
_STEP = 0.02  # seconds a time-stamp token stands for


@dataclass(frozen=True, slots=True)
class Guess:
    """One way to understand a piece.

    log_chance: natural log of its chance given the sound, whole text. tokens: its length.
    ends: seconds at which it says the last word ended, None when it does not say.
    """

    text: str
    log_chance: float
    tokens: int
    ends: float | None

    @property
    def mean(self) -> float:
        """Mean log chance a token."""
        return self.log_chance / (self.tokens + 1)

    @property
    def repeats(self) -> bool:
        """The text says the same thing again and again: it packs too well (ratio over 2.4, the library's
        own bound)."""
        raw = self.text.encode()
        return bool(raw) and len(raw) / len(zlib.compress(raw)) > 2.4


@dataclass(frozen=True, slots=True)
class Heard:
    """All guesses for a piece, the model's favourite first; no_speech: its chance that nobody speaks."""

    guesses: tuple[Guess, ...]
    no_speech: float


def _threads() -> int:
    """Threads to compute with. The library's four, on fewer cores, wait for each other most of the time as soon as
    anything else runs."""
    allowed = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return max(1, min(4, allowed))


class Engine:
    """A loaded model. Raises: ModelDamaged when the folder's files cannot be used."""

    def __init__(self, folder: Path) -> None:
        os.environ.setdefault("HF_HUB_OFFLINE", "1")
        from faster_whisper import WhisperModel
        from faster_whisper.tokenizer import Tokenizer
        from faster_whisper.transcribe import get_suppressed_tokens

        try:
            self._model: Any = WhisperModel(
                str(folder), device="cpu", compute_type="int8", cpu_threads=_threads(), local_files_only=True
            )
        except (RuntimeError, ValueError, OSError) as error:
            raise ModelDamaged(
                f"The speech model in {folder} cannot be loaded ({error}).", "Install it again."
            ) from error
        many = self._model.model.is_multilingual
        self._tokens: Any = Tokenizer(self._model.hf_tokenizer, many, task="transcribe", language="en")
        self._never = get_suppressed_tokens(self._tokens, [-1])

    def guesses(self, piece: Samples, prompt: str, beam: int) -> Heard:
        """The ``beam`` best guesses for at most 30 s of sound, after a prompt that is cut to what fits."""
        encoded = self._model.encode(self._features(piece))
        start = self._start(prompt)
        room = _SPARE_TOKENS + _TOKENS_A_SECOND * len(piece) // RATE
        result = self._model.model.generate(
            encoded,
            [start],
            beam_size=beam,
            num_hypotheses=beam,
            max_length=min(_MOST_TOKENS, len(start) + room),
            return_scores=True,
            return_no_speech_prob=True,
            suppress_tokens=self._never,
            max_initial_timestamp_index=round(1.0 / _STEP),
        )[0]
        found = zip(result.sequences_ids, result.scores, strict=True)
        return Heard(tuple(self._guess(ids, score) for ids, score in found), float(result.no_speech_prob))

    def _features(self, piece: Samples) -> Any:
        """Log-mel frames. Short pieces get a short window: the model was trained on 30 s but hears them as
        well, sooner."""
        from faster_whisper.audio import pad_or_trim

        frames = len(piece) * _FRAMES_A_SECOND // RATE
        window = min(_LONGEST_FRAMES, max(_LEAST_FRAMES, (frames + _SPARE_FRAMES + 1) // 2 * 2))
        return pad_or_trim(self._model.feature_extractor(piece)[:, :_LONGEST_FRAMES], window)

    def _start(self, prompt: str) -> list[int]:
        start: list[int] = list(self._tokens.sot_sequence)
        if not prompt:
            return start
        return [self._tokens.sot_prev, *self._tokens.encode(f" {prompt}")[:_PROMPT_TOKENS], *start]

    def _guess(self, ids: list[int], score: float) -> Guess:
        first_time = self._tokens.timestamp_begin
        text = self._tokens.decode([token for token in ids if token < self._tokens.eot]).strip()
        ends = (ids[-1] - first_time) * _STEP if ids and ids[-1] >= first_time else None
        return Guess(text, score * len(ids), len(ids), ends)
