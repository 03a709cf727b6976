"""Pictures beside checks: what is drawn is what the check says, in the player's own numbers."""

from __future__ import annotations

import math
from datetime import UTC, datetime
from itertools import pairwise

import pytest

from journal.check_pictures import check_picture
from journal.records import Player, PlayerId
from journal.sharing.pictures.terminal import draw
from knowledge.entries import Ball, Check
from knowledge.mechanics.scene import Disc, Line, Note, Scene
from knowledge.rulebase import RuleBase

NOW = datetime(2026, 5, 12, tzinfo=UTC)
ADULT = Player(PlayerId("p"), "Odalys", NOW, hand_mm=185.0, shoulder_mm=390.0)
UNMEASURED = Player(PlayerId("q"), "Ansel", NOW, hand="left")
RADIUS = 26.25
"""Half a snooker ball of 52.5 mm. Source: the game's published rules, equipment section."""


def balls(scene: Scene, role: str) -> list[Disc]:
    found = [item for item in scene.items if isinstance(item, Disc) and item.role == role]
    return [disc for disc in found if role != "mark" or disc.radius > 6]


def drawn(rules: RuleBase, check: str, player: Player = ADULT) -> Scene:
    picture = check_picture(rules, rules.checks[f"check.{check}"], player)
    assert picture is not None
    return picture.scene


@pytest.mark.parametrize("player", [ADULT, UNMEASURED], ids=["measured", "unmeasured"])
def test_every_check_that_names_a_picture_has_one_and_no_other_has(rules: RuleBase, player: Player) -> None:
    pictured = 0
    for check in rules.checks.values():
        picture = check_picture(rules, check, player)
        assert (picture is not None) == bool(check.balls or check.drawn), check.id
        if picture is not None:
            pictured += 1
            rows = draw(picture.scene, 37, 16).text().splitlines()
            assert max(map(len, rows)) <= 37
            assert len(rows) <= 16
    assert pictured >= 12


def test_the_gate_leaves_65_mm_130_mm_beyond_the_white(rules: RuleBase) -> None:
    """The check's own words give both lengths; clear space is between surfaces."""
    scene = drawn(rules, "gate_after")
    (white,), (one, other) = balls(scene, "white"), balls(scene, "red")
    assert abs(one.x - other.x) - 2 * RADIUS == pytest.approx(65.0)
    assert {one.y - white.y, other.y - white.y} == {130.0}
    assert "65 mm" in rules.checks["check.gate_after"].do
    assert "130 mm" in rules.checks["check.gate_after"].do


def test_the_white_lies_30_mm_from_the_cushion_and_5_mm_from_the_red(rules: RuleBase) -> None:
    (white,) = balls(drawn(rules, "rail_set"), "white")
    assert white.y - RADIUS == pytest.approx(30.0)
    (white,), (red,) = (balls(drawn(rules, "close_quiz"), role) for role in ("white", "red"))
    assert math.dist((white.x, white.y), (red.x, red.y)) - 2 * RADIUS == pytest.approx(5.0)


def test_the_stop_shots_are_straight_at_the_three_named_distances(rules: RuleBase) -> None:
    scene = drawn(rules, "stop_at_three")
    (target,), whites = balls(scene, "object"), balls(scene, "white")
    assert sorted(white.x - target.x for white in whites) == [300.0, 600.0, 1100.0]
    assert {white.y for white in whites} == {target.y}


def test_the_spots_check_shows_the_drill_with_the_same_line(rules: RuleBase) -> None:
    (white,) = balls(drawn(rules, "spots_return"), "white")
    marks = balls(drawn(rules, "spots_return"), "mark")
    assert {mark.x for mark in marks} == {white.x}
    picture = check_picture(rules, rules.checks["check.spots_return"], ADULT)
    assert picture is not None
    assert rules.drills["drill.spots_up_down"].name in picture.caption


def test_the_bridge_is_drawn_in_own_millimetres_or_in_hand_lengths(rules: RuleBase) -> None:
    """Two hand lengths of 185 mm are 370 mm."""
    scene = drawn(rules, "bridge_measure")
    notes = sorted(item.text for item in scene.items if isinstance(item, Note))
    assert notes == ["280", "370", "460"]
    places = sorted(
        -RADIUS - x
        for x in {p[0] for i in scene.items if isinstance(i, Line) and i.ink == "body" for p in i.points}
    )
    assert places == pytest.approx([1.5 * 185, 2 * 185, 2.5 * 185])
    bare = drawn(rules, "bridge_measure", UNMEASURED)
    assert sorted(item.text for item in bare.items if isinstance(item, Note)) == ["1.5", "2", "2.5"]


def test_the_feet_are_a_shoulder_breadth_apart_and_mirrored_for_the_left_hand(rules: RuleBase) -> None:
    marks = balls_of_template(drawn(rules, "foot_gap"))
    assert math.dist(marks[0], marks[3]) == pytest.approx(390.0)
    left = balls_of_template(drawn(rules, "foot_gap", UNMEASURED))
    assert marks[3][0] < 0 < left[3][0]


def balls_of_template(scene: Scene) -> list[tuple[float, float]]:
    """Back heel, end of the tape ahead, toes, front heel."""
    return [(item.x, item.y) for item in scene.items if isinstance(item, Disc)]


def test_the_cue_on_the_rail_slopes_by_the_checkpoints_range(rules: RuleBase) -> None:
    scene = drawn(rules, "rail_angle")
    cue = [item for item in scene.items if isinstance(item, Line) and item.ink == "cue"]
    (ax, ay), (bx, by) = max(
        (pair for line in cue for pair in pairwise(line.points)), key=lambda pair: math.dist(*pair)
    )
    value = rules.checkpoints["checkpoint.butt_angle_rail"].value
    assert value.low is not None
    assert value.high is not None
    assert value.low <= abs(math.degrees(math.atan2(by - ay, bx - ax))) <= value.high


def test_a_ball_that_cannot_lie_there_gives_no_picture(rules: RuleBase) -> None:
    check = rules.checks["check.rail_set"]
    wrong = check.model_copy(update={"balls": (Ball(role="white", x=0, y=0),)})
    assert isinstance(wrong, Check)
    assert check_picture(rules, wrong, ADULT) is None


@pytest.mark.parametrize("target", ["checkpoint.grip_number", "drill.plan_card"])
def test_a_drill_without_balls_or_a_checkpoint_without_a_drawing_gives_none(
    rules: RuleBase, target: str
) -> None:
    check = rules.checks["check.grip_number"].model_copy(update={"drawn": target})
    assert check_picture(rules, check, ADULT) is None
