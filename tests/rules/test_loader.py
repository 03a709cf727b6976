"""Every mistake in a rule file is explained with its file, line, entry and mend."""

from __future__ import annotations

from pathlib import Path

import pytest

from knowledge.rule_template import template
from knowledge.rulebase import RulesError, load_rules, read_rules
from tests.rules.conftest import Checked

TERM = "terms:\n  - id: term.own_word\n    term: own word\n    meaning: a word of my own\n"


def test_a_clean_own_folder_has_no_problem(checked: Checked) -> None:
    assert checked(TERM + '    source: ["common practice, no source"]\n') == []


@pytest.mark.parametrize(
    ("text", "line", "entry", "said", "mend"),
    [
        (TERM + "    meening: twice\n", 5, "term.own_word", "unknown key 'meening'", "Did you mean meaning?"),
        ("terms:\n  - id: term.x\n    term: x\n", 2, "term.x", "'meaning' is missing", "Add 'meaning: …'"),
        (TERM + "    source: [source.nobody_1900]\n", 5, "term.own_word", "is not in the rules", ""),
        (
            TERM.replace("own word", "9 mm word"),
            2,
            "term.own_word",
            "a number without a source",
            "common practice",
        ),
        (
            TERM.replace("a word of my own", "''"),
            4,
            "term.own_word",
            "meaning: string should have at least 1",
            "",
        ),
        (TERM.replace("term: own word", "term: [1, 2]"), 3, "term.own_word", "should be a valid string", ""),
        (TERM.replace("terms:", "termz:"), 1, "", "unknown kind 'termz'", "Did you mean terms?"),
        ("terms: a word\n", 1, "", "'terms' is no list", "- id"),
        ("terms:\n  - term: nameless\n", 2, "", "an entry without an id", "Give it 'id"),
        (TERM + "    own: true\n", 2, "term.own_word", "'own' is set by the program", "Remove the key."),
        (
            TERM + "    lay: glue\n",
            2,
            "term.own_word",
            "lay: 'glue' is not possible",
            "add, extend, replace or hide",
        ),
        ("", 1, "", "the file is empty", "at least one entry"),
        ("- a\n- b\n", 1, "", "no mapping of kinds", "Begin with one of"),
    ],
)
def test_a_mistake_is_explained(
    checked: Checked, text: str, line: int, entry: str, said: str, mend: str
) -> None:
    (problem,) = checked(text)
    assert (problem.file, problem.line, problem.entry) == ("own/mine.yaml", line, entry)
    assert said in problem.message
    assert mend in problem.mend
    assert str(problem).startswith(f"own/mine.yaml:{line}")


@pytest.mark.parametrize(
    ("old", "new", "said", "mend"),
    [
        (
            "cause.fatigue: sometimes",
            "cause.fatige: often",
            'cause "cause.fatige" is not',
            "Did you mean cause.fatigue?",
        ),
        (
            "[check.fresh_vs_late]",
            "[check.fresh_vs_lat]",
            'check "check.fresh_vs_lat"',
            "Did you mean check.fresh_vs_late?",
        ),
        (
            "drill.freeze_finish",
            "drill.freeze_finnish",
            'drill "drill.freeze_finnish"',
            "Did you mean drill.freeze_finish?",
        ),
        ("sometimes}", "maybe}", "causes.cause.fatigue: input should be 'mostly'", ""),
        (
            "see_also: [head.lifts]",
            "see_also: [delivery.my_fault]",
            "see_also names the entry itself",
            "Remove",
        ),
        ("checks: [check.fresh_vs_late]", "checks: [cause.fatigue]", 'check "cause.fatigue" is not', ""),
    ],
)
def test_a_wrong_link_in_a_fault_is_explained_on_its_own_line(
    checked: Checked, old: str, new: str, said: str, mend: str
) -> None:
    text = template("fault").replace(old, new, 1)
    line = next(n for n, each in enumerate(text.splitlines(), 1) if new.split(":", maxsplit=1)[0] in each)
    (problem,) = checked(text)
    assert problem.line == line
    assert said in problem.message
    assert mend in problem.mend


def test_a_pattern_that_is_no_regular_expression_is_explained(checked: Checked) -> None:
    (problem,) = checked(template("caution").replace("(?:ankle|heel)", "(?:ankle"))
    assert "is no regular expression" in problem.message
    assert "backslash" in problem.mend


def test_all_problems_are_told_at_once(checked: Checked) -> None:
    two = TERM.replace("meaning", "meening")
    assert len(checked(two)) == 2


def test_loading_raises_with_every_problem(own: Path) -> None:
    (own / "mine.yaml").write_text("termz: []\n")
    with pytest.raises(RulesError) as caught:
        load_rules(own)
    assert caught.value.problems[0].mend == "Did you mean terms?"


def test_a_missing_and_an_empty_folder_are_explained(tmp_path: Path) -> None:
    (problem,) = read_rules(tmp_path / "nowhere")[1]
    assert "is not a folder" in problem.message
    empty = tmp_path / "empty"
    empty.mkdir()
    (problem,) = read_rules(empty)[1]
    assert "holds no .yaml file" in problem.message
    with pytest.raises(RulesError):
        load_rules(empty)


def test_a_half_described_trial_and_two_pictures_of_one_check_are_named_with_their_line(
    checked: Checked,
) -> None:
    text = template("dilemma")
    for wrong in (
        text.replace("    hit: what counts as a hit\n", ""),
        text.replace("settings: [this way, that way]", "settings: [this way]"),
        text.replace("settings: [this way, that way]", "settings: [this way, This Way]"),
    ):
        (problem,) = checked(wrong)
        assert "half described" in str(problem)
        assert "mine.yaml:" in str(problem)
    check = template("check")
    own = "    balls:\n      - {role: white, x: 889, y: 737}\n    outcomes:"
    (problem,) = checked(check.replace("    outcomes:", own, 1))
    assert "both balls and drawn" in str(problem)
    (problem,) = checked(check.replace("drawn: drill.spots_up_down", "drawn: drill.spots_up_dwn"))
    assert "Did you mean drill.spots_up_down?" in str(problem)
