"""Advice that pulls two ways: find the dilemma in a note, lay out its trial in shuffled order, and let the
tries decide."""

from __future__ import annotations

import random
import re
from collections.abc import Sequence
from dataclasses import dataclass

from journal.errors import BadInput
from journal.trials import MOST_MORE, Tally, chances_best, more_tries, spread
from knowledge.entries import Dilemma
from knowledge.rulebase import RuleBase

ENOUGH_TRIES = 20
"""Tries of each setting below which nothing is decided. Common practice, no source."""
DECIDED = 0.95
MOST_SETTINGS = 3
_ADVICE = re.compile(
    r"\b(?:told|tells?|says?|said|advises?d?|advice|reckons?|wants? me|keeps? saying|should|"
    r"supposed to|coach|book|video)\b",
    re.I,
)
_CUT = re.compile(r"[.!?;\n]+|,|\b(?:but|while|whereas|yet|others?|another|and)\b", re.I)
_STOP = frozenset(
    [
        "the",
        "a",
        "an",
        "to",
        "of",
        "it",
        "is",
        "in",
        "on",
        "at",
        "for",
        "with",
        "your",
        "you",
        "my",
        "me",
        "and",
        "or",
        "as",
        "by",
        "be",
        "that",
        "this",
        "from",
        "one",
        "so",
        "not",
        "do",
        "does",
        "what",
        "than",
        "keep",
        "ball",
        "cue",
        "shot",
        "more",
        "less",
        "much",
        "can",
        "will",
        "who",
        "they",
        "them",
        "his",
        "her",
        "he",
        "she",
        "i",
    ]
)


@dataclass(frozen=True, slots=True)
class FoundDilemma:
    """A dilemma that a note opens. one, other: the clauses that lean to its two sides."""

    dilemma: Dilemma
    one: str
    other: str


@dataclass(frozen=True, slots=True)
class TrialVerdict:
    """What a trial says. winner: None when no difference was found. chances: of each setting to be the best.

    spreads: 90 % of each rate. words: one sentence. more: further tries of each that would decide if all went on
    as now; None when decided, or when over 2,000 would not do.
    """

    tallies: tuple[Tally, ...]
    chances: tuple[float, ...]
    spreads: tuple[tuple[float, float], ...]
    winner: str | None
    words: str
    more: int | None = None


def find_dilemmas(rules: RuleBase, text: str) -> list[FoundDilemma]:
    """Dilemmas whose two sides are both advised in a text, the clearest first.

    A side is advised when a clause of the text shares at least two words (stems) with it, and more with it
    than with the other side. At least one clause has to be about advice ("told to", "coach says").
    """
    if not _ADVICE.search(text):
        return []
    clauses = [part.strip() for part in _CUT.split(text) if part and len(part.split()) > 2]
    stems = [_stems(clause) for clause in clauses]
    found = []
    for dilemma in rules.dilemmas.values():
        one, other = _stems(dilemma.one), _stems(dilemma.other)
        topic = _stems(dilemma.name) | (one & other)
        if not topic & _stems(text):
            continue
        first, first_score = _best(clauses, stems, one - other, other - one)
        second, second_score = _best(clauses, stems, other - one, one - other)
        if first is not None and second is not None and first != second:
            shared = len((topic | one | other) & _stems(text))
            found.append((first_score + second_score + shared, FoundDilemma(dilemma, first, second)))
    found.sort(key=lambda pair: (-pair[0], pair[1].dilemma.id))
    return [each for _, each in found]


def _best(
    clauses: Sequence[str], stems: Sequence[set[str]], side: set[str], other: set[str]
) -> tuple[str | None, int]:
    scored = [
        (len(words & side) - len(words & other), clause) for clause, words in zip(clauses, stems, strict=True)
    ]
    score, clause = max(scored, default=(0, ""))
    return (clause, score) if score >= 1 else (None, 0)


def _stems(text: str) -> set[str]:
    words = re.findall(r"[a-z]+", text.lower())
    return {_stem(word) for word in words if word not in _STOP and len(word) > 2}


_SAME = {
    **dict.fromkeys(("near", "close", "clos"), "near"),
    **dict.fromkeys(("far", "farther", "further", "away"), "far"),
    **dict.fromkeys(("light", "loos"), "light"),
    **dict.fromkeys(("firm", "tight"), "firm"),
    **{word: word for word in ("long", "short")},
}
"""Stems that mean the same side of an advice."""


def _stem(word: str) -> str:
    if word in _SAME:
        return _SAME[word]
    for ending in ("ingly", "ing", "edly", "ed", "er", "est", "ly", "es", "s", "e"):
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            word = word[: -len(ending)]
            break
    return _SAME.get(word, word)


def shuffled_order(settings: Sequence[str], tries: int, seed: int) -> list[str]:
    """An order of tries in small blocks, each block holding every setting twice, so that tiredness hits
    all alike.

    tries: of each setting. Raises: BadInput for fewer than two or more than three settings.
    """
    if not 2 <= len(set(settings)) == len(settings) <= MOST_SETTINGS:
        raise BadInput(
            "a trial needs two or three different settings", "Name them, such as near, middle, far."
        )
    if not 1 <= tries <= 200:
        raise BadInput(f"{tries} tries of each cannot be", f"Use {ENOUGH_TRIES} or more, up to 200.")
    chance, order = random.Random(seed), []
    left = tries
    while left:
        block = list(settings) * min(2, left)
        left -= min(2, left)
        chance.shuffle(block)
        order += block
    return order


def judge_trial(tallies: Sequence[Tally]) -> TrialVerdict:
    """Decide between settings, or say that no difference was found. Raises: BadInput.

    A setting wins when its rate is the highest with a chance of 0.95 (independent Beta posteriors from
    uniform priors) and each setting has at least 20 tries.
    """
    if not 2 <= len({tally.setting for tally in tallies}) == len(tallies) <= MOST_SETTINGS:
        raise BadInput("a trial needs two or three different settings", "Give each as NAME=HITS/TRIES.")
    chances = chances_best(tallies)
    spreads = tuple(spread(tally) for tally in tallies)
    best = max(range(len(tallies)), key=lambda n: chances[n])
    fewest = min(tally.tries for tally in tallies)
    told = "; ".join(
        f"{t.setting} {t.hits} of {t.tries} ({a:.0%} to {b:.0%})"
        for t, (a, b) in zip(tallies, spreads, strict=True)
    )
    if fewest < ENOUGH_TRIES or chances[best] < DECIDED:
        more = more_tries(tallies, DECIDED, ENOUGH_TRIES)
        few = f"too few tries to decide ({fewest}; {ENOUGH_TRIES} of each are needed)"
        found = few if fewest < ENOUGH_TRIES else "no difference found"
        words = f"{found}: {told}. {still_open(more)}"
        return TrialVerdict(tuple(tallies), tuple(chances), spreads, None, words, more)
    words = f"{tallies[best].setting} is best (chance {chances[best]:.0%}): {told}"
    return TrialVerdict(tuple(tallies), tuple(chances), spreads, tallies[best].setting, words)


def still_open(more: int | None) -> str:
    """What an undecided trial says of going on."""
    if more is None:
        close = f"over {MOST_MORE:,} more tries of each would not settle it"
        return f"Cannot tell: so close that {close}. Keep the one that is easiest"
    tries = "try" if more == 1 else "tries"
    return f"Cannot tell yet: about {more} more {tries} of each would, or keep the one that is easiest"
