"""Which drills are scored in points, and what the keys then stand for."""

from __future__ import annotations

import pytest

from journal import practice
from journal.points import for_two, how_to_score, in_points, taken_off
from journal.records import ItemKind, Player
from journal.store.work import UnitOfWork
from knowledge.rulebase import RuleBase
from tests.monday import NOW


@pytest.mark.parametrize(
    ("ref", "words"),
    [
        ("drill.freeze_finish", "won, 2 a shot:"),
        ("drill.spots_up_down", "won, 3 a shot:"),
        ("drill.landing_zone_black", "won, 3 a shot:"),
        ("drill.right_side_blue", "won, 2 a shot:"),
        ("drill.colours_clear", "could be won: h won"),
        ("drill.pressure_ten", "could be won: h won"),
    ],
)
def test_a_drill_in_points_tells_how_many_presses_a_shot_takes(rules: RuleBase, ref: str, words: str) -> None:
    said = how_to_score(rules.drills[ref], "club")
    assert said is not None
    assert words in said


@pytest.mark.parametrize("ref", ["still_body", "floor_tape_stance", "choice_cards", "safety_duel"])
def test_a_drill_of_hits_and_misses_is_not_one_in_points(rules: RuleBase, ref: str) -> None:
    assert how_to_score(rules.drills[f"drill.{ref}"], "club") is None


@pytest.mark.parametrize("level", ["beginner", "club", "strong"])
def test_presses_for_every_point_reach_the_number_the_target_is_out_of(rules: RuleBase, level: str) -> None:
    """As many presses as the shots have points are as many tries as the target names."""
    for drill in rules.drills.values():
        if in_points(drill, level) and "a shot" in str(how_to_score(drill, level)):
            target = getattr(drill.target, level)
            assert f"{target.of} points in" in drill.score, drill.id


def test_points_taken_off_are_spoken_of_only_where_some_are(rules: RuleBase) -> None:
    assert {d.id for d in rules.drills.values() if taken_off(d)} == {
        "drill.safety_zone_game",
        "drill.break_off_target",
    }


def test_only_a_duel_is_played_for_points_by_two(rules: RuleBase) -> None:
    assert {d.id for d in rules.drills.values() if for_two(d)} == {"drill.safety_duel"}


def test_three_points_not_won_are_no_three_misses(work: UnitOfWork, player: Player, rules: RuleBase) -> None:
    hints = {}
    for ref in ("drill.freeze_finish", "drill.still_body"):
        result = practice.start(work, player, ref, ItemKind.DRILL, now=NOW, today=NOW.date())
        for _ in range(3):
            result = practice.ball(work, result, False)
        hints[ref] = practice.tally(result, rules.drills[ref]).hint
    assert hints["drill.freeze_finish"] == ""
    assert "three misses running" in hints["drill.still_body"]
