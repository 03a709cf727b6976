"""While pain is noted the caution stands on every screen, and nothing at the table is proposed."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from journal import freetimes
from journal.attention import who_needs_a_look
from journal.care import AT_REST, HURTS, NO_CHECKS, barred_checks, pain_noted, table_again
from journal.desk import Desk
from journal.diagnosis import answer_check, diagnose_player, verdict_parts
from journal.notes import add_sighting
from journal.plans import make_plan
from journal.prescription import PAIN_CAUTION
from journal.records import ItemKind, Player, Polarity, Sighting
from journal.store.work import new_id
from knowledge.rulebase import RuleBase

from .conftest import NOON, Opened, screen_text, settle, until

TODAY = NOON.date()


def words_of(pilot: Pilot[Any]) -> str:
    return " ".join(screen_text(pilot).split())


async def go(pilot: Pilot[Any], key: str, screen: str) -> None:
    await pilot.press(key)
    await until(pilot, lambda: type(pilot.app.screen).__name__ == screen)
    await settle(pilot)


def saw(desk: Desk, player: Player, fault: str, ago: int = 0, polarity: Polarity = Polarity.PRESENT) -> None:
    with desk.store.work() as work:
        add_sighting(work, player, fault, TODAY - timedelta(days=ago), polarity=polarity)
        work.commit()


def pain(desk: Desk, player: Player) -> date | None:
    with desk.store.work() as work:
        return pain_noted(work, player)


async def test_the_cause_screen_shows_the_caution_and_no_check_that_loads_the_body(
    opened: Opened, desk: Desk, tamsin: Player, rules: RuleBase
) -> None:
    for fault in ("stance.strain", "head.lifts", "contact.cushion_miscue"):
        saw(desk, tamsin, fault)
    barred = barred_checks(rules)
    async with opened() as pilot:
        assert PAIN_CAUTION in words_of(pilot)
        await go(pilot, "c", "CauseScreen")
        for _ in range(20):
            check = pilot.app.screen._found.check
            assert check not in barred
            assert PAIN_CAUTION in words_of(pilot)
            assert NO_CHECKS in words_of(pilot)
            if check is None:
                break
            await pilot.press("x")
            await settle(pilot)
        assert pilot.app.screen._found.check is None
        await pilot.press("m")
        await settle(pilot)
        assert pilot.app.screen._found.check not in barred


async def test_saying_that_a_check_hurts_ends_the_checks_until_it_is_taken_back(
    opened: Opened, desk: Desk, tamsin: Player, rules: RuleBase
) -> None:
    for fault in ("head.lifts", "stance.stands_tall"):
        saw(desk, tamsin, fault)
    async with opened() as pilot:
        await go(pilot, "c", "CauseScreen")
        first = pilot.app.screen._found.check
        assert first in barred_checks(rules)
        assert "! Care" not in words_of(pilot)
        with desk.store.work() as work:
            answer_check(work, rules, tamsin, "check.comfort_hold", "hold_hurts", now=NOON)
            work.commit()
        await pilot.press("escape")
        await until(pilot, lambda: PAIN_CAUTION in words_of(pilot))
        await go(pilot, "c", "CauseScreen")
        assert PAIN_CAUTION in words_of(pilot)
        assert NO_CHECKS in words_of(pilot)
        assert pilot.app.screen._found.check not in barred_checks(rules)
        await pilot.press("b")
        await settle(pilot)
        assert "taken back: Hold the address without a shot" in words_of(pilot)
        assert "! Care" not in words_of(pilot)
        assert pilot.app.screen._found.check == first


async def test_the_plan_screen_shows_the_caution_and_holds_back_what_was_planned_before(
    opened: Opened, desk: Desk, tamsin: Player, rules: RuleBase
) -> None:
    saw(desk, tamsin, "head.lifts", 2)
    with desk.store.work() as work:
        freetimes.tell(work, tamsin, "every day 19:00, 45 min", today=TODAY)
        make_plan(tamsin, work=work, rules=rules, now=NOON, today=TODAY, days=14)
        work.commit()
    async with opened() as pilot:
        await go(pilot, "l", "PlanScreen")
        assert "! Care" not in words_of(pilot)
        assert "waits" not in words_of(pilot)
    saw(desk, tamsin, "stance.strain")
    async with opened() as pilot:
        await go(pilot, "l", "PlanScreen")
        assert PAIN_CAUTION in words_of(pilot)
        assert "m plans anew without it" in words_of(pilot)
        assert "while it hurts" in str(pilot.app.screen.query_one("#why", Static).content)
        await pilot.press("m")
        await settle(pilot)
        assert PAIN_CAUTION in words_of(pilot)
        assert "m plans anew without it" not in words_of(pilot)
        held = (ItemKind.DRILL, ItemKind.RECHECK)
        days = [item.day for item in pilot.app.screen._items if item is not None and item.kind in held]
        assert days
        assert min(days) >= table_again(TODAY)


@pytest.mark.usefixtures("tamsin")
async def test_the_plan_screen_shows_the_caution_before_there_is_a_plan(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    saw(desk, tamsin, "stance.strain")
    async with opened() as pilot:
        await go(pilot, "l", "PlanScreen")
        assert PAIN_CAUTION in words_of(pilot)


def test_pain_told_by_a_check_counts_until_later_words_say_it_is_gone(
    desk: Desk, tamsin: Player, rules: RuleBase
) -> None:
    ((check, hurts),) = HURTS
    with desk.store.work() as work:
        answer_check(work, rules, tamsin, check, hurts, now=NOON - timedelta(days=3))
        answer_check(work, rules, tamsin, check, "hold_easy", now=NOON - timedelta(days=1))
        work.commit()
    assert pain(desk, tamsin) == TODAY - timedelta(days=3)
    saw(desk, tamsin, "stance.strain", 3, Polarity.ABSENT)
    assert pain(desk, tamsin) == TODAY - timedelta(days=3), "the words of the same day may be the older ones"
    saw(desk, tamsin, "stance.strain", 2, Polarity.ABSENT)
    assert pain(desk, tamsin) is None


def test_the_checks_that_stay_are_done_sitting(rules: RuleBase) -> None:
    for id_ in AT_REST:
        check = rules.checks[id_]
        assert not check.at_table
        assert not any(
            word in check.do.lower() for word in ("address", "stance", "swing", "go down", "get down")
        )
    for id_, outcome in HURTS:
        assert outcome in [each.id for each in rules.checks[id_].outcomes]


@pytest.mark.parametrize(
    "faults", [(), ("head.lifts",), ("bridge.too_long", "contact.cushion_miscue", "head.lifts")]
)
def test_a_verdict_is_said_once(desk: Desk, tamsin: Player, rules: RuleBase, faults: tuple[str, ...]) -> None:
    for fault in faults:
        for ago in range(3):
            saw(desk, tamsin, fault, ago)
    with desk.store.work() as work:
        found = diagnose_player(work, rules, tamsin, today=TODAY)
        line = ": ".join(verdict_parts(found))
    assert line.count(": ") <= 1
    assert not line.startswith(f"{found.verdict}: {found.verdict}")
    assert found.reason in line


def test_one_open_sighting_is_one_sighting(desk: Desk, tamsin: Player, rules: RuleBase) -> None:
    for number, words in ((1, "1 sighting not answered"), (2, "2 sightings not answered")):
        with desk.store.work() as work:
            work.sightings.add(Sighting(tamsin.id, new_id(), None, TODAY, "head.lifts", Polarity.PRESENT))
            assert work.sightings.count() == number
            work.commit()
            (look,) = who_needs_a_look(work, rules, TODAY, NOON)
        assert words in look.reasons
