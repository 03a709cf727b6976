"""Several drills practised together in shuffled order: each keeps its own score, nothing is lost, nobody must."""

from __future__ import annotations

from datetime import timedelta

import pytest

from journal import mixing, practice
from journal.changes import start_change
from journal.desk import Desk
from journal.errors import BadInput, UnknownEntry
from journal.mixing import Mix
from journal.players import add_player, change_player
from journal.records import ItemKind, ItemStatus, Plan, PlanItem, Player
from journal.store.work import UnitOfWork, new_id
from knowledge.rulebase import RuleBase
from tests.monday import NOW

TODAY = NOW.date()
REFS = ("drill.freeze_finish", "drill.still_body", "drill.quiet_look")


def begin(work: UnitOfWork, rules: RuleBase, player: Player, refs: tuple[str, ...] = REFS) -> Mix:
    return mixing.start(work, rules, player, refs, now=NOW, today=TODAY)


def planned(work: UnitOfWork, player: Player, *refs: str) -> list[PlanItem]:
    """A plan with these drills today."""
    plan = work.plans.add(Plan(player.id, new_id(), NOW, TODAY, 7, None, 0.0))
    items = [
        PlanItem(player.id, new_id(), plan.id, TODAY, 540 + 10 * n, 10.0, ItemKind.DRILL, ref, "why", ref)
        for n, ref in enumerate(refs)
    ]
    return [work.plan_items.add(item) for item in items]


def test_each_try_goes_to_the_drill_whose_turn_it_is(
    work: UnitOfWork, rules: RuleBase, player: Player
) -> None:
    mix = begin(work, rules, player)
    expected = {ref: [0, 0] for ref in REFS}
    for n in range(len(mix.order)):
        assert mix.next_part is not None
        ref, hit = REFS[mix.next_part], n % 3 == 0
        expected[ref][0] += hit
        expected[ref][1] += 1
        mix = mixing.score(work, mix, hit)
    assert mix.next_part is None
    assert {part.ref: [part.hits, part.tries] for part in mix.parts} == expected
    assert {part.tries for part in mix.parts} == {mixing.EACH}
    with pytest.raises(BadInput, match="all 30 tries are played"):
        mixing.score(work, mix, True)


def test_the_order_is_mixed_and_never_three_times_the_same(
    work: UnitOfWork, rules: RuleBase, player: Player
) -> None:
    order = begin(work, rules, player).order
    assert not any(order[n] == order[n + 1] == order[n + 2] for n in range(len(order) - 2))


def test_undo_takes_back_the_last_try_of_the_drill_it_belonged_to(
    work: UnitOfWork, rules: RuleBase, player: Player
) -> None:
    start = begin(work, rules, player)
    mix = start
    for _ in range(5):
        mix = mixing.score(work, mix, True)
    for left in range(4, -1, -1):
        mix = mixing.undo(work, mix)
        assert mix.played == left
    assert mixing.undo(work, mix) == mix
    assert mix.next_part == start.next_part


def test_an_interrupted_mix_goes_on_with_the_same_try(
    desk: Desk, work: UnitOfWork, rules: RuleBase, player: Player
) -> None:
    mix = begin(work, rules, player)
    for _ in range(4):
        mix = mixing.score(work, mix, False)
    work._connection.rollback()
    other = Desk(desk.place)
    with other.store.work() as theirs:
        again = mixing.going_on(theirs, player)
        assert practice.resume(theirs, player) is None, "its drills are not offered one by one"
    other.close()
    assert again is not None
    assert (again.played, again.order, again.next_part) == (4, mix.order, mix.next_part)


def test_the_end_keeps_each_drill_shares_the_minutes_and_ticks_the_plan(
    work: UnitOfWork, rules: RuleBase, player: Player
) -> None:
    items = planned(work, player, *REFS)
    mix = begin(work, rules, player)
    while mix.played < 20:
        mix = mixing.score(work, mix, True)
    kept = mixing.finish(work, mix, minutes=10.0)
    assert sum(each.tries for each in kept) == 20
    assert sum(each.minutes or 0.0 for each in kept) == pytest.approx(10.0, abs=0.2)
    assert all(not each.open for each in kept)
    assert mixing.going_on(work, player) is None
    done = {item.ref for item in work.plan_items.all(player_id=player.id, status=ItemStatus.DONE)}
    assert done == {item.ref for item in items}


def test_a_drill_that_was_never_played_is_not_kept(work: UnitOfWork, rules: RuleBase, player: Player) -> None:
    mix = mixing.score(work, begin(work, rules, player), True)
    (kept,) = mixing.finish(work, mix)
    assert kept.tries == 1
    assert work.results.count(player_id=player.id) == 1
    assert mixing.finish(work, begin(work, rules, player)) == []
    assert work.results.count(player_id=player.id) == 1


@pytest.mark.parametrize("refs", [(), REFS[:1], (REFS[0], REFS[0]), (*REFS, "drill.a", "drill.b", "drill.c")])
def test_a_mix_needs_two_to_five_different_drills(
    work: UnitOfWork, rules: RuleBase, player: Player, refs: tuple[str, ...]
) -> None:
    with pytest.raises(BadInput):
        begin(work, rules, player, refs)
    with pytest.raises(UnknownEntry):
        begin(work, rules, player, (REFS[0], "drill.nothing"))
    assert work.results.count(player_id=player.id) == 0


def test_todays_drills_are_proposed_but_not_those_that_only_accompany_others(
    work: UnitOfWork, rules: RuleBase, player: Player
) -> None:
    planned(work, player, REFS[0], "drill.chalk_routine", REFS[1])
    assert mixing.suggested(work, rules, player, TODAY) == REFS[:2]
    assert mixing.suggested(work, rules, player, TODAY + timedelta(days=1)) == ()


def test_a_new_movement_and_a_beginner_stay_in_blocks(
    work: UnitOfWork, rules: RuleBase, player: Player
) -> None:
    plan = start_change(work, rules, player, today=TODAY, cause="cause.butt_kept_flat")
    (new, *_) = [ref for ref in plan.change.drills if rules.drills[ref].balls]
    planned(work, player, new, *REFS[:2])
    assert mixing.suggested(work, rules, player, TODAY) == REFS[:2]
    beginner = change_player(work, player, now=NOW, level="beginner")
    assert mixing.suggested(work, rules, beginner, TODAY) == ()


def test_who_switched_it_off_is_not_asked_again_and_others_are(
    work: UnitOfWork, rules: RuleBase, player: Player
) -> None:
    other = add_player(work, "Bryony", now=NOW)
    for each in (player, other):
        planned(work, each, *REFS)
    mixing.prefer(work, player, False)
    assert mixing.suggested(work, rules, player, TODAY) == ()
    assert mixing.suggested(work, rules, other, TODAY) == REFS
    mixing.prefer(work, player, True)
    assert mixing.preferred(work, player)
    mixing.prefer(work, other, False)
    work.players.remove(id=other.id)
    mixing.prefer(work, player, False)
    (kept,) = [s for s in work.settings.all() if "blocks" in s.key]
    assert kept.value["players"] == [player.id], "nothing stays of somebody who was erased"


def test_the_entry_on_mixed_order_says_that_its_evidence_is_weak(rules: RuleBase) -> None:
    """Applied settings: gain close to nothing. Source: source.czyz_2024, named by the entry."""
    entry = rules.dilemmas[mixing.DILEMMA]
    assert "evidence is weak" in entry.condition
    assert "applied settings" in entry.condition
    assert "source.czyz_2024" in entry.source
