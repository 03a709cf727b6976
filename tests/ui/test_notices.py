"""Notices hold nobody up: Esc puts an error away first, a plain message goes by itself."""

from __future__ import annotations

import pytest

from journal.desk import Desk
from journal.notes import NoteWords, answer, take_note
from journal.records import Player, SightingStatus
from journal.ui.widgets.frame import Notice

from .conftest import NOON, Opened, settle

pytestmark = pytest.mark.usefixtures("tamsin")


async def test_escape_leaves_at_once_while_a_plain_message_is_shown(opened: Opened) -> None:
    async with opened() as pilot:
        await pilot.press("l")
        await settle(pilot)
        pilot.app.screen.tell("written", "somewhere")
        await pilot.press("escape")
        await settle(pilot)
        assert type(pilot.app.screen).__name__ == "TodayScreen"


async def test_escape_puts_an_error_away_and_stays(opened: Opened) -> None:
    async with opened() as pilot:
        await pilot.press("l")
        await settle(pilot)
        pilot.app.screen.tell("it went wrong", error=True)
        await pilot.press("escape")
        await settle(pilot)
        assert type(pilot.app.screen).__name__ == "PlanScreen"
        assert not pilot.app.screen.query_one(Notice).shown
        await pilot.press("escape")
        await settle(pilot)
        assert type(pilot.app.screen).__name__ == "TodayScreen"


async def test_a_plain_message_goes_at_the_next_key_that_does_something(opened: Opened) -> None:
    async with opened() as pilot:
        await pilot.press("l")
        await settle(pilot)
        notice = pilot.app.screen.query_one(Notice)
        pilot.app.screen.tell("written")
        await pilot.press("z")
        assert notice.shown, "z does nothing here"
        await pilot.press("f9")
        assert not notice.shown
        pilot.app.screen.tell("it went wrong", error=True)
        await pilot.press("f9")
        assert notice.shown, "an error stays until it was read"


async def test_what_a_key_says_itself_is_not_put_away_by_it(opened: Opened) -> None:
    async with opened() as pilot:
        await pilot.press("p")
        await settle(pilot)
        pilot.app.screen.tell("from before")
        await pilot.press("o")
        await settle(pilot)
        notice = pilot.app.screen.query_one(Notice)
        assert notice.shown
        assert "mixed order is" in str(notice.render())


async def test_escape_shows_all_notes_again_before_it_leaves(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    for words in ("kept lifting my head on the long ones", "a quiet evening"):
        taken = take_note(NoteWords(went_wrong=words), tamsin, store=desk.store, reader=desk.reader, now=NOON)
        with desk.store.work() as work:
            for each in taken.sightings:
                answer(work, each, SightingStatus.CONFIRMED)
            work.commit()
    async with opened() as pilot:
        await pilot.press("h")
        await settle(pilot)
        screen = pilot.app.screen
        await pilot.press("enter")
        await settle(pilot)
        assert len(screen._shown) == 1
        await pilot.press("escape")
        await settle(pilot)
        assert pilot.app.screen is screen
        assert len(screen._shown) == 2
        await pilot.press("escape")
        await settle(pilot)
        assert type(pilot.app.screen).__name__ == "TodayScreen"
