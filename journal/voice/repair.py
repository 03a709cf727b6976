"""Trade terms put right after recognition, where the words around them make that safer than leaving them.

Each stretch of one to three words is compared by sound with the trade's terms and looked up among their usual
mis-hearings. A term is put in only when the sentence becomes so much more likely with it (context.py) that
the gain pays for the difference in sound, for the general doubt, and for a sentence that speaks of nothing
else of the trade. Weights were set on the tuning half of tests/quality/sets/spoken.jsonl.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from journal.voice.context import Context, shipped, split_words
from journal.voice.lexicon import UNLESS_NEXT, Lexicon, Target, lexicon
from journal.voice.sounds import distance
from knowledge.entries import Term

_TOKEN = re.compile(r"[A-Za-z0-9]+(?:['’][A-Za-z]+)?")
_LONGEST = 4
_LONGEST_SURE = 5


@dataclass(frozen=True, slots=True)
class Weights:
    """Costs in nats (natural-log units), to be paid by what the sentence gains in likelihood."""

    sound: float = 5.0
    doubt: float = 3.0
    off_topic: float = 18.0
    misheard: float = 2.5
    trade_heard: float = 1.0
    known_heard: float = 1.5
    real_word: float = 2.5
    sure: float = 1.0
    broken_word: float = 0.5
    own_word: float = 9.0
    regroup: float = 2.0
    far: float = 0.25


@dataclass(frozen=True, slots=True)
class Repair:
    """One replacement: ``text[start:end] == meant`` in the repaired text; ``heard`` stood there before."""

    start: int
    end: int
    heard: str
    meant: str


class _Token(NamedTuple):
    start: int
    end: int
    word: str


class _Change(NamedTuple):
    gain: float
    first: int
    last: int
    target: Target


def repair(
    text: str, terms: Sequence[Term], own_words: Sequence[str] = (), weights: Weights = Weights()
) -> tuple[str, tuple[Repair, ...]]:
    """The text with trade terms put right, and what was changed, in order.

    Every change can be taken back with ``undo``; a text without a mis-heard term comes back unchanged.
    """
    context = shipped()
    lexis = lexicon(tuple(terms), tuple(own_words), context)
    tokens = [_Token(m.start(), m.end(), m[0].lower().replace("’", "'")) for m in _TOKEN.finditer(text)]
    changes = _Finder(text, tokens, lexis, context, weights).changes()
    return _applied(text, tokens, changes)


def topic(text: str, terms: Sequence[Term], own_words: Sequence[str] = ()) -> float:
    """How many clear words of the trade a text holds, each once; common words of it count less than 1."""
    context = shipped()
    lexis = lexicon(tuple(terms), tuple(own_words), context)
    return sum(_trade_weight(word, lexis, context) for word in set(split_words(text)))


def undo(text: str, repair: Repair) -> str:
    """The text with one repair taken back. Raises ValueError when the repair no longer stands at its
    place."""
    if text[repair.start : repair.end] != repair.meant:
        raise ValueError(f"{repair.meant!r} does not stand at {repair.start}")
    return text[: repair.start] + repair.heard + text[repair.end :]


class _Finder:
    """Looks for changes in one text, the best first, each seen in the light of those already made."""

    def __init__(
        self, text: str, tokens: list[_Token], lexis: Lexicon, context: Context, weights: Weights
    ) -> None:
        self.text, self.tokens, self.lexis, self.context, self.weights = text, tokens, lexis, context, weights
        self.words: list[tuple[str, ...]] = [(token.word,) for token in tokens]
        self.done: dict[int, _Change] = {}

    def changes(self) -> list[_Change]:
        """Non-overlapping changes in the order of the text."""
        options = list(self._options())
        while True:
            rated = [
                change
                for first, last, target, price in options
                if (change := self._rate(first, last, target, price))
            ]
            best = max(rated, default=None, key=lambda change: change.gain)
            if best is None or best.gain <= 0:
                return sorted(self.done.values(), key=lambda change: change.first)
            self.done[best.first] = best
            for i in range(best.first, best.last):
                self.words[i] = best.target.words if i == best.first else ()
            options = [o for o in options if o[1] <= best.first or o[0] >= best.last]

    def _options(self) -> Iterator[tuple[int, int, Target, float]]:
        """Each stretch, a target it may stand for, and the price of the difference."""
        windows = [
            (i, j)
            for i in range(len(self.tokens))
            for j in range(i + 1, min(i + _LONGEST_SURE, len(self.tokens)) + 1)
            if self._joined(i, j)
        ]
        barred: set[int] = set()
        for i, j in windows:
            sure = self.lexis.sure.get(self._heard(i, j))
            if sure is None:
                continue
            if self._heard(j, j + 1) in UNLESS_NEXT:
                barred.update(range(i, j))
            else:
                yield i, j, sure, self.weights.sure
        short = [(i, j) for i, j in windows if j - i <= _LONGEST and barred.isdisjoint(range(i, j))]
        near = self._near([self._sound(i, j) for i, j in short])
        for (i, j), targets in zip(short, near, strict=True):
            heard = self._heard(i, j)
            usual = self.lexis.misheard.get(heard, ())
            for target in dict.fromkeys((*usual, *targets)):
                if target.words == heard or self._only_drops(heard, target.words):
                    continue
                gap = self._gap(i, j, target)
                price = self.weights.sound * gap
                if target in usual:
                    price = min(price, self.weights.misheard)
                elif gap > self.weights.far * max(len(target.sound), 3):
                    continue
                yield i, j, target, price + self._fixed(heard, target)

    def _gap(self, i: int, j: int, target: Target) -> float:
        """Difference in sound; for a person's own word, whose sound is guessed, in letters where that is
        less."""
        gap = distance(self._sound(i, j), target.sound)
        if not target.own:
            return gap
        from rapidfuzz.distance import Levenshtein

        return min(gap, 0.3 * Levenshtein.distance("".join(self._heard(i, j)), "".join(target.words)))

    def _heard(self, i: int, j: int) -> tuple[str, ...]:
        return tuple(token.word for token in self.tokens[i:j])

    def _fixed(self, heard: tuple[str, ...], target: Target) -> float:
        w = self.weights
        price = w.doubt + w.regroup * (len(heard) != len(target.words))
        if all(word in self.lexis.single for word in heard):
            price += w.trade_heard
        elif all(self.context.ones.get(word, 0) >= 5 for word in heard):
            price += w.known_heard
        if all(word in self.context.rank for word in heard):
            price += w.real_word
        return price

    def _only_drops(self, heard: tuple[str, ...], meant: tuple[str, ...]) -> bool:
        """The change would swallow or add small words and leave the rest: nothing was mis-heard."""
        return set(meant) <= set(heard) or set(heard) <= set(meant)

    def _near(self, sounds: list[str]) -> list[list[Target]]:
        from rapidfuzz.distance import Levenshtein
        from rapidfuzz.process import cdist

        if not sounds:
            return []
        targets = self.lexis.targets
        table = cdist(
            sounds, [t.sound for t in targets], scorer=Levenshtein.normalized_distance, score_cutoff=0.5
        )
        return [[targets[k] for k in (row <= 0.5).nonzero()[0]] for row in table]

    def _joined(self, i: int, j: int) -> bool:
        """No sentence ends inside the stretch."""
        return all(
            re.fullmatch(r"[\s,\-–]*", self.text[a.end : b.start])
            for a, b in zip(self.tokens[i:j], self.tokens[i + 1 : j], strict=False)
        )

    def _sound(self, i: int, j: int) -> str:
        return "".join(self.context.sound_of(token.word) for token in self.tokens[i:j])

    def _rate(self, first: int, last: int, target: Target, price: float) -> _Change | None:
        near = 3 * _LONGEST  # changed stretches may be empty; the context looks at two words on each side
        before = [word for words in self.words[max(0, first - near) : first] for word in words]
        heard = [word for words in self.words[first:last] for word in words]
        after = [word for words in self.words[last : last + near] for word in words]
        old = self.context.score([*before, *heard, *after], len(before), len(before) + len(heard))
        new = self.context.score(
            [*before, *target.words, *after], len(before), len(before) + len(target.words)
        )
        if any(word not in self.context.ones for word in target.words):
            gain = self._unknown_gain(tuple(heard), target) - price
        else:
            gain = new - old - price
            if gain > 0:
                gain -= self._off_topic(first, last, target, tuple(heard))
        return _Change(gain, first, last, target)

    def _unknown_gain(self, heard: tuple[str, ...], target: Target) -> float:
        """For a person's own word, of which the context knows nothing: only nonsense is replaced, or what
        is listed."""
        listed = target in self.lexis.misheard.get(heard, ())
        return self.weights.own_word if listed or all(map(self._is_broken, heard)) else 0.0

    def _off_topic(self, first: int, last: int, target: Target, heard: tuple[str, ...]) -> float:
        """The price of putting a trade word where little else speaks of the trade."""
        if self.lexis.sure.get(heard) == target:
            return 0.0
        price = self.weights.off_topic
        if any(self._is_broken(word) for word in heard):
            price *= self.weights.broken_word
        return price * (1 - self._topic(first, last, target))

    def _is_broken(self, word: str) -> bool:
        """Not a word that anybody knows, so something else was said."""
        return len(word) >= 4 and word not in self.context.rank and word not in self.context.ones

    def _topic(self, first: int, last: int, target: Target) -> float:
        """How surely the text speaks of the trade, 0 to 1, by the words outside the change or kept in it."""
        kept = {word for words in self.words[first:last] for word in words} & set(target.words)
        rest = {word for words in (*self.words[:first], *self.words[last:]) for word in words}
        return min(1.0, sum(_trade_weight(word, self.lexis, self.context) for word in kept | rest) / 1.5)


def _trade_weight(word: str, lexis: Lexicon, context: Context) -> float:
    """0 for a word that is as frequent in ordinary English, 1 for one that is hardly met there."""
    trade = context.ones.get(word, 0) / 150_000
    if word not in lexis.single or trade == 0.0:
        return 0.0
    return max(0.0, min(1.0, (math.log(trade / context.ordinary(word)) - 2) / 2))


def _applied(text: str, tokens: list[_Token], changes: list[_Change]) -> tuple[str, tuple[Repair, ...]]:
    parts: list[str] = []
    made: list[Repair] = []
    at = length = 0
    for change in changes:
        start, end = tokens[change.first].start, tokens[change.last - 1].end
        heard, meant = text[start:end], change.target.shown
        if heard[0].isupper() and (start == 0 or text[:start].rstrip()[-1:] in ".!?"):
            meant = meant[0].upper() + meant[1:]
        parts += [text[at:start], meant]
        length += start - at
        made.append(Repair(length, length + len(meant), heard, meant))
        length += len(meant)
        at = end
    return "".join([*parts, text[at:]]), tuple(made)
