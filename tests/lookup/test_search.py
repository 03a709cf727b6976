"""One box that finds what was meant."""

from __future__ import annotations

import pytest

from knowledge.lookup.search import Lookup
from knowledge.lookup.texts import SEARCHED
from knowledge.rulebase import RuleBase
from tests.quality.lookup import halves, rates, read_queries


def first(lookup: Lookup, query: str) -> str:
    return lookup.search(query, limit=1)[0].id


@pytest.mark.parametrize(
    ("query", "id_"),
    [
        ("miscue on the rail", "contact.cushion_miscue"),
        ("bottel neck", "drill.bottle_neck"),
        ("bridge hand closer or further away", "dilemma.bridge_length"),
        pytest.param(
            "why do I keep going in off when I screw back",
            "position.in_off",
            marks=pytest.mark.xfail(
                reason="the failing screw shot comes first, the in-off second", strict=True
            ),
        ),
        ("is it a foul if both feet are off the floor", "ruling.feet"),
        ("what is a plant", "term.plant"),
    ],
)
def test_the_promised_queries_find_their_entry_first(lookup: Lookup, query: str, id_: str) -> None:
    assert first(lookup, query) == id_


@pytest.mark.parametrize(
    ("query", "kind"),
    [
        ("what does cannon mean", "term"),
        ("exercise for a steady bridge", "drill"),
        ("how can I check the width of my feet", "check"),
        ("is it a foul when the ball jumps off the table", "ruling"),
        ("long or short backswing", "dilemma"),
        ("my head comes up on every shot", "fault"),
    ],
)
def test_the_wording_decides_what_kind_of_answer_comes_first(lookup: Lookup, query: str, kind: str) -> None:
    assert lookup.search(query, limit=1)[0].kind == kind


def test_trade_synonyms_find_the_same_entry(lookup: Lookup) -> None:
    for query in ("white frozen on the rail, tip slips", "cue ball frozen on the cushion, tip slips"):
        assert first(lookup, query) == "contact.cushion_miscue"


@pytest.mark.parametrize(
    "query", ["cusihon miscue", "cushion miscu", "cushoin miscue", "CUSHION MISCUE", "cushion-miscue"]
)
def test_typing_errors_half_words_and_case_do_not_matter(lookup: Lookup, query: str) -> None:
    assert first(lookup, query) == "contact.cushion_miscue"


def test_a_word_is_found_while_it_is_typed(lookup: Lookup) -> None:
    for typed in ("quiet e", "quiet ey", "quiet eye"):
        assert "term.quiet_eye" in [hit.id for hit in lookup.search(typed, limit=3)], typed


@pytest.mark.parametrize("query", ["", "   ", "?!…", "\x00\x01", "xqzvkj wwqxz", "🎱"])
def test_an_empty_or_nonsense_query_finds_nothing(lookup: Lookup, query: str) -> None:
    assert lookup.search(query) == []


@pytest.mark.parametrize(
    "query",
    [
        "a" * 100_000,
        "cue " * 20_000,
        "AND OR NOT (",
        '"',
        "term:cue^9",
        "*",
        "cue*",
        "[bold]cue[/bold]",
        "' OR 1=1",
    ],
)
def test_no_query_breaks_it(lookup: Lookup, query: str) -> None:
    assert len(lookup.search(query)) <= 10


def test_hits_say_which_words_matched(lookup: Lookup) -> None:
    hit = lookup.search("miscue on the rail", limit=1)[0]
    assert {"miscue", "rail"} <= set(hit.matched)
    assert hit.title == "miscues with the white on the cushion"


def test_scores_fall_and_the_best_has_one(lookup: Lookup) -> None:
    scores = [hit.score for hit in lookup.search("missing long pots")]
    assert scores[0] == 1.0
    assert scores == sorted(scores, reverse=True)
    assert all(0 <= score <= 1 for score in scores)


def test_limit_and_kinds_are_kept(lookup: Lookup) -> None:
    hits = lookup.search("bridge", limit=4, kinds=["drill", "check"])
    assert len(hits) == 4
    assert {hit.kind for hit in hits} <= {"drill", "check"}
    assert lookup.search("bridge", kinds=["nothing"]) == []
    assert lookup.search("bridge", limit=0) == []


def test_every_searched_kind_can_be_found(lookup: Lookup) -> None:
    for kind in SEARCHED:
        assert lookup.search("cue", kinds=[kind]), kind


def test_the_same_query_gives_the_same_answer(lookup: Lookup) -> None:
    assert lookup.search("cue wobbles") == lookup.search("cue wobbles")


def test_without_an_encoder_the_words_still_answer(by_words: Lookup) -> None:
    assert first(by_words, "miscue on the rail") == "contact.cushion_miscue"
    assert first(by_words, "bottel neck") == "drill.bottle_neck"
    assert by_words.search("xqzvkj wwqxz") == []


def test_the_fault_recogniser_is_one_voice_among_others(rules: RuleBase) -> None:
    plain = Lookup(rules)
    heard = Lookup(rules, fault_ranker=lambda _: {"pot.rest": 0.99})
    query = "something strange happens lately in my game"
    before = [hit.id for hit in plain.search(query, limit=10)]
    after = [hit.id for hit in heard.search(query, limit=10)]
    assert "pot.rest" not in before
    assert "pot.rest" in after
    assert set(before) & set(after)


def test_own_rules_are_found_too(tmp_path_factory: pytest.TempPathFactory) -> None:
    from knowledge.rulebase import load_rules

    own = tmp_path_factory.mktemp("own")
    (own / "a.yaml").write_text(
        "terms:\n  - id: term.gronk\n    term: gronk\n    meaning: our word for a lucky cannon\n"
        "    source: [from memory]\n"
    )
    cache = tmp_path_factory.mktemp("cache")
    for _ in range(2):  # the second time from the kept index and vectors
        assert first(Lookup(load_rules(own, cache=cache), cache), "what is a gronk") == "term.gronk"


def test_the_development_set_meets_its_targets(lookup: Lookup) -> None:
    """Right entry first in at least 85 of 100, in the first three in at least 95 of 100."""
    queries = read_queries()
    assert len(queries) >= 150
    one, other = halves(queries)
    rate, in_three = rates(lookup, [*one, *other])
    assert rate >= 0.85
    assert in_three >= 0.95


def test_no_development_query_stands_in_the_rules_or_the_ways_of_asking(lookup: Lookup) -> None:
    titles = {item.title.lower() for item in lookup.items}
    held = {text.lower() for item in lookup.items for text in item.sentences} - titles
    assert [query.query for query in read_queries() if query.query.lower() in held] == []


def test_every_wanted_entry_of_the_development_set_exists(lookup: Lookup) -> None:
    ids = {item.id for item in lookup.items}
    assert {wanted for query in read_queries() for wanted in query.want} <= ids


def test_of_two_faults_in_a_query_both_come_among_the_first_three(lookup: Lookup) -> None:
    found = [hit.id for hit in lookup.search("why do I keep going in off when I screw back", limit=3)]
    assert {"position.in_off", "position.screw_fails"} <= set(found)
