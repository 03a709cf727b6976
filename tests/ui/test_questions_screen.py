"""The questions screen loses nothing that was typed, and tells the coach apart from the pupil."""

from __future__ import annotations

import pytest

from journal.desk import Desk
from journal.players import add_player, choose_player
from journal.records import Player, Question
from journal.store.work import new_id
from journal.ui.widgets.note_area import NoteArea

from .conftest import NOON, Opened, screen_text, settle, type_in, until

WORDS = "I keep miscuing on the rail"


async def questions(pilot) -> None:
    await pilot.press("q")
    await until(pilot, lambda: type(pilot.app.screen).__name__ == "QuestionsScreen")
    await settle(pilot)


def kept(desk: Desk) -> list[Question]:
    with desk.store.work() as work:
        return work.questions.all(order="asked_at")


@pytest.fixture
def asked(desk: Desk, tamsin: Player) -> Question:
    """A question that came in and is not answered."""
    with desk.store.work() as work:
        question = work.questions.add(Question(tamsin.id, new_id(), NOON, "Why do I miss long ones?", "Well"))
        work.commit()
    return question


@pytest.mark.usefixtures("tamsin")
@pytest.mark.parametrize("way", ["escape", "f2", "quit"])
async def test_a_question_that_was_not_stored_is_kept_on_every_way_out(
    opened: Opened, desk: Desk, way: str
) -> None:
    async with opened() as pilot:
        await questions(pilot)
        await type_in(pilot, WORDS)
        if way != "quit":
            await pilot.press(way)
            await settle(pilot)
            assert f"kept as it is: {WORDS}" in " ".join(screen_text(pilot).split())
    assert [(each.text, each.reply, each.sent_at) for each in kept(desk)] == [(WORDS, "", None)]
    async with opened() as pilot:
        await questions(pilot)
        assert "1 to answer" in screen_text(pilot)
        pilot.app.screen.query_one("#questions").focus()
        await pilot.press("down", "enter")
        await settle(pilot)
        assert pilot.app.screen.query_one("#question", NoteArea).text == WORDS


async def test_a_reply_that_was_not_stored_is_kept_with_its_question(
    opened: Opened, desk: Desk, asked: Question
) -> None:
    async with opened() as pilot:
        await questions(pilot)
        pilot.app.screen.query_one("#questions").focus()
        await pilot.press("down", "enter")
        await settle(pilot)
        await pilot.press("end")
        await type_in(pilot, ", look longer")
        await pilot.press("escape", "escape")
        await settle(pilot)
        assert type(pilot.app.screen).__name__ == "TodayScreen"
    (found,) = kept(desk)
    assert (found.id, found.text, found.reply) == (asked.id, asked.text, "Well, look longer")


@pytest.mark.usefixtures("tamsin")
async def test_a_reply_without_a_question_yet_is_kept_and_its_question_can_follow(
    opened: Opened, desk: Desk
) -> None:
    async with opened() as pilot:
        await questions(pilot)
        await pilot.press("tab")
        await type_in(pilot, "Stay down")
        await pilot.press("escape")
        await settle(pilot)
        await questions(pilot)
        assert "no question yet" in screen_text(pilot)
    assert [(each.text, each.reply) for each in kept(desk)] == [("", "Stay down")]


async def test_nothing_new_is_stored_when_nothing_was_changed(
    opened: Opened, desk: Desk, asked: Question
) -> None:
    async with opened() as pilot:
        await questions(pilot)
        await type_in(pilot, "  ")
        await pilot.press("escape")
        await settle(pilot)
        assert type(pilot.app.screen).__name__ == "TodayScreen"
        assert "kept as it is" not in screen_text(pilot)
    assert kept(desk) == [asked]


async def test_opening_another_question_keeps_what_was_written(
    opened: Opened, desk: Desk, asked: Question
) -> None:
    async with opened() as pilot:
        await questions(pilot)
        await type_in(pilot, WORDS)
        pilot.app.screen.query_one("#questions").focus()
        await pilot.press("home", "enter")
        await settle(pilot)
        assert pilot.app.screen.query_one("#question", NoteArea).text == asked.text
    assert {each.text for each in kept(desk)} == {asked.text, WORDS}


@pytest.mark.usefixtures("tamsin")
async def test_a_draft_of_an_empty_question_leaves_no_thinking_behind(opened: Opened) -> None:
    async with opened() as pilot:
        await questions(pilot)
        await pilot.press("f5")
        await settle(pilot)
        assert "the question has no words" in screen_text(pilot)
        assert "thinking" not in screen_text(pilot)
        assert "0 to answer" in screen_text(pilot)


async def test_what_the_coach_has_to_think_of_stands_beside_the_reply(opened: Opened, desk: Desk) -> None:
    with desk.store.work() as work:
        pupil = add_player(work, "Pip", now=NOON, birth_year=2012, guardian_consent="mother, 3 May")
        choose_player(work, pupil)
        work.commit()
    async with opened((100, 40)) as pilot:
        await questions(pilot)
        await type_in(pilot, WORDS)
        await pilot.press("f5")
        await settle(pilot)
        reply = pilot.app.screen.query_one("#reply", NoteArea).text
        assert "I have not seen you play" in reply
        assert "guardian" not in reply
        assert "for you, not sent: Under 18" in " ".join(screen_text(pilot).split())
        await pilot.press("ctrl+s")
        await settle(pilot)
    assert [each.reply for each in kept(desk)] == [reply]
