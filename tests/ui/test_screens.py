"""Promises of the screens that look up, plan and remember: each answers its question at a glance."""

from __future__ import annotations

from datetime import date

import pytest
from textual.widgets import Input

from journal import freetimes
from journal.changes import start_change
from journal.desk import Desk
from journal.notes import add_sighting
from journal.players import find_player
from journal.records import Player, SightingStatus

from .conftest import NOON, Opened, go, screen_text, settle, type_in, until

TODAY = date(2026, 5, 12)


async def test_the_first_start_asks_only_for_a_name(opened: Opened, desk: Desk) -> None:
    async with opened() as pilot:
        assert "first name" in screen_text(pilot)
        assert len(pilot.app.screen.query(Input)) == 1
        await type_in(pilot, "Tamsin")
        await pilot.press("enter")
        await until(pilot, lambda: "Last time you wrote" in screen_text(pilot))
    with desk.store.work() as work:
        assert find_player(work, None).name == "Tamsin"


async def test_an_empty_name_is_refused_with_a_hint(opened: Opened) -> None:
    async with opened() as pilot:
        await pilot.press("space", "enter")
        await settle(pilot)
        assert "cannot be a player's name" in screen_text(pilot)


@pytest.mark.usefixtures("month")
async def test_today_shows_the_last_resolve_first(opened: Opened) -> None:
    async with opened() as pilot:
        lines = screen_text(pilot).splitlines()
        assert "Last time you wrote" in lines[2]
        assert "back foot on the line" in lines[3]


@pytest.mark.usefixtures("month")
async def test_today_says_what_is_slipping(opened: Opened) -> None:
    async with opened() as pilot:
        assert "Slipping" in screen_text(pilot)


async def test_today_lists_what_is_due_and_the_running_change(
    opened: Opened, desk: Desk, month: Player
) -> None:
    with desk.store.work() as work:
        freetimes.tell(work, month, "Tue and Thu 19:00, 45 min", today=TODAY)
        start_change(work, desk.rules, month, today=TODAY, cause="cause.chalk_neglect")
        from journal.plans import make_plan

        make_plan(month, work=work, rules=desk.rules, now=NOON, today=TODAY, relax=True)
        work.commit()
    async with opened() as pilot:
        shown = screen_text(pilot)
        assert "One change" in shown
        assert "day 1 of" in shown
        assert "Due today" in shown


@pytest.mark.usefixtures("month")
async def test_history_opens_a_note_on_enter(opened: Opened) -> None:
    async with opened() as pilot:
        await go(pilot, "h", "HistoryScreen")
        assert "miscues with the white" in screen_text(pilot)
        await pilot.press("tab")
        await go(pilot, "enter", "PastNoteScreen")
        assert "head came up four times" in screen_text(pilot)


@pytest.mark.usefixtures("tamsin")
async def test_look_up_finds_as_it_is_typed_and_opens_an_entry(opened: Opened) -> None:
    async with opened() as pilot:
        await go(pilot, "f", "LookUpScreen")
        await type_in(pilot, "miscue on the rail")
        await settle(pilot)
        assert pilot.app.screen._hits[0].id == "contact.cushion_miscue"
        await pilot.press("enter")
        await settle(pilot)
        assert "What it is" in screen_text(pilot)


@pytest.mark.usefixtures("tamsin")
async def test_links_are_followed_by_number_and_the_way_goes_back_and_forward(opened: Opened) -> None:
    async with opened() as pilot:
        pilot.app.go("look up", "head.lifts")
        await settle(pilot)
        page = pilot.app.screen._page
        wanted = page.links[1]
        await pilot.press("0", "2") if len(page.links) >= 20 else await pilot.press("2")
        await until(pilot, lambda: pilot.app.screen._page.id == wanted)
        await pilot.press("b")
        await until(pilot, lambda: pilot.app.screen._page.id == "head.lifts")
        await pilot.press("v")
        await until(pilot, lambda: pilot.app.screen._page.id == wanted)


async def test_this_is_me_adds_a_confirmed_sighting(opened: Opened, desk: Desk, tamsin: Player) -> None:
    async with opened() as pilot:
        pilot.app.go("look up", "head.lifts")
        await settle(pilot)
        await pilot.press("t")
        await settle(pilot)
        assert "noted for Tamsin" in screen_text(pilot)
    with desk.store.work() as work:
        (sighting,) = work.sightings.all(player_id=tamsin.id)
    assert (sighting.fault, sighting.status, sighting.day) == ("head.lifts", SightingStatus.CONFIRMED, TODAY)


async def test_a_drill_is_put_into_the_plan_and_an_entry_printed(
    opened: Opened, desk: Desk, month: Player
) -> None:
    with desk.store.work() as work:
        freetimes.tell(work, month, "Tue and Thu 19:00, 60 min", today=TODAY)
        work.commit()
    async with opened() as pilot:
        pilot.app.go("look up", "drill.freeze_finish")
        await settle(pilot)
        await pilot.press("a")
        await settle(pilot)
        assert "in the plan" in screen_text(pilot)
        await pilot.press("p")
        await settle(pilot)
    with desk.store.work() as work:
        assert work.plan_items.count(player_id=month.id, ref="drill.freeze_finish") >= 1
    assert (desk.folder / "sheets" / "drill.freeze_finish.pdf").read_bytes().startswith(b"%PDF")


async def test_free_times_told_in_words_become_a_plan(opened: Opened, desk: Desk, month: Player) -> None:
    async with opened() as pilot:
        await go(pilot, "l", "PlanScreen")
        assert "no plan yet" in screen_text(pilot)
        await pilot.press("t")
        await settle(pilot)
        await type_in(pilot, "Tue and Thu 19:00, 45 min")
        await pilot.press("enter")
        await settle(pilot)
        assert "noted: free every Tue Thu" in " ".join(screen_text(pilot).split())
        await pilot.press("escape")
        await settle(pilot)
        await until(pilot, lambda: "planned:" in screen_text(pilot))
        assert "Why:" in screen_text(pilot)
    with desk.store.work() as work:
        days = {item.day for item in work.plan_items.all(player_id=month.id)}
    assert days
    assert all(day.weekday() in (1, 3) for day in days)


async def test_a_day_that_falls_out_is_planned_around(opened: Opened, desk: Desk, month: Player) -> None:
    with desk.store.work() as work:
        freetimes.tell(work, month, "Tue and Thu 19:00, 45 min", today=TODAY)
        work.commit()
    async with opened() as pilot:
        await go(pilot, "l", "PlanScreen")
        await pilot.press("m")
        await settle(pilot)
        lost = pilot.app.screen.item.day
        await pilot.press("x", "y")
        await settle(pilot)
        assert all(item is None or item.day != lost for item in pilot.app.screen._items)
        await pilot.press("i", "p")
        await settle(pilot)
    assert b"BEGIN:VCALENDAR" in (desk.folder / "sheets" / "plan-Tamsin.ics").read_bytes()
    assert (desk.folder / "sheets" / "plan-Tamsin.pdf").exists()


async def test_players_in_pain_come_first_with_the_reason(opened: Opened, desk: Desk, month: Player) -> None:
    from journal.players import add_player

    with desk.store.work() as work:
        other = add_player(work, "Rolf", now=NOON)
        add_sighting(work, other, "stance.strain", TODAY)
        work.commit()
    async with opened(named=month.name) as pilot:
        await go(pilot, "y", "PlayersScreen")
        lines = screen_text(pilot).splitlines()
        assert "Rolf" in lines[3]
        assert "pain or strain" in lines[4]


@pytest.mark.usefixtures("tamsin")
async def test_an_under_18_needs_a_guardians_consent(opened: Opened, desk: Desk) -> None:
    async with opened((100, 40)) as pilot:
        await go(pilot, "y", "PlayersScreen")
        await pilot.press("a")
        await settle(pilot)
        await type_in(pilot, "Ivo")
        await pilot.press("tab")
        await type_in(pilot, "2012")
        await pilot.press("ctrl+s")
        await settle(pilot)
        assert "may be under 18" in screen_text(pilot)
        assert "safeguarding" in screen_text(pilot)
        await pilot.press("tab")
        await type_in(pilot, "mother, 3 May")
        await pilot.press("ctrl+s")
        await settle(pilot)
        assert "Ivo is kept" in screen_text(pilot)
    with desk.store.work() as work:
        assert find_player(work, "Ivo").guardian_consent == "mother, 3 May"
