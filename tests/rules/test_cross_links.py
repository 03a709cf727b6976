"""The shipped rules hang together: nothing is a dead end, and every number says where it comes from."""

from __future__ import annotations

from itertools import combinations

import pytest

from knowledge.entries import COMMON_PRACTICE, FROM_MEMORY, STRENGTH, Source
from knowledge.rulebase import RuleBase, kind_of


def test_every_drill_is_reached_from_a_fault_or_one_of_its_causes(rules: RuleBase) -> None:
    reached: set[str] = set()
    for fault in rules.faults.values():
        reached.update(fault.drills)
        for cause in fault.causes:
            reached.update(rules.causes[cause].drills)
    assert set(rules.drills) - reached == set()


def test_every_cause_has_a_check_that_can_speak_for_it(rules: RuleBase) -> None:
    spoken_for = {
        cause
        for check in rules.checks.values()
        for outcome in check.outcomes
        for cause, sign in outcome.signs.items()
        if sign in ("+", "++")
    }
    assert set(rules.causes) - spoken_for == set()


def test_every_pair_of_causes_of_a_fault_is_told_apart_by_a_check_or_said_to_be_inseparable(
    rules: RuleBase,
) -> None:
    signs = [outcome.signs for check in rules.checks.values() for outcome in check.outcomes]
    left = [
        (fault.id, one, other)
        for fault in rules.faults.values()
        for one, other in combinations(fault.causes, 2)
        if not any(sign.get(one) != sign.get(other) for sign in signs)
        and not {(one, other), (other, one)} & set(fault.inseparable)
    ]
    assert left == []


def test_every_check_moves_at_least_one_cause_and_no_outcome_comes_twice(rules: RuleBase) -> None:
    for check in rules.checks.values():
        assert any(outcome.signs for outcome in check.outcomes), check.id
        names = [outcome.id for outcome in check.outcomes]
        assert len(names) == len(set(names)), check.id


def test_every_fault_has_causes_checks_and_eight_ways_of_saying_it(rules: RuleBase) -> None:
    for fault in rules.faults.values():
        assert fault.causes, fault.id
        assert fault.checks, fault.id
        assert len({said.lower() for said in fault.says}) >= 8, fault.id
        assert set(fault.causes.values()) <= set(STRENGTH)


def test_no_saying_belongs_to_two_faults(rules: RuleBase) -> None:
    owners: dict[str, set[str]] = {}
    for fault in rules.faults.values():
        for said in fault.says:
            owners.setdefault(said.lower(), set()).add(fault.id)
    assert {said: ids for said, ids in owners.items() if len(ids) > 1} == {}


def test_every_dilemma_has_a_deciding_trial_that_leads_to_a_drill_or_check(rules: RuleBase) -> None:
    for dilemma in rules.dilemmas.values():
        assert len(dilemma.trial.split()) >= 8, dilemma.id
        assert dilemma.trial_refs, dilemma.id


def test_pain_in_the_address_leads_to_a_caution_and_to_no_drill(rules: RuleBase) -> None:
    strain = rules.faults["stance.strain"]
    assert not strain.drills
    assert strain.caution
    assert "physiotherapist" in strain.caution


def test_every_entry_names_a_source_that_exists_or_says_that_there_is_none(rules: RuleBase) -> None:
    for entry in rules.entries.values():
        if kind_of(entry) == "source":
            continue
        assert entry.source, entry.id
        for source in entry.source:
            known = source in (COMMON_PRACTICE, FROM_MEMORY) or isinstance(rules.entries.get(source), Source)
            assert known, (entry.id, source)


@pytest.mark.parametrize(
    ("kind", "at_least"),
    [
        ("faults", 76),
        ("causes", 80),
        ("checks", 80),
        ("drills", 99),
        ("dilemmas", 33),
        ("rulings", 29),
        ("terms", 190),
    ],
)
def test_the_rule_base_is_as_full_as_promised(rules: RuleBase, kind: str, at_least: int) -> None:
    assert len(getattr(rules, kind)) >= at_least
