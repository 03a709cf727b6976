"""From the likeliest cause over the one change to practice, progress and answers, on the screens."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from textual.widgets import OptionList

from journal.changes import running, start_change
from journal.desk import Desk
from journal.notes import add_sighting
from journal.practice import record
from journal.records import ItemKind, Player
from journal.ui.widgets.big_score import BigScore
from journal.ui.widgets.note_area import NoteArea
from knowledge.entries import Check, Outcome

from .conftest import NOON, Opened, go, screen_text, settle, type_in

TODAY = date(2026, 5, 12)


@pytest.mark.usefixtures("month")
async def test_the_cause_screen_asks_one_check_and_moves_with_the_answer(opened: Opened, desk: Desk) -> None:
    async with opened() as pilot:
        await go(pilot, "c", "CauseScreen")
        found = pilot.app.screen._found
        check = found.diagnosis.next_check.check
        before = {cause.id: cause.probability for cause in found.diagnosis.causes}
        assert check.name in " ".join(screen_text(pilot).split())
        await pilot.press("1")
        await settle(pilot)
        after = {cause.id: cause.probability for cause in pilot.app.screen._found.diagnosis.causes}
        assert before != after
        with desk.store.work() as work:
            (result,) = work.check_results.all()
        assert (result.check_id, result.outcome_id) == (check.id, check.outcomes[0].id)
        await pilot.press("b")
        await settle(pilot)
    with desk.store.work() as work:
        assert work.check_results.count() == 0


@pytest.mark.usefixtures("month")
async def test_a_check_that_cannot_be_done_is_passed_over_and_comes_back(opened: Opened) -> None:
    async with opened() as pilot:
        await go(pilot, "c", "CauseScreen")
        first = pilot.app.screen._found.diagnosis.next_check.check.id
        await pilot.press("x")
        await settle(pilot)
        assert pilot.app.screen._found.diagnosis.next_check.check.id != first
        await pilot.press("b")
        await settle(pilot)
        assert pilot.app.screen._found.diagnosis.next_check.check.id == first


async def test_a_cause_becomes_the_one_change_and_a_second_is_refused(
    opened: Opened, desk: Desk, month: Player
) -> None:
    async with opened((100, 40)) as pilot:
        await go(pilot, "c", "CauseScreen")
        await pilot.press("c")
        await settle(pilot)
        assert "Its aim:" in screen_text(pilot)
        with desk.store.work() as work:
            assert running(work, month) is None, "looking at a change does not begin it"
        await pilot.press("y")
        await settle(pilot)
        with desk.store.work() as work:
            change = running(work, month)
        assert change is not None
        assert change.started_on == TODAY
        await pilot.press("c")
        await settle(pilot)
        assert "one change runs until" in screen_text(pilot)


async def test_every_ball_is_on_disk_before_the_drill_ends(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    async with opened() as pilot:
        pilot.app.go("practise", "drill.freeze_finish")
        await settle(pilot)
        await pilot.press("right", "h", "left", "right")
        await settle(pilot)
        assert pilot.app.screen.query_one(BigScore).score == "3/4"
        with desk.store.work() as work:
            (result,) = work.results.all(player_id=tamsin.id)
        assert (result.hits, result.tries, result.open) == (3, 4, True)
        await pilot.press("u")
        await settle(pilot)
        assert pilot.app.screen.query_one(BigScore).score == "2/3"


async def test_an_interrupted_drill_is_offered_first_and_goes_on(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    async with opened() as pilot:
        pilot.app.go("practise", "drill.freeze_finish")
        await settle(pilot)
        await pilot.press("right", "right")
        await settle(pilot)
    async with opened() as pilot:
        await go(pilot, "p", "PractiseScreen")
        assert "Interrupted" in screen_text(pilot)
        await pilot.press("enter")
        await settle(pilot)
        await pilot.press("left")
        await settle(pilot)
        assert pilot.app.screen.query_one(BigScore).score == "2/3"
        await pilot.press("enter")
        await settle(pilot)
    with desk.store.work() as work:
        (result,) = work.results.all(player_id=tamsin.id)
    assert (result.hits, result.tries, result.open) == (2, 3, False)


async def test_progress_shows_spread_and_ends_the_change_after_a_yes(
    opened: Opened, desk: Desk, month: Player
) -> None:
    with desk.store.work() as work:
        for ago, hits in ((12, 4), (8, 6), (3, 8)):
            when = NOON - timedelta(days=ago)
            record(work, month, "drill.freeze_finish", ItemKind.DRILL, hits, 10, now=when, today=when.date())
        start_change(work, desk.rules, month, today=TODAY, cause="cause.chalk_neglect")
        work.commit()
    async with opened((100, 40)) as pilot:
        await go(pilot, "g", "ProgressScreen")
        shown = screen_text(pilot)
        assert "18 of 30" in shown
        assert "an hour (" in shown
        assert "with 95 % spread" in shown
        await pilot.press("x", "y")
        await settle(pilot)
        assert "the change is dropped" in screen_text(pilot)
    with desk.store.work() as work:
        assert running(work, month) is None


@pytest.mark.usefixtures("tamsin")
async def test_what_if_moves_with_each_key_and_names_what_cannot_be(opened: Opened) -> None:
    async with opened() as pilot:
        await go(pilot, "w", "TableScreen")
        before = screen_text(pilot)
        assert "chance" in before
        await pilot.press("right", "right")
        await settle(pilot)
        assert screen_text(pilot) != before
        await pilot.press("m", *["shift+right"] * 12)
        await settle(pilot)
        assert "overlaps" in screen_text(pilot) or "off the table" in screen_text(pilot)
        await pilot.press("r")
        await settle(pilot)
        assert "chance" in screen_text(pilot)


@pytest.mark.usefixtures("month")
async def test_a_question_gets_a_draft_that_is_kept_and_sent(opened: Opened, desk: Desk) -> None:
    async with opened((100, 40)) as pilot:
        await go(pilot, "q", "QuestionsScreen")
        await type_in(pilot, "I keep miscuing when the white is on the rail")
        await pilot.press("f5")
        await settle(pilot)
        reply = pilot.app.screen.query_one("#reply", NoteArea).text
        assert "I have not seen you play" in reply
        await pilot.press("f4")
        await settle(pilot)
    with desk.store.work() as work:
        (question,) = work.questions.all()
    assert question.reply == reply
    assert question.sent_at == NOON


PLAYERS = {
    "misses the cushion ball, cue kept flat": (
        ("contact.cushion_miscue", "bridge.cushion_poor", "delivery.butt_low"),
        "cause.butt_kept_flat",
    ),
    "hunched, stands too near": (
        ("stance.cramped", "bridge.arm_cramped", "bridge.too_short"),
        "cause.too_near_ball",
    ),
    "push strokes on close balls": (
        ("contact.push_stroke", "contact.push_stroke", "delivery.backswing_long"),
        "cause.close_ball_unlearned",
    ),
    "wavers, bridge too far away": (
        ("delivery.cue_wavers", "bridge.too_long", "bridge.too_long"),
        "cause.bridge_too_far",
    ),
}
"""Player: what three notes reported, and the cause that is really there."""
WEIGHT = {"++": 2, "+": 1, "-": -1, "--": -2}


def truthful(check: Check, cause: str) -> int:
    """The key of the outcome that somebody with this cause alone would see."""

    def fits(outcome: Outcome) -> tuple[int, int]:
        others = sum(WEIGHT[sign] for id_, sign in outcome.signs.items() if id_ != cause)
        return WEIGHT.get(outcome.signs.get(cause, ""), 0), -others

    return 1 + max(range(len(check.outcomes)), key=lambda n: fits(check.outcomes[n]))


@pytest.mark.parametrize("who", PLAYERS)
async def test_a_worked_player_ends_in_the_right_change_in_three_checks(
    opened: Opened, desk: Desk, tamsin: Player, who: str
) -> None:
    """The four players of the trade's worked cases: three notes, at most three checks, one change."""
    faults, cause = PLAYERS[who]
    with desk.store.work() as work:
        for ago, fault in enumerate(faults):
            add_sighting(work, tamsin, fault, TODAY - timedelta(days=ago))
        work.commit()
    async with opened((120, 40)) as pilot:
        await go(pilot, "c", "CauseScreen")
        for _ in range(3):
            found = pilot.app.screen._found.diagnosis
            if found.verdict == "settled":
                break
            await pilot.press(str(truthful(found.next_check.check, cause)))
            await settle(pilot)
        found = pilot.app.screen._found.diagnosis
        assert found.causes[0].id == cause
        assert found.verdict == "settled"
        pilot.app.screen.query_one("#causes", OptionList).highlighted = 0
        await pilot.press("c")
        await settle(pilot)
        await pilot.press("y")
        await settle(pilot)
    with desk.store.work() as work:
        change = running(work, tamsin)
    assert change is not None
    assert change.cause == cause
