"""The parts of look-up: index words, kept index, vectors, ways of asking."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest

from knowledge.lookup.blend import NUMBERS, read_weights, rows_of
from knowledge.lookup.intent import CUES, cues
from knowledge.lookup.search import Lookup
from knowledge.lookup.texts import asked, searchables
from knowledge.lookup.vectors import SHIPPED, VectorStore, text_key, vectors_of
from knowledge.lookup.words import WordIndex, stem, surface_words
from knowledge.reading.encoder import base_encoder
from knowledge.rulebase import RuleBase


@pytest.mark.parametrize(
    ("word", "root"),
    [
        ("caresses", "caress"),
        ("ponies", "poni"),
        ("knitting", "knit"),
        ("relational", "relat"),
        ("consistency", "consist"),
    ],
)
def test_stems_follow_the_published_stemmer(word: str, root: str) -> None:
    """Sample words and stems of the English (Porter 2) stemmer's published vocabulary, from memory."""
    assert stem(word) == root


def test_words_are_read_plainly() -> None:
    assert surface_words("In-Off, the coach’s massé: 147!") == ["in", "off", "the", "coach's", "masse", "147"]


@pytest.mark.parametrize(
    ("query", "mended"),
    [
        ("bottel neck", "bottle neck"),
        ("feahtering", "feathering"),
        ("elbow drps", "elbow drop"),
        ("nervous again", "nervous again"),
    ],
)
def test_typing_errors_are_mended_and_english_words_left_alone(
    lookup: Lookup, query: str, mended: str
) -> None:
    assert lookup.words.ask(query + " ").mended in (mended, mended + "s")


def test_trade_phrases_count_as_one_word(lookup: Lookup) -> None:
    shown = [word.shown for word in lookup.words.ask("going in off again ").asked]
    assert "in off" in shown


def test_the_circumstance_counts_less_than_the_complaint(lookup: Lookup) -> None:
    weights = {word.shown: word.weight for word in lookup.words.ask("tip slips when I screw ").asked}
    assert weights["screw"] < weights["slips"]


def test_word_scores_are_those_of_the_whoosh_index(lookup: Lookup) -> None:
    """Against the reference library's own ranking of one word."""
    from whoosh.query import Term

    word = lookup.words.ask("ferrule ").asked[0]
    ours = lookup.words.scores(word)
    theirs = lookup.words._searcher.search(Term("words", stem("ferrule")), limit=5)
    assert [hit.docnum for hit in theirs] == np.argsort(-ours, kind="stable")[:5].tolist()
    assert ours[theirs[0].docnum] == pytest.approx(theirs[0].score, rel=1e-5)


def test_a_kept_index_answers_like_a_fresh_one(rules: RuleBase, cache: Path) -> None:
    fresh = Lookup(rules, cache).words
    again = Lookup(rules, cache).words
    in_memory = Lookup(rules).words
    word = fresh.ask("cushion ").asked[0]
    assert np.array_equal(fresh.scores(word), again.scores(word))
    assert np.allclose(fresh.scores(word), in_memory.scores(word))
    assert len(list(cache.glob("words-*"))) == 1


@pytest.mark.parametrize("damage", ["empty", "cut", "gone", "foreign"])
def test_a_damaged_index_is_built_anew(rules: RuleBase, cache: Path, damage: str) -> None:
    Lookup(rules, cache).words  # noqa: B018 - building is the point
    (place,) = cache.glob("words-*")
    for path in place.iterdir():
        if damage == "empty":
            path.write_bytes(b"")
        elif damage == "cut":
            path.write_bytes(path.read_bytes()[:40])
        elif damage == "foreign":
            path.write_bytes(b"[" * 5000)
    if damage == "gone":
        shutil.rmtree(place)
        place.mkdir()
    words = Lookup(rules, cache).words
    assert words.scores(words.ask("cushion ").asked[0]).max() > 0


def test_a_cache_folder_that_cannot_be_made_leaves_the_index_in_memory(
    rules: RuleBase, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("in the way")
    lookup = Lookup(rules, tmp_path / "file" / "cache")
    assert lookup.search("miscue on the rail", limit=1)[0].id == "contact.cushion_miscue"


def test_the_shipped_vectors_are_fresh(rules: RuleBase) -> None:
    """When this fails after a change of rules: python -m knowledge.lookup.vectors."""
    store = VectorStore()
    assert store.read(SHIPPED)
    texts = [text for item in searchables(rules.entries) for text in item.sentences]
    assert store.missing(texts) == []
    some = texts[:: len(texts) // 25]
    again = base_encoder().embed(some)
    assert float((store.matrix(some) * again).sum(axis=1).min()) > 0.97


def test_the_shipped_vectors_are_small_and_hold_nothing_else(rules: RuleBase) -> None:
    store = VectorStore()
    store.read(SHIPPED)
    texts = {text_key(text) for item in searchables(rules.entries) for text in item.sentences}
    assert set(store.rows) == texts
    assert SHIPPED.stat().st_size < 2_000_000


def test_vectors_of_another_encoder_or_a_damaged_file_are_passed_over(tmp_path: Path) -> None:
    assert not VectorStore(model="another").read(SHIPPED)
    path = tmp_path / "vectors.npz"
    for raw in (b"", b"PK\x03\x04 no archive", SHIPPED.read_bytes()[:5000]):
        path.write_bytes(raw)
        assert not VectorStore().read(path)
    assert not VectorStore().read(tmp_path / "nowhere.npz")


def test_only_missing_vectors_are_computed_and_then_kept(cache: Path) -> None:
    calls: list[list[str]] = []

    def embed(texts: object) -> object:
        calls.append(list(texts))  # type: ignore[call-overload]
        return np.eye(384, dtype=np.float32)[: len(calls[-1])]

    shipped = next(iter(asked().values()))[0]
    for _ in range(2):
        found = vectors_of([shipped, "a sentence of my own"], cache, embed)  # type: ignore[arg-type]
        assert found.shape == (2, 384)
        assert found[1, 0] == pytest.approx(1.0)
    assert calls == [["a sentence of my own"]]


def test_rounding_to_bytes_keeps_the_direction() -> None:
    vectors = np.random.default_rng(1).normal(size=(50, 384)).astype(np.float32)
    vectors /= np.linalg.norm(vectors, axis=1, keepdims=True)
    store = VectorStore()
    texts = [str(n) for n in range(50)]
    store.add(texts, vectors)
    assert float((store.matrix(texts) * vectors).sum(axis=1).min()) > 0.9998


def test_ways_of_asking_belong_to_entries_and_to_one_only(rules: RuleBase) -> None:
    ways = asked()
    assert set(ways) <= set(rules.entries)
    lines = [line.lower() for each in ways.values() for line in each]
    assert len(lines) == len(set(lines))
    for kind in ("dilemmas", "rulings", "drills", "checks"):
        assert set(getattr(rules, kind)) <= set(ways), kind


def test_a_way_of_asking_before_any_id_is_an_error(tmp_path: Path) -> None:
    path = tmp_path / "asked.txt"
    path.write_text("# a remark\nwithout an id\n")
    with pytest.raises(ValueError, match="without an id"):
        asked(path)


def test_cues_are_read_off_the_wording() -> None:
    def shown(text: str, words: int = 3) -> set[str]:
        return {name for name, value in zip(CUES, cues(text, words), strict=True) if value}

    assert {"meaning"} <= shown("what is a plant", 1)
    assert {"either"} <= shown("loose or firm grip")
    assert {"drill"} <= shown("drill for long pots")
    assert {"rule"} <= shown("is it a foul")
    assert {"check"} <= shown("how can i test my eyes")
    assert not {"drill", "check", "rule", "either", "means"} & shown("cue wobbles sideways")


def test_weights_score_as_the_rows_they_were_fitted_on(lookup: Lookup) -> None:
    weights = read_weights()
    query = "bridge hand closer or further away"
    found = lookup.candidates(query, lookup.words.ask(query))
    assert found is not None
    assert found.numbers.shape == (len(found.places), len(NUMBERS))
    by_rows = rows_of(found.numbers, found.kinds, found.cues) @ weights.values
    assert np.allclose(weights.score(found.numbers, found.kinds, found.cues), by_rows, atol=1e-4)


def test_an_index_over_nothing_answers_with_nothing() -> None:
    assert Lookup(RuleBase({})).search("cue") == []
    from knowledge.lookup.words import Thesaurus

    assert WordIndex([], Thesaurus([])).ask("cue").content == 1
