"""``rules check`` and ``rules new`` as a coach meets them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from knowledge.entries import KINDS
from knowledge.rule_template import TEMPLATES

Command = Callable[..., tuple[int, str, str]]


def test_there_is_a_template_for_every_kind() -> None:
    assert set(TEMPLATES) == set(KINDS)


@pytest.mark.parametrize("kind", sorted(TEMPLATES))
def test_a_template_passes_the_check_as_it_stands(plainball: Command, own: Path, kind: str) -> None:
    status, text, _ = plainball("rules", "new", kind)
    assert status == 0
    assert text.count("#") >= 5
    (own / f"{kind}.yaml").write_text(text)
    status, said, _ = plainball("rules", "check", str(own))
    assert (status, "No problem" in said, "1 of them are your own" in said) == (0, True, True)


def test_the_shipped_rules_pass(plainball: Command) -> None:
    status, said, _ = plainball("rules", "check")
    assert status == 0
    assert "76 faults" in said


def test_a_problem_is_shown_with_place_and_mend(plainball: Command, own: Path) -> None:
    (own / "a.yaml").write_text("terms:\n  - id: term.x\n    term: x\n    meening: y\n    meaning: y\n")
    status, said, _ = plainball("rules", "check", str(own))
    assert status == 1
    assert "own/a.yaml:4  term.x: unknown key 'meening'\n  Did you mean meaning?" in said
    assert "1 problem in" in said


def test_problems_as_json(plainball: Command, own: Path) -> None:
    (own / "a.yaml").write_text("termz: []\n")
    status, said, _ = plainball("rules", "check", "--json", str(own))
    found = json.loads(said)
    assert status == 1
    assert found["problems"][0]["line"] == 1
    assert found["entries"]["fault"] >= 76


def test_the_folder_of_the_command_line_is_checked_too(plainball: Command, own: Path) -> None:
    (own / "a.yaml").write_text("termz: []\n")
    assert plainball("--own-rules", str(own), "rules", "check")[0] == 1


def test_an_unknown_kind_is_wrong_usage(plainball: Command) -> None:
    assert plainball("rules", "new", "poem")[0] == 2
