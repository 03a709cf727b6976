"""How long look-up takes a key press, against SQLite FTS5: python -m tests.bench.lookup_speed.

Queries are typed letter by letter, as on the screen, over the same texts. The large base holds 20,000 entries
mixed from the sentences of the shipped ones, with random vectors: only the time counts.
Here words, meaning and cues rank the entries, there BM25 over stems alone.
"""

from __future__ import annotations

import random
import sqlite3
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from numpy.typing import NDArray

from knowledge.entries import Term
from knowledge.lookup.recognised import Remembering, fault_chances
from knowledge.lookup.search import Lookup
from knowledge.lookup.texts import searchables
from knowledge.rulebase import RuleBase, load_rules
from tests.quality.lookup import read_queries


def key_presses(count: int, seed: int = 5) -> list[str]:
    """Beginnings of development queries, as they stand in the box after each key."""
    chosen = random.Random(seed).sample(read_queries(), k=40)
    typed = [query.query[:end] for query in chosen for end in range(2, len(query.query) + 1)]
    return typed[:: max(1, len(typed) // count)][:count]


def synthetic(rules: RuleBase, size: int, seed: int = 7) -> RuleBase:
    """A rule base of this size: the shipped entries, and terms mixed from their sentences."""
    source = random.Random(seed)
    sentences = [text for item in searchables(rules.entries) for text in item.sentences]
    entries = dict(rules.entries)
    while len(entries) < size:
        number = len(entries)
        title, *rest = source.sample(sentences, k=3)
        meaning = ". ".join(rest)[:3900]
        entries[f"term.mixed_{number}"] = Term.model_construct(
            id=f"term.mixed_{number}",
            term=title,
            meaning=meaning,
            also=tuple(source.sample(sentences, k=1)),
            misheard=(),
        )
    return RuleBase(entries)


def fts5(lookup: Lookup) -> Callable[[str], list[str]]:
    """The yardstick: every entry's texts in SQLite FTS5 with the porter stemmer, best ten by bm25."""
    base = sqlite3.connect(":memory:")
    base.execute("create virtual table f using fts5(id unindexed, title, body, tokenize='porter unicode61')")
    rows = ((item.id, item.title, " ".join(text for text, _ in item.words)) for item in lookup.items)
    base.executemany("insert into f values (?, ?, ?)", rows)

    def search(query: str) -> list[str]:
        words = [word.replace('"', "") for word in query.split()]
        asked = " OR ".join(f'"{word}"' for word in words[:-1] if word)
        half = f'"{words[-1]}"*' if words and words[-1] else ""
        asked = " OR ".join(part for part in (asked, half) if part)
        found = base.execute("select id from f where f match ? order by bm25(f, 0, 3, 1) limit 10", (asked,))
        return [row[0] for row in found]

    return search


def embed_or_invent(texts: Sequence[str]) -> NDArray[np.float32]:
    """The real vector of a query; random ones for the thousands of mixed texts."""
    if len(texts) == 1:
        return Remembering.embed(texts)
    vectors = np.random.default_rng(11).normal(size=(len(texts), 384)).astype(np.float32)
    return np.asarray(vectors / np.linalg.norm(vectors, axis=1, keepdims=True), np.float32)


def milliseconds(
    search: Callable[[str], object], queries: list[str]
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """How long each query took."""
    taken = []
    for query in queries:
        began = time.perf_counter()
        search(query)
        taken.append((time.perf_counter() - began) * 1e3)
    return np.array(taken)


def report(rules: RuleBase, name: str, presses: list[str], folder: Path) -> Iterator[str]:
    """Lines of one rule base: build, first query, each key, and the ratios."""
    began = time.perf_counter()
    lookup = Lookup(rules, folder, embed=embed_or_invent, fault_ranker=fault_chances)
    lookup.words  # noqa: B018 - building is what is timed
    built = time.perf_counter() - began
    began = time.perf_counter()
    lookup.warm()
    warm = time.perf_counter() - began
    lookup.search("something to load the recogniser with")
    ours, theirs = milliseconds(lookup.search, presses), milliseconds(fts5(lookup), presses)
    yield f"{name}: {len(lookup.items):,} entries; index {built:.2f} s, first query {warm:.2f} s"
    for who, taken in (("look-up", ours), ("FTS5", theirs)):
        yield f"  {who}: median {np.median(taken):.2f} ms, p95 {np.percentile(taken, 95):.2f} ms a key press"
    medians = np.median(ours) / np.median(theirs)
    tails = np.percentile(ours, 95) / np.percentile(theirs, 95)
    yield f"  ratio to FTS5: median {medians:.1f}, p95 {tails:.1f}"


def main() -> None:
    """Print both rule bases."""
    rules = load_rules()
    presses = key_presses(400)
    with TemporaryDirectory() as folder:
        for name, base in (("shipped", rules), ("synthetic", synthetic(rules, 20_000))):
            for line in report(base, name, presses, Path(folder)):
                print(line, flush=True)


if __name__ == "__main__":
    main()
