"""The words that a repair may put in: the trade's terms, their usual forms, and the player's own words."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from journal.voice.context import Context, split_words
from knowledge.entries import Term

# fmt: off
_FILLERS = frozenset({
    "a", "an", "and", "any", "as", "at", "be", "by", "for", "from", "go", "in", "is", "it", "name",
    "no", "not", "of", "off", "on", "or", "own", "the", "to", "up", "well", "with"
})
# fmt: on
# fmt: off
_PLAIN = frozenset({
    "back", "ball", "call", "choice", "eye", "find", "hand", "high", "last", "left", "line", "meet",
    "name", "near", "part", "push", "quiet", "set", "shot", "turn"
})
# fmt: on
"""Words of terms that are everyday words too: they are put in only as part of their whole term."""

_SURE = {
    "baulk line": ["bulk line", "balk line", "bork line", "baulk lion"],
    "baulk cushion": ["bulk cushion", "balk cushion", "bork cushion", "bulk caution"],
    "baulk colours": ["bulk colours", "bulk colors", "balk colors", "book colours"],
    "baulk end": ["bulk end", "balk end", "bork end"],
    "butt of the cue": [
        "but of the queue",
        "but of the cue",
        "butt of the queue",
        "bud of the cue",
        "butt of the q",
    ],
    "butt of my cue": ["but of my queue", "but of my cue", "butt of my queue"],
    "butt end of the cue": ["but end of the queue", "but end of the cue", "butt end of the queue"],
    "cue ball": ["queue ball", "q ball", "cubal", "cue bowl", "kew ball", "queue bowl"],
    "cue action": ["queue action", "q action", "cure action"],
    "cue arm": ["queue arm", "q arm"],
    "cue tip": ["queue tip", "q tip of"],
    "cue extension": ["queue extension"],
    "cueing arm": ["queueing arm", "queuing arm"],
    "cueing action": ["queueing action", "queuing action"],
    "straight cueing": ["straight queueing", "straight queuing"],
    "miscue": ["miss cue", "miss queue", "miss q", "misskew", "miskew"],
    "miscued": ["miss cued", "miss queued", "misqueued"],
    "miscues": ["miss cues", "miss queues"],
    "check side": ["czech side", "cheque side"],
    "feathering": ["fevering"],
    "object ball": ["object bowl", "abject ball"],
    "half ball": ["half bowl"],
    "full ball": ["full bowl"],
    "follow-through": ["follow threw"],
    "dominant eye": ["dominate eye", "dormant eye"],
    "drop the elbow": ["drop the l bow"],
    "elbow": ["l bow"],
    "centre pocket": ["center pocket"],
    "pre-shot routine": ["pre short routine"],
    "deep screw": ["deep crew"],
    "re-spotted black": ["respected black"],
}
"""Mis-hearings that are hardly ever something else, to the words meant: they need no other word of the
trade beside them. Own collection (common practice, no source)."""

UNLESS_NEXT = frozenset({("item",), ("items",), ("entry",), ("entries",), ("order",), ("orders",)})
"""Words that make even a sure one doubtful ("bulk line items")."""


@dataclass(frozen=True, slots=True)
class Target:
    """Something that may have been meant. ``own``: the player's word, not the trade's."""

    words: tuple[str, ...]
    shown: str
    sound: str
    own: bool = False


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Targets, the usual mis-hearings that lead to them, and the sure ones (heard words to targets)."""

    targets: tuple[Target, ...]
    misheard: dict[tuple[str, ...], tuple[Target, ...]]
    sure: dict[tuple[str, ...], Target]
    single: frozenset[str]


def spoken_forms(phrase: str) -> Iterable[str]:
    """The ways a head word is said: "full butt / half butt" is two, "feather (verb)" is one."""
    for form in phrase.split("/"):
        plain = re.sub(r"\(.*?\)", "", form).strip()
        if plain and not plain.isdigit():
            yield plain


def forms_of(word: str) -> Iterable[str]:
    """Regular forms of a word. Ones that nobody says are left out later, by the context's counts."""
    yield word
    yield word + ("es" if word.endswith(("s", "sh", "ch", "x")) else "s")
    stem = word[:-1] if word.endswith("e") else word
    yield stem + "ed"
    yield stem + "ing"
    if word.endswith("e"):
        yield word + "ing"
    if re.fullmatch(r".*[^aeiou][aeiou][bdgklmnprt]", word):
        yield word + word[-1] + "ed"
        yield word + word[-1] + "ing"


class _Collector:
    """Gathers targets, each word sequence once."""

    def __init__(self, context: Context) -> None:
        self.context = context
        self.found: dict[tuple[str, ...], Target] = {}
        self.misheard: dict[tuple[str, ...], dict[Target, None]] = {}

    def put(self, shown: str, own: bool = False) -> Target | None:
        """Add what may be meant; None for a phrase without a word."""
        words = tuple(split_words(shown))
        if not words:
            return None
        sound = "".join(self.context.sound_of(word) for word in words)
        return self.found.setdefault(words, Target(words, shown, sound, own))

    def put_term(self, term: Term) -> None:
        """Add a term, its synonyms, and the mis-hearings that lead to the term itself."""
        for phrase in (term.term, *term.also):
            for form in spoken_forms(phrase):
                if len(split_words(form)) == 1 and form.lower() in _PLAIN | _FILLERS:
                    continue
                target = self.put(form)
                if target is not None and phrase == term.term:
                    for heard in term.misheard:
                        self.misheard.setdefault(tuple(split_words(heard)), {})[target] = None

    def put_forms(self) -> None:
        """Add the words that terms are made of, with their usual forms, and terms in the plural."""
        for word in sorted({word for words in self.found for word in words} - _FILLERS - _PLAIN):
            for form in forms_of(word):
                if form == word or self.context.ones.get(form, 0) > 0:
                    self.put(form)
        for words in [words for words in self.found if len(words) > 1]:
            if self.context.ones.get(words[-1] + "s", 0) > 0:
                self.put(self.found[words].shown + "s")


@lru_cache(maxsize=8)
def lexicon(terms: tuple[Term, ...], own_words: tuple[str, ...], context: Context) -> Lexicon:
    """Everything that may be put in, for these terms and own words."""
    collector = _Collector(context)
    for term in terms:
        collector.put_term(term)
    collector.put_forms()
    sure: dict[tuple[str, ...], Target] = {}
    for meant, misses in _SURE.items() if terms else ():
        target = collector.put(meant)
        if target is not None:
            sure.update((tuple(split_words(heard)), target) for heard in misses)
    for word in own_words:
        collector.put(word, own=True)
    usual = {heard: tuple(targets) for heard, targets in collector.misheard.items()}
    single = frozenset(words[0] for words in collector.found if len(words) == 1)
    return Lexicon(tuple(collector.found.values()), usual, sure, single)
