"""A plan as a person meets it: built, stored, kept through missed days, and careful with pain."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from journal import freetimes, practice
from journal.errors import BadInput
from journal.planning.builder import NoPlan
from journal.planning.checker import broken_rules
from journal.planning.gather import follow_ups, known_of, looks_of, request_for
from journal.planning.layout import Placed
from journal.planning.request import Wish
from journal.plans import MadePlan, current_plan, items_on, make_plan, mark, slot_uid, why_today
from journal.prescription import PAIN_CAUTION
from journal.records import (
    Change,
    ItemKind,
    ItemStatus,
    Match,
    PlanItem,
    Player,
    Polarity,
    RecordId,
    Sighting,
    SightingStatus,
)
from journal.store.work import UnitOfWork, new_id
from knowledge.rulebase import RuleBase
from tests.monday import NOW

TODAY = date(2026, 5, 4)


def see(
    work: UnitOfWork,
    player: Player,
    fault: str,
    ago: int,
    polarity: Polarity = Polarity.PRESENT,
    **more: object,
) -> None:
    status = more.pop("status", SightingStatus.CONFIRMED)
    day = TODAY - timedelta(days=ago)
    work.sightings.add(Sighting(player.id, new_id(), None, day, fault, polarity, status=status, **more))  # type: ignore[arg-type]


def plan(work: UnitOfWork, rules: RuleBase, player: Player, today: date = TODAY, **more: object) -> MadePlan:
    now = NOW + (today - TODAY)
    return make_plan(player, work=work, rules=rules, now=now, today=today, **more)  # type: ignore[arg-type]


@pytest.fixture
def told(work: UnitOfWork, player: Player) -> Player:
    """A player with free time and two confirmed faults."""
    freetimes.tell(work, player, "Tue and Thu 19:00, 45 min; Sat 10:00 one hour", today=TODAY)
    for ago in (3, 9):
        see(work, player, "head.lifts", ago)
    see(work, player, "pot.long", 6)
    return player


def test_the_plan_is_made_around_the_strongest_confirmed_fault(
    work: UnitOfWork, rules: RuleBase, told: Player
) -> None:
    see(work, told, "delivery.snatch", 1, status=SightingStatus.SUGGESTED, count=9)
    made = plan(work, rules, told)
    assert made.fault == "head.lifts"
    first = [item for item in made.items if item.kind is ItemKind.DRILL][:3]
    assert {item.ref for item in first} & set(rules.faults["head.lifts"].drills)


def test_every_item_says_why(work: UnitOfWork, rules: RuleBase, told: Player) -> None:
    for item in plan(work, rules, told).items:
        assert len(item.why) > 10
        assert why_today(item, rules)


def test_a_running_change_leads_and_its_end_is_measured(
    work: UnitOfWork, rules: RuleBase, told: Player
) -> None:
    change = Change(
        told.id,
        new_id(),
        "head.lifts",
        "cause.looks_up_early",
        "Keep looking at the pocket",
        ("drill.freeze_finish",),
        None,
        "early rises in ten pots",
        TODAY - timedelta(days=7),
        TODAY + timedelta(days=15),
    )
    work.changes.add(change)
    made = plan(work, rules, told)
    assert made.change == change
    drills = [item for item in made.items if item.kind is ItemKind.DRILL]
    sessions = {item.day for item in drills}
    assert sum(item.ref == "drill.freeze_finish" for item in drills) >= len(sessions) - 2
    (check,) = [i for i in made.items if i.kind is ItemKind.RECHECK and i.ref == "head.lifts"]
    assert abs((check.day - change.stop_on).days) <= 2
    assert "early rises in ten pots" in check.why


def test_pain_gets_no_drill_and_the_caution(work: UnitOfWork, rules: RuleBase, told: Player) -> None:
    see(work, told, "stance.strain", 1)
    made = plan(work, rules, told)
    assert made.caution == PAIN_CAUTION
    assert "physician or physiotherapist" in made.caution
    clear = TODAY + timedelta(days=6)
    busy = [item for item in made.items if item.kind in (ItemKind.DRILL, ItemKind.RECHECK)]
    assert all(item.day >= clear for item in busy)
    assert not any("stance.strain" in rules.drills[i.ref].faults for i in busy if i.kind is ItemKind.DRILL)
    assert not any(item.ref == "stance.strain" for item in made.items)


def test_pain_that_is_said_to_be_gone_bars_nothing(work: UnitOfWork, rules: RuleBase, told: Player) -> None:
    see(work, told, "stance.strain", 2)
    see(work, told, "stance.strain", 1, Polarity.ABSENT)
    made = plan(work, rules, told)
    assert made.caution is None
    assert min(item.day for item in made.items if item.kind is ItemKind.DRILL) == TODAY + timedelta(days=1)


def test_a_stored_plan_is_shown_and_not_made_again(work: UnitOfWork, rules: RuleBase, told: Player) -> None:
    made = plan(work, rules, told)
    shown = current_plan(work, told, TODAY)
    assert shown is not None
    assert (shown.plan, shown.items) == (made.plan, made.items)


def test_made_again_nothing_changes(work: UnitOfWork, rules: RuleBase, told: Player) -> None:
    first, second = plan(work, rules, told), plan(work, rules, told)
    assert [(i.day, i.start_minute, i.ref) for i in first.items] == [
        (i.day, i.start_minute, i.ref) for i in second.items
    ]
    assert [i.uid for i in first.items] == [i.uid for i in second.items]
    assert {i.sequence for i in second.items} == {0}


def test_a_missed_day_moves_little_and_blames_nobody(work: UnitOfWork, rules: RuleBase, told: Player) -> None:
    first = plan(work, rules, told)
    later = TODAY + timedelta(days=2)
    second = plan(work, rules, told, later, days=26)
    missed = [i for i in work.plan_items.all(player_id=told.id) if i.status is ItemStatus.MISSED]
    assert {i.day for i in missed} == {TODAY + timedelta(days=1)}
    before = {(i.day, i.ref) for i in first.items if i.day >= later and i.kind is ItemKind.DRILL}
    after = {(i.day, i.ref) for i in second.items if i.kind is ItemKind.DRILL}
    assert len(before - after) <= 1


def test_what_was_done_stays_done(work: UnitOfWork, rules: RuleBase, told: Player) -> None:
    plan(work, rules, told)
    tuesday = TODAY + timedelta(days=1)
    item = next(i for i in items_on(work, told, tuesday) if i.kind is ItemKind.DRILL)
    evening = datetime.combine(tuesday, NOW.time(), NOW.tzinfo)
    practice.record(work, told, item.ref, ItemKind.DRILL, 5, 10, now=evening, today=tuesday)
    kept = work.plan_items.one(player_id=told.id, id=item.id)
    assert kept is not None
    assert kept.status is ItemStatus.DONE
    plan(work, rules, told, tuesday)
    again = work.plan_items.one(player_id=told.id, id=item.id)
    assert again == kept


def test_calendar_entries_keep_their_ids_count_changes_and_are_cancelled(
    work: UnitOfWork, rules: RuleBase, told: Player
) -> None:
    first = plan(work, rules, told)
    freetimes.remove(work, told, "2")  # Saturdays go
    second = plan(work, rules, told)
    saturdays = {i.uid for i in first.items if i.day.weekday() == 5}
    gone = [i for i in work.plan_items.all(player_id=told.id) if i.status is ItemStatus.CANCELLED]
    assert {i.uid for i in gone} == saturdays
    assert {i.sequence for i in gone} == {1}
    assert not saturdays & {i.uid for i in second.items}
    freetimes.tell(work, told, "Sat 10:00 one hour", today=TODAY)
    third = plan(work, rules, told)
    assert {i.sequence for i in third.items if i.uid in saturdays} == {2}
    assert not [i for i in work.plan_items.all(player_id=told.id) if i.status is ItemStatus.CANCELLED]


def test_moving_to_another_time_zone_counts_as_a_change(
    work: UnitOfWork, rules: RuleBase, told: Player
) -> None:
    plan(work, rules, told)
    moved = work.players.put(replace(told, time_zone="America/Chicago"))
    assert {i.sequence for i in plan(work, rules, moved).items} == {1}


def test_a_match_stands_in_the_plan_and_freezes_the_days_before(
    work: UnitOfWork, rules: RuleBase, told: Player
) -> None:
    day = TODAY + timedelta(days=12)
    work.matches.add(Match(told.id, RecordId("m1"), day, 1140, "League, home"))
    made = plan(work, rules, told)
    (match,) = [i for i in made.items if i.kind is ItemKind.MATCH]
    assert (match.day, match.ref, match.why) == (day, "m1", "League, home")
    new = set(rules.faults["head.lifts"].drills)
    assert not [i for i in made.items if i.ref in new and timedelta(0) <= day - i.day <= timedelta(days=7)]


def test_the_stored_items_keep_every_hard_rule(work: UnitOfWork, rules: RuleBase, told: Player) -> None:
    work.matches.add(Match(told.id, RecordId("m1"), TODAY + timedelta(days=12), 1140))
    made = plan(work, rules, told, wishes=[Wish("change", 4)])
    request = request_for(
        known_of(work, told), rules, now=NOW, today=TODAY, days=28, wishes=[Wish("change", 4)]
    )
    slots = {slot_uid(told, slot.day, slot.start): slot.start for slot in request.slots}
    placed = [
        Placed(i.day, i.start_minute, int(i.minutes), i.kind, i.ref, i.why, slots[i.uid])
        for i in made.items
        if i.kind is not ItemKind.MATCH
    ]
    assert broken_rules(request, placed) == []


def test_without_free_time_it_says_how_to_tell(work: UnitOfWork, rules: RuleBase, player: Player) -> None:
    with pytest.raises(NoPlan) as caught:
        plan(work, rules, player)
    assert "plainball free" in caught.value.hint


@pytest.mark.parametrize("days", [0, -1, 121])
def test_impossible_lengths_are_refused(work: UnitOfWork, rules: RuleBase, told: Player, days: int) -> None:
    with pytest.raises(BadInput):
        plan(work, rules, told, days=days)


def test_looks_come_from_sightings_and_re_checks(work: UnitOfWork, told: Player) -> None:
    see(work, told, "head.lifts", 1, Polarity.ABSENT)
    practice.record(work, told, "head.lifts", ItemKind.RECHECK, 7, 10, now=NOW, today=TODAY)
    looks = looks_of(known_of(work, told), "head.lifts", TODAY)
    assert [look.clean for look in looks] == [False, False, True, False]
    due = {each.fault: each for each in follow_ups(known_of(work, told), TODAY)}
    assert due["head.lifts"].why.startswith("It came back on 4 May")


def test_marking_an_item(work: UnitOfWork, rules: RuleBase, told: Player) -> None:
    item: PlanItem = plan(work, rules, told).items[0]
    mark(work, item, ItemStatus.DONE)
    assert items_on(work, told, item.day)[0].status is ItemStatus.DONE


def test_a_day_that_falls_out_moves_only_itself(work: UnitOfWork, rules: RuleBase, told: Player) -> None:
    first = plan(work, rules, told)
    freetimes.tell(work, told, "not on Thursday", today=TODAY)
    second = plan(work, rules, told)
    thursday = TODAY + timedelta(days=3)
    assert not [i for i in second.items if i.day == thursday]
    before = {(i.day, i.ref) for i in first.items if i.day != thursday and i.kind is ItemKind.DRILL}
    after = {(i.day, i.ref) for i in second.items if i.kind is ItemKind.DRILL}
    assert len(before - after) <= 1
