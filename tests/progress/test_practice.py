"""Practice is on disk ball by ball: undo, going on after a crash, ladders, points, shuffled order."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections import Counter
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal import practice
from journal.desk import Desk
from journal.errors import BadInput, UnknownEntry
from journal.ladders import LadderRule, climb, ladder_rule, shuffled
from journal.records import ItemKind, Player
from journal.store.work import UnitOfWork
from knowledge.rulebase import RuleBase
from tests.monday import NOW

TODAY = NOW.date()
REF = "drill.freeze_finish"


def begin(work: UnitOfWork, player: Player, ref: str = REF) -> practice.Result:
    return practice.start(work, player, ref, ItemKind.DRILL, now=NOW, today=TODAY)


def test_every_ball_is_kept_at_once(desk: Desk, work: UnitOfWork, player: Player) -> None:
    result = begin(work, player)
    for hit in (True, False, True):
        result = practice.ball(work, result, hit)
    other = Desk(desk.place)
    work.commit()
    work._connection.rollback()  # let the other connection in
    with other.store.work() as theirs:
        going = practice.resume(theirs, player)
    other.close()
    assert going is not None
    assert (going.hits, going.tries, going.open) == (2, 3, True)


def test_undo_takes_the_last_ball_back(work: UnitOfWork, player: Player) -> None:
    result = practice.ball(work, practice.ball(work, begin(work, player), True), False)
    result = practice.undo(work, result)
    assert (result.hits, result.tries) == (1, 1)
    assert practice.undo(work, practice.undo(work, result)).tries == 0


def test_a_finished_drill_is_closed_and_an_empty_one_dropped(work: UnitOfWork, player: Player) -> None:
    done = practice.finish(work, practice.ball(work, begin(work, player), True), minutes=6.0, remark="calm")
    assert done is not None
    assert (done.open, done.minutes, done.detail["remark"]) == (False, 6.0, "calm")
    assert practice.finish(work, begin(work, player)) is None
    assert practice.resume(work, player) is None
    assert work.results.count(player_id=player.id) == 1


@pytest.mark.parametrize(
    ("words", "score"), [("7/10", (7, 10)), (" 7 of 10 ", (7, 10)), ("0 out of 5", (0, 5))]
)
def test_scores_are_read(words: str, score: tuple[int, int]) -> None:
    assert practice.read_score(words) == score


@pytest.mark.parametrize("words", ["", "7", "11/10", "0/0", "-1/5", "7/100000", "a/b"])
def test_impossible_scores_are_refused(words: str) -> None:
    with pytest.raises(BadInput):
        practice.read_score(words)


def test_a_drill_is_found_by_any_of_its_names(rules: RuleBase) -> None:
    name = rules.drills[REF].name
    for words in (REF, "freeze_finish", name, name.upper()):
        assert practice.find_ref(rules, words) == (REF, ItemKind.DRILL)
    assert practice.find_ref(rules, "head.lifts") == ("head.lifts", ItemKind.RECHECK)
    with pytest.raises(UnknownEntry) as caught:
        practice.find_ref(rules, "freze finish")
    assert REF in caught.value.hint


def test_ladders_climb_by_their_rule() -> None:
    rule = LadderRule(5)
    assert climb([True, True], rule) == (2, 2)
    assert climb([True, True, True, True, False, False], rule) == (2, 3)
    assert climb([True, False] * 10, rule) == (1, 1)
    restart = LadderRule(10, 1, 1, restart=True)
    assert climb([True, True, True, False], restart) == (1, 4)


@given(st.lists(st.booleans(), max_size=60), st.integers(1, 8), st.booleans())
def test_a_rung_is_always_on_the_ladder(balls: list[bool], rungs: int, restart: bool) -> None:
    rule = LadderRule(rungs, 1 if restart else 2, 1 if restart else 2, restart)
    rung, top = climb(balls, rule)
    assert 1 <= rung <= top <= rungs


def test_the_shipped_ladders_have_rules(rules: RuleBase) -> None:
    long = ladder_rule(rules.drills["drill.long_pot_ladder"])
    assert long is not None
    assert (long.rungs, long.restart) == (5, False)
    run = ladder_rule(rules.drills["drill.reds_black_ladder"])
    assert run is not None
    assert run.restart
    assert ladder_rule(rules.drills[REF]) is None


def test_the_tally_says_when_to_stop(work: UnitOfWork, player: Player, rules: RuleBase) -> None:
    drill = rules.drills["drill.still_body"]
    result = begin(work, player, drill.id)
    for _ in range(3):
        result = practice.ball(work, result, False)
    assert "three misses" in practice.tally(result, drill).hint
    target = drill.target.club
    assert target.hits is not None
    assert target.of is not None
    for _ in range(target.of):
        result = practice.ball(work, result, True)
    tally = practice.tally(result, drill)
    assert (tally.hint, tally.run, tally.best_run) == ("target reached", target.of, target.of)


def test_points_for_two(work: UnitOfWork, player: Player) -> None:
    result = begin(work, player)
    for side, n in (("a", 3), ("b", 5), ("a", 1)):
        result = practice.point(work, result, side, n)
    assert practice.points_of(result) == (4, 5)
    assert practice.finish(work, result) is not None
    with pytest.raises(BadInput):
        practice.point(work, result, "c", 1)


@given(st.integers(2, 7), st.integers(1, 6), st.integers(0, 1000))
def test_shuffled_order_is_fair_and_fixed_by_its_seed(places: int, each: int, seed: int) -> None:
    order = shuffled(places, each, seed)
    assert Counter(order) == dict.fromkeys(range(places), each)
    assert order == shuffled(places, each, seed)
    if places >= 3:
        assert not any(order[n] == order[n + 1] == order[n + 2] for n in range(len(order) - 2))


def test_the_personal_best_is_no_lucky_pair(work: UnitOfWork, player: Player) -> None:
    for n, (hits, tries) in enumerate([(12, 20), (15, 20), (2, 2), (10, 20)]):
        practice.record(
            work,
            player,
            REF,
            ItemKind.DRILL,
            hits,
            tries,
            now=NOW + timedelta(days=n),
            today=TODAY + timedelta(days=n),
        )
    standing = practice.standing(work, player, REF)
    assert (standing.best, standing.times) == ((15, 20), 4)
    assert standing.middle is not None
    assert standing.middle[0] <= standing.middle[1]


@pytest.mark.skipif(os.name != "posix", reason="SIGKILL is a POSIX signal")
@pytest.mark.parametrize("balls", [1, 7])
def test_sigkill_in_mid_drill_loses_at_most_the_ball_being_entered(
    desk: Desk, work: UnitOfWork, player: Player, balls: int
) -> None:
    """The real command, killed without warning while the next ball is being entered."""
    work._connection.rollback()
    command = [
        sys.executable,
        "-m",
        "journal.cli.main",
        "--journal",
        desk.place,
        "practise",
        player.name,
        REF,
        "--count",
    ]
    root = Path(__file__).parents[2]
    with subprocess.Popen(
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=root,
        env={**os.environ, "PYTHONPATH": str(root)},
    ) as running:
        assert running.stdin is not None
        assert running.stdout is not None
        for n in range(balls):
            running.stdin.write("h\n")
            running.stdin.flush()
            assert running.stdout.readline().startswith(f"{n + 1} of {n + 1}")
        running.stdin.write("h\n")
        running.stdin.flush()
        running.send_signal(signal.SIGKILL)
    other = Desk(desk.place)
    with other.store.work() as theirs:
        going = practice.resume(theirs, player, REF)
    other.close()
    assert going is not None
    assert going.tries in (balls, balls + 1)
    assert going.hits == going.tries
