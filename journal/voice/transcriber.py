"""Sound to text: the recogniser told what to expect, its best guess in the trade's context, then the
repair."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from journal.voice.audio import RATE, SoundFile, level, pieces, trimmed
from journal.voice.context import Context, shipped, split_words
from journal.voice.errors import NoSpeech
from journal.voice.model import checked_folder
from journal.voice.prompt import prompt
from journal.voice.repair import Repair, repair, topic

if TYPE_CHECKING:
    from journal.voice.audio import Samples
    from journal.voice.engine import Engine, Guess, Heard
    from knowledge.entries import Term

__all__ = ["Repair", "Transcriber", "Transcript"]

BEAM, BEAM_LONG = 8, 5
"""Guesses followed side by side for a final text: in a short piece, where they cost little and there is
less context to go by, and in one of more than ten seconds."""

CONTEXT_WEIGHT, OFF_TOPIC_WEIGHT = 0.3, 0.1
"""How much the trade's context counts beside the sound when a guess is chosen: where the model's favourite
speaks of the trade, and where it does not. Set on the tuning sentences."""

WORD_BONUS = 4.0
"""Nats that a word earns in a guess; set likewise."""

SILENCE = 10 ** (-65 / 20)
"""Root mean square below which a piece is not sent to the recogniser, which invents words in silence."""

_DOUBTFUL_SPEECH, _DOUBTFUL_TEXT = 0.4, -0.8
_REST_SECONDS = 1.5


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

    The library and the model load at the first use (about a second). Nothing is fetched.
    """

    def __init__(
        self, terms: Sequence[Term], own_words: Sequence[str] = (), model: Path | None = None
    ) -> None:
        self._terms = tuple(terms)
        self._own_words = tuple(own_words)
        self._own_known = frozenset(word for phrase in own_words for word in split_words(phrase))
        self._prompt = prompt(self._terms, self._own_words)
        self._folder = model
        self._engine: Engine | None = None

    def load(self) -> None:
        """Load library and model now. Raises: ModelDamaged."""
        if self._engine is None:
            folder = checked_folder(self._folder)
            from journal.voice.engine import Engine

            self._engine = Engine(folder)

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
        text, repairs = self.put_right(raw)
        return Transcript(text, raw, repairs, seconds, time.perf_counter() - began)

    def put_right(self, raw: str) -> tuple[str, tuple[Repair, ...]]:
        """Recognised text with trade terms put right, and what was changed."""
        return repair(raw, self._terms, self._own_words)

    def hear(self, piece: Samples, beam: int | None = None) -> str:
        """Raw text of at most 30 s of sound; empty when nobody speaks. beam: 1 is quickest; None chooses.

        Raises: ModelDamaged.
        """
        self.load()
        assert self._engine is not None
        said: list[str] = []
        piece = trimmed(piece)
        beam = beam or (BEAM if len(piece) < 10 * RATE else BEAM_LONG)
        while level(piece) >= SILENCE:
            heard = self._engine.guesses(piece, self._prompt, beam)
            best = self.best(heard)
            if best.repeats:
                again = self.best(self._engine.guesses(piece, "", beam))
                best = best if again.repeats else again
            if self._is_invented(best, heard, piece):
                break
            said.append(best.text)
            if best.ends is None or len(piece) / RATE - best.ends < _REST_SECONDS or best.ends <= 0:
                break
            piece = piece[int(best.ends * RATE) :]
        return " ".join(filter(None, said))

    def best(self, heard: Heard) -> Guess:
        """The guess that sound and context together make likeliest."""
        context = shipped()
        sound = [guess for guess in heard.guesses if guess.text and not guess.repeats]
        if not sound:
            return heard.guesses[0]
        on_topic = topic(heard.guesses[0].text, self._terms, self._own_words) >= 0.5
        weight = CONTEXT_WEIGHT if on_topic else OFF_TOPIC_WEIGHT
        return max(sound, key=lambda guess: guess.log_chance + weight * self._fit(guess.text, context))

    def _fit(self, text: str, context: Context) -> float:
        """Log chance of the words in the trade's context; the player's own words count as usual ones.

        Each word earns back what a word costs on average, or the shortest guess would win.
        """
        words = split_words(text)
        unknown = sum(word in self._own_known and word not in context.ones for word in words)
        return context.score(words) + WORD_BONUS * len(words) + 9.0 * unknown

    def _is_invented(self, best: Guess, heard: Heard, piece: Samples) -> bool:
        """Text for sound in which nobody speaks. The voice-activity model is asked only where there is
        doubt."""
        if not best.text:
            return True
        if not best.repeats and heard.no_speech < _DOUBTFUL_SPEECH and best.mean > _DOUBTFUL_TEXT:
            return False
        from journal.voice.live import voiced

        return not voiced(piece)
