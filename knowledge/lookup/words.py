"""The word side of look-up: stems, trade synonyms, typing errors, a half-typed last word, BM25F by Whoosh."""

from __future__ import annotations

import re
import unicodedata
from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from knowledge.entries import Term
from knowledge.lookup.texts import Searchable
from knowledge.lookup.wordfile import open_index
from knowledge.reading.encoder import VOCAB

_WORD = re.compile(r"[a-z0-9]+(?:'[a-z]+)?")
_STOP = (
    "a an the and or but if of to in on at by for with from as is are was were be been am it its it's this "
    "that these those there i i'm i've i'd me my mine you your he his she her they their we our us him them "
    "what when where why how which who do does did done has have had can could should would will shall may might "
    "must not no so then than too very just s t don't doesn't can't won't isn't "
    "what's where's who's how's that's there's he's she's they're we're you're i'll it'll"
)
STOP = frozenset(_STOP.split())
MAX_WORDS = 40
MAX_POSTINGS = 5_000
_MEANING = "mean means meaning meant define defined definition explain difference between they term called"
_WANTING = (
    "drill drills exercise exercises practice practise practising practicing training routine something "
    "check test testing rule rules"
)
MEANING = frozenset(_MEANING.split())
WANTING = frozenset(_WANTING.split())
ASKING = MEANING | WANTING
"""Words that say what kind of answer is wanted; as search words they count a quarter beside others."""
ASIDE = 0.6
"""Weight of words after when, while or if: the circumstance of a complaint, not the complaint."""
SYNONYM, TYPO, PREFIX, MISHEARD = 0.5, 0.8, 0.7, 0.5
"""How much an indirect match counts beside the word itself."""


@cache
def english() -> frozenset[str]:
    """Common English words, from the sentence encoder's vocabulary: what stands there is no typing error."""
    return frozenset(VOCAB.read_text(encoding="utf-8").split())


@lru_cache(maxsize=50_000)
def stem(word: str) -> str:
    """The word's stem (Porter 2), its possessive dropped."""
    from whoosh.lang.porter2 import stem as porter

    return str(porter(word.removesuffix("'s").replace("'", "")))


def plain(text: str) -> str:
    """Lower case, accents off, typographic quotes and hyphens made plain."""
    text = unicodedata.normalize("NFKD", text.lower()).replace("’", "'")
    return "".join(char for char in text if not unicodedata.combining(char))


def surface_words(text: str) -> list[str]:
    """The text's words in order, lower case; "in-off" gives two."""
    return _WORD.findall(plain(text))


@dataclass(frozen=True, slots=True)
class Asked:
    """One word or phrase of a query, and the index words it may stand for.

    shown: as typed. stems: index word to how well it stands for this one, in (0, 1]. weight: how much it
    counts. words: how many it is made of.
    """

    shown: str
    stems: Mapping[str, float]
    weight: float
    words: int


@dataclass(frozen=True, slots=True)
class Question:
    """A query as the index understands it.

    mended: its text with typing errors put right. content: how many words carry meaning. topic: the mended
    text without the words that only say what kind of answer is wanted. bare: its content words.
    """

    asked: tuple[Asked, ...]
    mended: str
    content: int
    topic: str
    bare: str


class Thesaurus:
    """The trade's phrases, synonyms and mis-hearings, out of the vocabulary."""

    def __init__(self, terms: Iterable[Term]) -> None:
        self.phrases: dict[tuple[str, ...], str] = {}
        self.synonyms: dict[str, dict[str, float]] = {}
        self.misheard: dict[tuple[str, ...], str] = {}
        for term in terms:
            group = [self._token(name) for name in (term.term, *term.also)]
            group = [token for token in dict.fromkeys(group) if token]
            for token in group:
                others = self.synonyms.setdefault(token, {})
                others.update({other: SYNONYM for other in group if other != token})
            for wrong in term.misheard:
                self.misheard.setdefault(tuple(surface_words(wrong)), group[0] if group else "")

    def _token(self, name: str) -> str:
        words = tuple(surface_words(name))
        if len(words) < 2:
            return stem(words[0]) if words else ""
        stems = tuple(map(stem, words))
        if len(words) > 3:
            return ""
        return self.phrases.setdefault(stems, "~".join(stems))

    def tokens(self, words: Sequence[str]) -> list[tuple[str, int, int]]:
        """(token, start, end) of the content words' stems and of the trade's phrases in a list of words."""
        stems = [stem(word) for word in words]
        found = [(stems[n], n, n + 1) for n in range(len(words)) if words[n] not in STOP]
        for size in (2, 3):
            for start in range(len(words) - size + 1):
                phrase = self.phrases.get(tuple(stems[start : start + size]))
                if phrase:
                    found.append((phrase, start, start + size))
        return found


class WordIndex:
    """BM25F over the entries, and the guesses that turn a query into index words.

    folder: where the index is kept for the next start; None keeps it in memory. key: names the content.
    """

    def __init__(
        self, items: Sequence[Searchable], thesaurus: Thesaurus, folder: Path | None = None, key: str = ""
    ) -> None:
        self.thesaurus = thesaurus
        self.size = len(items)
        self._searcher, self.counts = open_index(items, thesaurus, folder, key)
        self._known = sorted(self.counts)
        self._stems = {stem(word) for word in self._known}
        self._postings: dict[str, tuple[NDArray[np.intp], NDArray[np.float32]]] = {}

    def ask(self, query: str) -> Question:
        """The query's words and phrases with everything each may stand for."""
        words = surface_words(query)[:MAX_WORDS]
        half = bool(words) and not query[-1:].isspace()
        read = [self._guess(word, half and n == len(words) - 1) for n, word in enumerate(words)]
        mended = [best for best, _ in read]
        tokens = self.thesaurus.tokens(mended)
        content = sum(end - start == 1 for _, start, end in tokens)
        has_more = any(words[start] not in ASKING for _, start, end in tokens if end - start == 1)
        aside = next((n for n, word in enumerate(words) if n and word in ("when", "while", "if")), len(words))
        asked = []
        for token, start, end in tokens:
            stems = {token: 1.0} if end - start > 1 else dict(read[start][1]) or {token: 1.0}
            for base, weight in tuple(stems.items()):
                for other, share in self.thesaurus.synonyms.get(base, {}).items():
                    stems[other] = max(stems.get(other, 0.0), weight * share)
            weight = ASIDE if start > aside else 1.0
            if has_more and words[start] in ASKING:
                weight *= 0.25
            asked.append(Asked(" ".join(words[start:end]), stems, weight, end - start))
        topic = [word for word in mended if word not in ASKING] if has_more else mended
        bare = " ".join(word for word in mended if word not in STOP and word not in MEANING)
        return Question(tuple(asked), " ".join(mended), content, " ".join(topic), bare)

    def _guess(self, word: str, half_typed: bool) -> tuple[str, dict[str, float]]:
        """The likeliest known word, and the stems it may stand for."""
        if word in STOP:
            return word, {}
        exact = stem(word)
        known = exact in self._stems
        found = {exact: 1.0} if known else {}
        best = word
        if half_typed and len(word) >= 2:
            longer = self._starting_with(word)
            for other in longer:
                found.setdefault(stem(other), PREFIX)
            if longer and not known and word not in english():
                best = longer[0]
        if not found:
            english_word = word in english()
            close = self._close(word)
            for other, weight in close:
                found.setdefault(stem(other), weight * (0.5 if english_word else 1.0))
            if close and not english_word:
                best = close[0][0]
        return best, found

    def _starting_with(self, word: str) -> list[str]:
        start = bisect_left(self._known, word)
        end = bisect_left(self._known, word + "\uffff")
        found = [other for other in self._known[start:end] if other != word]
        return sorted(found, key=lambda other: (-self.counts[other], other))[:8]

    def _close(self, word: str) -> list[tuple[str, float]]:
        from rapidfuzz import process
        from rapidfuzz.distance import OSA

        heard = self.thesaurus.misheard.get((word,))
        if heard and "~" not in heard:
            return [(heard, MISHEARD)]
        if len(word) < 4 or word.isdigit():
            return []
        away = 1 if len(word) < 6 else 2
        hits = process.extract(word, self._known, scorer=OSA.distance, score_cutoff=away, limit=8)
        rank = sorted(hits, key=lambda hit: (hit[1], hit[0][0] != word[0], -self.counts[hit[0]], hit[0]))
        return [(other, TYPO**distance) for other, distance, _ in rank[:4]]

    def scores(self, asked: Asked) -> NDArray[np.float32]:
        """BM25F of every entry for one word or phrase: the best of what it may stand for."""
        best = np.zeros(self.size, np.float32)
        for token, weight in asked.stems.items():
            where, score = self._posting(token)
            best[where] = np.maximum(best[where], score * weight)
        return best

    def _posting(self, token: str) -> tuple[NDArray[np.intp], NDArray[np.float32]]:
        """The entries that hold a token and their BM25F; kept, as the next key asks for much the same."""
        from whoosh.query import Term as Holds

        held = self._postings.get(token)
        if held is None:
            matcher = Holds("words", token).matcher(self._searcher)
            where, score = [], []
            while matcher.is_active():
                where.append(matcher.id())
                score.append(matcher.score())
                matcher.next()
            held = np.array(where, np.intp), np.array(score, np.float32)
            if len(self._postings) >= MAX_POSTINGS:
                self._postings.clear()
            self._postings[token] = held
        return held
