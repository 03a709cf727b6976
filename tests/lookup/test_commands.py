"""``plainball lookup`` as it is typed."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from journal.lookup import KINDS
from knowledge.lookup.texts import SEARCHED

Command = Callable[..., tuple[int, str, str]]


def test_the_kinds_of_the_command_are_those_of_the_search() -> None:
    assert KINDS == SEARCHED


def test_words_need_no_quotes_and_matches_are_told(plainball: Command) -> None:
    status, said, _ = plainball("lookup", "miscue", "on", "the", "rail")
    assert status == 0
    lines = said.splitlines()
    assert "miscues with the white on the cushion" in lines[0]
    assert "contact.cushion_miscue  (words: miscue, rail" in lines[1]


def test_json_is_one_object_with_query_and_results(plainball: Command) -> None:
    status, said, _ = plainball("lookup", "bottel neck", "--json", "--limit", "3")
    found = json.loads(said)
    assert status == 0
    assert found["query"] == "bottel neck"
    assert set(found["results"][0]) == {"kind", "id", "title", "score"}
    assert found["results"][0]["id"] == "drill.bottle_neck"
    assert len(found["results"]) == 3


def test_jsonl_answers_each_line_in_order(plainball: Command, tmp_path: Path) -> None:
    path = tmp_path / "queries.jsonl"
    path.write_text(
        '{"id": "b", "query": "miscue on the rail"}\nno json\n\n{"id": 7, "query": ""}\n{"id": "a"}\n'
    )
    status, said, _ = plainball("lookup", "--jsonl", str(path))
    answers = [json.loads(line) for line in said.splitlines()]
    assert status == 0
    assert [answer["id"] for answer in answers] == ["b", None, 7, "a"]
    assert answers[0]["results"][0]["id"] == "contact.cushion_miscue"
    assert "error" in answers[1]
    assert answers[2] == {"id": 7, "results": []}
    assert "error" in answers[3]


def test_a_kind_can_be_asked_for(plainball: Command) -> None:
    _, said, _ = plainball("lookup", "cue", "--kind", "drill", "--kind", "check", "--json")
    assert {hit["kind"] for hit in json.loads(said)["results"]} <= {"drill", "check"}
    assert plainball("lookup", "cue", "--kind", "poem")[0] == 2


def test_nothing_found_is_said_and_so_is_nothing_asked(plainball: Command) -> None:
    status, said, _ = plainball("lookup", "xqzvkj")
    assert (status, said.startswith("Nothing found for: xqzvkj")) == (1, True)
    status, _, error = plainball("lookup")
    assert status == 1
    assert "nothing to look up" in error
    assert plainball("lookup", "cue", "--limit", "0")[0] == 1


def test_an_entry_is_shown_in_full(plainball: Command) -> None:
    status, said, _ = plainball("lookup", "--show", "contact.cushion_miscue")
    assert status == 0
    for part in ("Checks that tell", "<drill.cushion_cueing>", "[common practice, no source]", "Checkpoints"):
        assert part in said


def test_an_unknown_entry_is_explained(plainball: Command) -> None:
    status, _, error = plainball("lookup", "--show", "drill.bottleneck")
    assert status == 1
    assert "Did you mean drill.bottle_neck?" in error


def test_a_page_as_json(plainball: Command) -> None:
    _, said, _ = plainball("lookup", "--show", "ruling.feet", "--json")
    assert json.loads(said)["kind"] == "ruling"
