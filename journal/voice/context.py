"""How the trade speaks: word, pair and triple counts, and how words sound.

The figures come from the project's own sentences (see build_context.py), so they hold no person's notes.
"""

from __future__ import annotations

import gzip
import json
import math
import re
from functools import cache, lru_cache
from pathlib import Path

from journal.voice.sounds import from_spelling

DATA = Path(__file__).with_name("context.json.gz")
_WORD = re.compile(r"[a-z0-9]+(?:'[a-z]+)?")


def split_words(text: str) -> list[str]:
    """Lower-case words; a hyphen parts two words."""
    return _WORD.findall(text.lower().replace("’", "'"))


class Context:
    """Trade and ordinary English as one model of word chances (interpolated triples, pairs and words)."""

    def __init__(self, path: Path = DATA) -> None:
        found = json.loads(gzip.decompress(path.read_bytes()))
        self.rank: dict[str, int] = {word: n for n, word in enumerate(found["ordinary"], 1)}
        self.sounds: dict[str, str] = found["sounds"]
        self.ones: dict[str, int] = found["ones"]
        self._twos: dict[str, int] = found["twos"]
        self._threes: dict[str, int] = found["threes"]
        self._total = sum(self.ones.values())
        self._after: dict[str, int] = {}
        for pair in self._twos:
            first = pair.split(" ", 1)[0]
            self._after[first] = self._after.get(first, 0) + 1
        self.log_chance = lru_cache(maxsize=50_000)(self._log_chance)
        self.sound_of = lru_cache(maxsize=20_000)(self._sound_of)

    def _sound_of(self, word: str) -> str:
        known = self.sounds.get(word)
        if known is not None:
            return known
        if word.endswith("'s"):
            return self._sound_of(word[:-2]) + "z"
        return from_spelling(word)

    def ordinary(self, word: str) -> float:
        """Chance of a word in ordinary English, by its place in a list of frequent words (Zipf)."""
        rank = self.rank.get(word)
        return 0.08 / rank if rank is not None else 1e-7

    def _log_chance(self, before: str, last: str, word: str) -> float:
        """Natural log of the chance of ``word`` after two others (Witten-Bell smoothing)."""
        one = 0.85 * self.ones.get(word, 0) / self._total + 0.15 * self.ordinary(word)
        seen, kinds = self.ones.get(last, 0), self._after.get(last, 0)
        two = (self._twos.get(f"{last} {word}", 0) + kinds * one) / (seen + kinds) if seen + kinds else one
        pair = self._twos.get(f"{before} {last}", 0)
        three = self._threes.get(f"{before} {last} {word}", 0)
        chance = (three + 4.0 * two) / (pair + 4.0) if pair and three <= pair else two
        return math.log(max(chance, 1e-9))

    def score(self, words: list[str], start: int = 0, end: int | None = None) -> float:
        """Log chance of words[start:end] in their sentence, with the two words after them."""
        stop = len(words) if end is None else min(len(words), end)
        whole = ["<", "<", *words, ">"]
        return sum(
            self.log_chance(whole[i], whole[i + 1], whole[i + 2])
            for i in range(start, min(stop + 2, len(words) + 1))
        )


@cache
def shipped() -> Context:
    """The context that comes with the program, read once."""
    return Context()
