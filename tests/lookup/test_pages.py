"""An entry's page: everything the entry leads to, each number with its source."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal.cli.lookup import page_lines
from journal.errors import UnknownEntry
from journal.pages import entry_page, source_words, value_words
from knowledge.entries import Checkpoint, Value
from knowledge.rulebase import RuleBase, load_rules


def headings(rules: RuleBase, id_: str) -> list[str]:
    return [section.heading for section in entry_page(rules, id_).sections]


def test_a_fault_shows_checks_drills_and_checkpoints(rules: RuleBase) -> None:
    fault = rules.faults["contact.cushion_miscue"]
    page = entry_page(rules, fault.id)
    assert {*fault.causes, *fault.checks, *fault.drills, *fault.checkpoints, *fault.see_also} <= set(
        page.links
    )
    assert headings(rules, fault.id)[:2] == ["What it is", "How players say it"]


def test_a_dilemma_shows_its_condition_and_its_trial(rules: RuleBase) -> None:
    dilemma = rules.dilemmas["dilemma.bridge_length"]
    shown = [line.text for section in entry_page(rules, dilemma.id).sections for line in section.lines]
    assert {dilemma.one, dilemma.other, dilemma.condition, dilemma.trial} <= set(shown)
    assert set(dilemma.trial_refs) <= set(entry_page(rules, dilemma.id).links)


def test_every_entry_has_a_page_whose_links_lead_somewhere(rules: RuleBase) -> None:
    for id_ in rules.entries:
        page = entry_page(rules, id_)
        assert page.sections, id_
        assert all(line.text for section in page.sections for line in section.lines), id_
        assert set(page.links) <= set(rules.entries), id_


def test_every_checkpoint_and_target_shows_its_source(rules: RuleBase) -> None:
    for id_ in (*rules.faults, *rules.drills, *rules.checkpoints):
        for section in entry_page(rules, id_).sections:
            if section.heading in ("Checkpoints", "Target", "Value", "Checks that tell"):
                assert all(line.source for line in section.lines), (id_, section.heading)


def test_sources_are_told_by_author_and_year(rules: RuleBase) -> None:
    source = next(source for source in rules.sources.values() if source.year)
    said = source_words(rules, [source.id, "common practice, no source"])
    assert said == f"{source.author}, {source.year}; common practice, no source"


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (Value(ratio=2.0, of="hand length", text="to begin with"), "2 × hand length; to begin with"),
        (Value(low=20, high=40, unit="mm"), "20 to 40 mm"),
        (Value(low=3, high=3, unit="count"), "3"),
        (Value(low=0, unit="deg"), "at least 0 degrees"),
        (Value(high=0.5, unit="s"), "at most 0.5 s"),
    ],
)
def test_values_are_told_in_words(value: Value, said: str) -> None:
    assert value_words(Checkpoint(id="checkpoint.x", quantity="x", value=value, measure="tape")) == said


def test_pages_fit_80_columns(rules: RuleBase) -> None:
    for id_ in rules.entries:
        assert max(map(len, page_lines(entry_page(rules, id_), 80))) <= 80, id_


def test_an_unknown_entry_asks_what_was_meant(rules: RuleBase) -> None:
    with pytest.raises(UnknownEntry) as caught:
        entry_page(rules, "drill.bottleneck")
    assert caught.value.hint == "Did you mean drill.bottle_neck?"


def test_own_entries_are_marked(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(
        "terms:\n  - id: term.gronk\n    term: gronk\n    meaning: a fluke\n    source: [from memory]\n"
    )
    page = entry_page(load_rules(tmp_path, cache=tmp_path / "cache"), "term.gronk")
    assert page.own
    assert "term term.gronk  (your own entry)" in page_lines(page)
