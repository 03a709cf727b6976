"""Plan and free times: nothing falls out unasked, and what was done stays."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import OptionList

from journal import freetimes
from journal.desk import Desk
from journal.notes import add_sighting
from journal.plans import make_plan
from journal.records import FreeTime, ItemKind, ItemStatus, Player

from .conftest import NOON, Opened, screen_text, settle

TODAY = date(2026, 5, 12)  # a Tuesday
EARLIER = NOON - timedelta(hours=1)


@pytest.fixture
def planned(desk: Desk, tamsin: Player) -> Player:
    """Tamsin with a fault, two times a week and a plan."""
    with desk.store.work() as work:
        add_sighting(work, tamsin, "head.lifts", TODAY)
        freetimes.tell(work, tamsin, "Tue and Thu 19:00, 45 min", today=TODAY)
        freetimes.tell(work, tamsin, "2026-05-16 10:00, 30 min", today=TODAY)
        make_plan(tamsin, work=work, rules=desk.rules, now=EARLIER, today=TODAY, relax=True)
        work.commit()
    return tamsin


def free(desk: Desk, player: Player) -> list[FreeTime]:
    with desk.store.work() as work:
        return work.free_times.all(order="first_day", player_id=player.id)


async def see(pilot: Pilot[Any], *keys: str) -> str:
    for key in keys:
        await pilot.press(key)
        await settle(pilot)
    return " ".join(screen_text(pilot).split())


async def test_a_day_falls_out_only_after_a_yes_and_what_was_done_on_it_stays(
    opened: Opened, desk: Desk, planned: Player
) -> None:
    async with opened((100, 40)) as pilot:
        await see(pilot, "l")
        plan = pilot.app.screen
        done = plan.item
        assert done.day == TODAY
        await see(pilot, "d")
        before = [item and item.id for item in plan._items]
        assert "Not on Tue 12 May: plan around that day?" in await see(pilot, "x")
        await see(pilot, "n")
        assert [item and item.id for item in plan._items] == before
        await see(pilot, "x", "y")
        left = [item for item in plan._items if item is not None and item.day == TODAY]
        assert [(item.id, item.status) for item in left] == [(done.id, ItemStatus.DONE)]
        await see(pilot, "d")
        assert (plan.item.id, plan.item.status) == (done.id, ItemStatus.OPEN), "the tick can be taken back"
        assert "not on Tue 12 May, all day" in await see(pilot, "t")


async def test_the_list_of_times_shows_which_line_x_would_take_out(
    opened: Opened, desk: Desk, planned: Player
) -> None:
    async with opened() as pilot:
        await see(pilot, "l", "t", "tab")
        known = pilot.app.screen.query_one(OptionList)
        assert known.has_focus
        assert known.highlighted == 0
        assert "Take this time out, with all its days?" in await see(pilot, "x")
        await see(pilot, "n")
        assert len(free(desk, planned)) == 2, "a no takes nothing out"
        await see(pilot, "down", "x")
        assert [each.rule for each in free(desk, planned)] == ["FREQ=WEEKLY;BYDAY=TU,TH"], (
            "one day needs no yes"
        )
        assert known.highlighted == 0
        await see(pilot, "x", "y")
        assert free(desk, planned) == []


def test_planning_anew_shows_what_was_ticked_off(desk: Desk, planned: Player) -> None:
    with desk.store.work() as work:
        item = next(
            each
            for each in work.plan_items.all(player_id=planned.id, day=TODAY)
            if each.kind is ItemKind.DRILL
        )
        from journal.plans import mark

        mark(work, item, ItemStatus.DONE)
        made = make_plan(planned, work=work, rules=desk.rules, now=NOON, today=TODAY, relax=True)
        again = make_plan(planned, work=work, rules=desk.rules, now=NOON, today=TODAY, relax=True)
    for each in (made, again):
        assert [one.id for one in each.items if one.status is ItemStatus.DONE] == [item.id]
