"""What can be compared: answers of a dilemma, cues and tables, two players at one drill."""

from __future__ import annotations

from datetime import timedelta

import pytest
from scipy import integrate, stats

from journal import practice, table_trial
from journal.players import add_player
from journal.progress.report import by_context
from journal.progress.side_by_side import Matchup, matchups, others
from journal.records import ItemKind, Player
from journal.store.work import UnitOfWork
from knowledge.rulebase import RuleBase
from tests.monday import NOW

DRILL, OTHER, ARM = "drill.bottle_neck", "drill.freeze_finish", "dilemma.bridge_arm"


@pytest.fixture
def benno(work: UnitOfWork) -> Player:
    return add_player(work, "Benno", now=NOW)


def score(work: UnitOfWork, player: Player, hits: int, ref: str = DRILL, ago: int = 0, **detail: str) -> None:
    when = NOW - timedelta(days=ago)
    practice.record(work, player, ref, ItemKind.DRILL, hits, 10, now=when, today=when.date(), detail=detail)


def trial(work: UnitOfWork, rules: RuleBase, player: Player, hits: tuple[int, ...], tries: int = 10) -> None:
    """A whole trial with so many hits of each answer."""
    left = list(hits)
    going = table_trial.begin(work, rules, player, ARM, now=NOW, today=NOW.date(), tries=tries)
    while (number := going.next_setting) is not None:
        going = table_trial.score(work, going, left[number] > 0)
        left[number] -= 1
    table_trial.finish(work, going)


def only(found: list[Matchup]) -> Matchup:
    (one,) = found
    return one


def test_two_players_are_compared_where_both_did_the_drill(
    work: UnitOfWork, rules: RuleBase, player: Player, benno: Player
) -> None:
    for ago, hits in ((3, 5), (1, 6)):
        score(work, player, hits, ago=ago)
    score(work, benno, 9)
    score(work, player, 4, OTHER)
    assert others(work, player) == [benno]
    found = only(matchups(work, rules, player, benno))
    assert [(side.name, side.hits, side.tries, len(side.days)) for side in found.sides] == [
        ("Odalys", 11, 20, 2),
        ("Benno", 9, 10, 1),
    ]
    assert found.better == "Benno"


def test_the_tries_that_are_missing_would_really_settle_it(
    work: UnitOfWork, rules: RuleBase, player: Player, benno: Player
) -> None:
    """The chance after so many more tries each at the present means, by scipy's quadrature over two Betas."""
    score(work, player, 5)
    score(work, benno, 7)
    found = only(matchups(work, rules, player, benno))
    assert found.better is None
    assert found.more is not None
    assert f"cannot tell yet: about {found.more} more tries each would" in found.told

    def chance(more: int) -> float:
        one, two = ((hits + more * (hits + 1) / 12, 10 + more) for hits in (5, 7))
        (a1, b1), (a2, b2) = ((1 + hits, 1 + tries - hits) for hits, tries in (one, two))
        return float(
            integrate.quad(lambda x: stats.beta.pdf(x, a2, b2) * stats.beta.cdf(x, a1, b1), 0, 1, limit=200)[
                0
            ]
        )

    assert chance(found.more) >= 0.95 - 1e-6
    assert chance(found.more - 1) < 0.95


def test_answers_of_a_dilemma_stand_beside_each_other_day_by_day(
    work: UnitOfWork, rules: RuleBase, player: Player
) -> None:
    trial(work, rules, player, (7, 5, 4))
    found = only(matchups(work, rules, player))
    assert (found.ref, found.better) == (ARM, None)
    assert [side.hits for side in found.sides] == [7, 5, 4]
    assert [side.name for side in found.sides] == list(rules.dilemmas[ARM].settings)
    verdict = table_trial.standing(work, rules, player, ARM).verdict
    assert verdict is not None
    assert found.more == verdict.more
    assert f"Cannot tell yet: about {found.more} more tries of each would" in found.told


def test_a_clear_answer_is_named_with_its_doubt(work: UnitOfWork, rules: RuleBase, player: Player) -> None:
    trial(work, rules, player, (27, 9, 8), 30)
    found = only(matchups(work, rules, player))
    assert found.better == rules.dilemmas[ARM].settings[0]
    assert "1 in 20" in found.told


def test_two_cues_are_compared_at_one_drill_and_drills_are_not_mixed(
    work: UnitOfWork, rules: RuleBase, player: Player
) -> None:
    for ago in range(6):
        score(work, player, 8 if ago % 2 else 3, ago=ago, cue="new" if ago % 2 else "old")
    score(work, player, 1, OTHER, cue="new")
    found = only(matchups(work, rules, player))
    assert {(side.name, side.hits) for side in found.sides} == {("cue new", 24), ("cue old", 9)}
    assert found.better == "cue new"


def test_what_is_tried_in_a_trial_counts_as_no_drill(
    work: UnitOfWork, rules: RuleBase, player: Player
) -> None:
    trial(work, rules, player, (7, 5, 4))
    score(work, player, 5, table="two")
    results = work.results.all(player_id=player.id)
    assert [(key, tries) for key, _, tries, _ in by_context(results, [], "table")] == [("two", 10)]


def test_with_nothing_to_compare_there_is_nothing(work: UnitOfWork, rules: RuleBase, player: Player) -> None:
    score(work, player, 5)
    assert matchups(work, rules, player) == []
    assert others(work, player) == []
