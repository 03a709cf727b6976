"""A coach's own rules lie over the shipped ones: add, extend, replace, hide."""

from __future__ import annotations

from pathlib import Path

from knowledge.rulebase import read_rules
from tests.rules.conftest import Checked

SOURCE = '    source: ["common practice, no source"]\n'
TERM = (
    "terms:\n  - id: term.plant\n    lay: {lay}\n    term: plant\n    meaning: what my club means by it\n"
    + SOURCE
)


def test_an_added_entry_is_marked_as_own(own: Path) -> None:
    (own / "a.yaml").write_text(TERM.format(lay="add").replace("term.plant", "term.my_plant"))
    base, problems = read_rules(own)
    assert problems == []
    assert base.terms["term.my_plant"].own
    assert not base.terms["term.plant"].own


def test_a_replaced_entry_gives_way(own: Path) -> None:
    (own / "a.yaml").write_text(TERM.format(lay="replace"))
    base, problems = read_rules(own)
    assert problems == []
    assert base.terms["term.plant"].meaning == "what my club means by it"
    assert base.terms["term.plant"].also == ()


def test_an_extended_entry_keeps_what_it_had(own: Path) -> None:
    shipped = read_rules()[0].faults["head.lifts"]
    (own / "a.yaml").write_text(
        "faults:\n  - id: head.lifts\n    lay: extend\n    says: [pops up like toast]\n"
        "    drills: {drill.still_body: my own reason}\n    goal: my goal\n"
    )
    base, problems = read_rules(own)
    assert problems == []
    fault = base.faults["head.lifts"]
    assert fault.says == (*shipped.says, "pops up like toast")
    assert set(fault.drills) == {*shipped.drills, "drill.still_body"}
    assert fault.goal == "my goal"
    assert fault.meaning == shipped.meaning
    assert fault.own


def test_a_hidden_entry_is_gone(own: Path) -> None:
    (own / "a.yaml").write_text("terms:\n  - id: term.yips\n    lay: hide\n")
    base, problems = read_rules(own)
    assert problems == []
    assert "term.yips" not in base.entries


def test_hiding_what_others_name_is_a_problem(checked: Checked) -> None:
    problems = checked("drills:\n  - id: drill.bottle_neck\n    lay: hide\n")
    assert problems
    assert all('"drill.bottle_neck" is not in the rules' in problem.message for problem in problems)


def test_adding_an_id_that_stands_already_says_where(checked: Checked) -> None:
    (problem,) = checked(TERM.format(lay="add"))
    assert problem.message == "the id stands twice"
    assert "rules/vocabulary.yaml:" in problem.mend


def test_extending_what_is_not_there_asks_what_was_meant(checked: Checked) -> None:
    (problem,) = checked("faults:\n  - id: head.lift\n    lay: extend\n    goal: still\n")
    assert problem.message == "there is no fault of this id to extend"
    assert problem.mend == "Did you mean head.lifts?"
