"""One box over the rule base: words and meaning, blended, with a guess at what kind of answer is wanted."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from knowledge.lookup.blend import NUMBERS, Weights, read_weights
from knowledge.lookup.intent import cues
from knowledge.lookup.meaning import Meaning
from knowledge.lookup.texts import SEARCHED, searchables
from knowledge.lookup.vectors import Embed
from knowledge.lookup.words import MEANING, Question, Thesaurus, WordIndex, english, surface_words
from knowledge.rulebase import RuleBase

FaultRanker = Callable[[str], Mapping[str, float]]
Numbers = NDArray[np.float32]
CANDIDATES = 40
MAX_QUERY = 600
NO_MATCH = 0.25
"""Likeness below which a query without a known word finds nothing (off-topic texts reach 0.19)."""


@dataclass(frozen=True, slots=True)
class Hit:
    """One found entry. score: in (0, 1], the best has 1. matched: the query's words that stand in it."""

    kind: str
    id: str
    title: str
    score: float
    matched: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Candidates:
    """Entries worth a closer look: their places, what is known of each, and the query's cues.

    there: for each of the query's words, whether it stands in each of the entries.
    """

    places: NDArray[np.intp]
    numbers: Numbers
    kinds: NDArray[np.intp]
    cues: Numbers
    there: NDArray[np.bool_]


class Lookup:
    """Search over one rule base.

    folder: keeps the word index and the vectors of own rules from one start to the next; None keeps none.
    embed: sentences to unit vectors; the general encoder when left out. Without one the words decide.
    fault_ranker: a text to the chance of each fault, a further voice on longer queries.
    """

    def __init__(
        self,
        rules: RuleBase,
        folder: Path | None = None,
        embed: Embed | None = None,
        fault_ranker: FaultRanker | None = None,
        weights: Weights | None = None,
    ) -> None:
        self.items = list(searchables(rules.entries))
        self.weights = weights or read_weights()
        self.fault_ranker = fault_ranker
        self._folder = folder
        self._meaning = Meaning(self.items, folder, embed)
        self._thesaurus = Thesaurus(rules.terms.values())
        self._kinds = np.array([SEARCHED.index(item.kind) for item in self.items], np.intp)
        self._places = {item.id: place for place, item in enumerate(self.items)}
        linked = [[self._places[id_] for id_ in item.faults if id_ in self._places] for item in self.items]
        self._has_kin = np.array([n for n, each in enumerate(linked) if each], np.intp)
        self._kin = np.array([place for each in linked for place in each], np.intp)
        self._kin_starts = np.cumsum([0, *(len(each) for each in linked if each)])[:-1].astype(np.intp)

    @cached_property
    def words(self) -> WordIndex:
        """The word index, opened or built when first asked for."""
        digest = hashlib.sha256()
        for item in self.items:
            digest.update(repr(item).encode("utf-8", "replace"))
        digest.update(repr(sorted(self._thesaurus.phrases)).encode("utf-8", "replace"))
        return WordIndex(self.items, self._thesaurus, self._folder, digest.hexdigest())

    @cached_property
    def _names(self) -> list[frozenset[str]]:
        return [frozenset(" ".join(surface_words(name)) for name in item.names) for item in self.items]

    @cached_property
    def _title_tokens(self) -> list[tuple[frozenset[str], frozenset[str]]]:
        """For each entry the index words of its title, and of all its names."""
        found = []
        for item in self.items:
            each = [self._thesaurus.tokens(surface_words(name)) for name in item.names]
            names = [frozenset(token for token, *_ in tokens) for tokens in each]
            found.append((names[0], names[0].union(*names)))
        return found

    def warm(self) -> None:
        """Load everything heavy; for a worker, before the first key is pressed."""
        self.search("cue ball")

    def search(self, query: str, limit: int = 10, kinds: Collection[str] | None = None) -> list[Hit]:
        """The entries that answer a query best, best first; empty when nothing does."""
        query = query[:MAX_QUERY]
        question = self.words.ask(query)
        allowed = (
            None
            if kinds is None
            else np.isin(self._kinds, [SEARCHED.index(k) for k in kinds if k in SEARCHED])
        )
        found = self.candidates(query, question, allowed)
        if found is None or limit < 1:
            return []
        score = self.weights.score(found.numbers, found.kinds, found.cues)
        chance = np.exp(score - score.max())
        order = np.argsort(-score, kind="stable")[:limit]
        hits = []
        for n in order:
            item = self.items[found.places[n]]
            matched = dict.fromkeys(question.asked[word].shown for word in np.flatnonzero(found.there[:, n]))
            hits.append(Hit(item.kind, item.id, item.title, round(float(chance[n]), 4), tuple(matched)))
        return hits

    def candidates(
        self, query: str, question: Question, allowed: NDArray[np.bool_] | None = None
    ) -> Candidates | None:
        """What words and meaning each bring up, with the numbers of ``blend.NUMBERS`` for each entry."""
        if not self.items or not surface_words(query):
            return None
        groups = np.zeros((len(question.asked), len(self.items)), np.float32)
        for row, word in enumerate(question.asked):
            groups[row] = self.words.scores(word) * word.weight
        words = groups.sum(axis=0)
        readable = words.max() > 0 or any(word in english() for word in question.mended.split())
        if not readable:
            return None
        like, title_like = self._meaning.likeness(question.topic)
        if words.max() <= 0 and like.max() < NO_MATCH:
            return None
        recognised = self._recognised(question)
        kin = self._kinship(like)
        places = self._shortlist((words, like, recognised, kin), allowed)
        if not len(places):
            return None
        told = self._told(question, places, groups)
        told |= {
            "words": words[places] / max(float(words.max()), 1e-9),
            "words_root": np.sqrt(words[places] / max(float(words.max()), 1e-9)),
            "like": like[places],
            "like_short": like[places] - like.max(),
            "title_like": title_like[places],
            "recognised": np.sqrt(recognised[places]),
            "kin": kin[places],
            "kin_recognised": np.sqrt(self._kinship(recognised)[places]),
            "like_in_kind": like[places] - self._best_of_kind(like)[places],
            "words_in_kind": words[places] / np.maximum(self._best_of_kind(words)[places], 1e-9),
        }
        numbers = np.stack([told[name] for name in NUMBERS], axis=1).astype(np.float32)
        shown = np.array((1.0, *cues(question.mended + "?" * ("?" in query), question.content)), np.float32)
        return Candidates(places, numbers, self._kinds[places], shown, groups[:, places] > 0)

    def _told(self, question: Question, places: NDArray[np.intp], groups: Numbers) -> dict[str, Any]:
        """How far the query's words cover each entry and its names, and the other way round."""
        names = ("covered", "rare_covered", "title_covered", "asks_title", "named")
        told = {name: np.zeros(len(places), np.float32) for name in names}
        if len(groups):
            there = groups[:, places] > 0
            rare = groups.max(axis=1)
            told["covered"] = there.mean(axis=0)
            told["rare_covered"] = rare @ there / max(float(rare.sum()), 1e-9)
        meant = [
            frozenset(token for token, weight in word.stems.items() if weight >= 0.5)
            for word in question.asked
            if word.words == 1 and word.shown not in MEANING
        ]
        asked = frozenset(
            token for word in question.asked for token, share in word.stems.items() if share >= 0.5
        )
        for row, place in enumerate(places):
            title, names_too = self._title_tokens[place]
            told["title_covered"][row] = len(title & asked) / max(len(title), 1)
            said = sum(not names_too.isdisjoint(each) for each in meant)
            told["asks_title"][row] = said / max(len(meant), 1)
            told["named"][row] = float(not self._names[place].isdisjoint((question.mended, question.bare)))
        return told

    def _best_of_kind(self, voice: Numbers) -> Numbers:
        best = np.full(len(SEARCHED), -1.0, np.float32)
        np.maximum.at(best, self._kinds, voice)
        return best[self._kinds]

    def _kinship(self, like: Numbers) -> Numbers:
        """Best cosine of a fault that each entry is linked with; 0 where it has none."""
        found = np.zeros(len(self.items), np.float32)
        if len(self._kin):
            found[self._has_kin] = np.maximum.reduceat(like[self._kin], self._kin_starts)
        return found

    def _recognised(self, question: Question) -> Numbers:
        chances = np.zeros(len(self.items), np.float32)
        if self.fault_ranker is not None and question.content >= 2:
            for fault, chance in self.fault_ranker(question.topic).items():
                if fault in self._places:
                    chances[self._places[fault]] = chance
        return chances

    @staticmethod
    def _shortlist(voices: tuple[Numbers, ...], allowed: NDArray[np.bool_] | None) -> NDArray[np.intp]:
        chosen: set[int] = set()
        for voice in voices:
            heard = voice if allowed is None else np.where(allowed, voice, 0.0)
            top = np.argpartition(-heard, min(CANDIDATES, len(heard) - 1))[:CANDIDATES]
            chosen.update(int(place) for place in top if heard[place] > 0)
        return np.array(sorted(chosen), np.intp)


def shipped_lookup(rules: RuleBase) -> Lookup:
    """Look-up with the cache folder and the fault recogniser, as the program uses it."""
    from knowledge.lookup.recognised import fault_chances
    from knowledge.rulecache import cache_folder

    return Lookup(rules, cache_folder(), fault_ranker=fault_chances)
