"""The practise screen's ways out, its pause, and how drills in points are scored."""

from __future__ import annotations

import pytest

from journal import practice
from journal.desk import Desk
from journal.records import ItemKind, Player
from journal.ui.widgets.big_score import BigScore
from journal.ui.widgets.frame import KeyLine

from .conftest import NOON, Opened, screen_text, settle, until

DRILL, OTHER, MIXABLE = "drill.freeze_finish", "drill.still_body", "drill.close_ball_legal"
TODAY = NOON.date()


async def scoring(pilot, ref: str) -> None:
    pilot.app.go("practise", ref)
    await until(pilot, lambda: type(pilot.app.screen).__name__ == "PractiseScreen")
    await settle(pilot)
    assert pilot.app.screen.going is not None


async def test_escape_in_a_running_drill_goes_to_the_list_and_keeps_the_tries(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    async with opened() as pilot:
        await scoring(pilot, DRILL)
        await pilot.press("h", "m", "escape")
        await settle(pilot)
        assert type(pilot.app.screen).__name__ == "PractiseScreen"
        assert pilot.app.screen.query_one("#choose").display
        assert "1 of 2 so far" in screen_text(pilot)
        with desk.store.work() as work:
            (result,) = work.results.all(player_id=tamsin.id)
        assert (result.tries, result.open) == (2, True)
        await pilot.press("enter", "h")
        await settle(pilot)
        assert pilot.app.screen.query_one(BigScore).score == "2/3"
        await pilot.press("escape")
        await settle(pilot)
        await pilot.press("escape")
        await until(pilot, lambda: type(pilot.app.screen).__name__ == "TodayScreen")


async def test_a_drill_left_without_a_try_is_dropped(opened: Opened, desk: Desk, tamsin: Player) -> None:
    async with opened() as pilot:
        await scoring(pilot, DRILL)
        await pilot.press("h", "u", "escape")
        await settle(pilot)
        assert "Interrupted" not in screen_text(pilot)
        assert "nothing was scored" in screen_text(pilot)
    with desk.store.work() as work:
        assert work.results.count(player_id=tamsin.id) == 0


async def test_a_mix_left_without_a_try_is_dropped_and_one_with_a_try_stays_whole(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    from journal import mixing

    for pressed, left in ((), 0), (("h",), 2):
        with desk.store.work() as work:
            mixing.start(work, desk.rules, tamsin, (OTHER, MIXABLE), now=NOON, today=TODAY)
        async with opened() as pilot:
            await pilot.press("p")
            await until(pilot, lambda: "0 of 20 tries" in screen_text(pilot))
            await pilot.press("enter")
            await settle(pilot)
            await pilot.press(*pressed, "escape")
            await settle(pilot)
        with desk.store.work() as work:
            assert work.results.count(player_id=tamsin.id, open=True) == left


async def test_an_empty_drill_that_a_stopped_program_left_is_not_offered(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    with desk.store.work() as work:
        practice.start(work, tamsin, DRILL, ItemKind.DRILL, now=NOON, today=TODAY)
    async with opened() as pilot:
        await pilot.press("p")
        await until(pilot, lambda: type(pilot.app.screen).__name__ == "PractiseScreen")
        await settle(pilot)
        assert "Interrupted" not in screen_text(pilot)
        await pilot.press("escape")
        await settle(pilot)
        await scoring(pilot, DRILL)
        await pilot.press("h")
        await settle(pilot)
    with desk.store.work() as work:
        (result,) = work.results.all(player_id=tamsin.id)
    assert result.tries == 1, "the empty one is gone"


async def test_every_interrupted_drill_is_offered(opened: Opened, desk: Desk, tamsin: Player) -> None:
    with desk.store.work() as work:
        for ref in (DRILL, OTHER):
            begun = practice.start(work, tamsin, ref, ItemKind.DRILL, now=NOON, today=TODAY)
            practice.ball(work, begun, True)
    async with opened() as pilot:
        await pilot.press("p")
        await until(pilot, lambda: screen_text(pilot).count("Interrupted") == 2)


@pytest.mark.usefixtures("tamsin")
@pytest.mark.parametrize("key", ["h", "m"])
async def test_a_try_ends_the_pause(opened: Opened, key: str) -> None:
    async with opened() as pilot:
        await scoring(pilot, DRILL)
        await pilot.press("p")
        await settle(pilot)
        assert "paused" in screen_text(pilot).splitlines()[0]
        stood = pilot.app.screen._seconds
        await pilot.press(key)
        await settle(pilot)
        assert "paused" not in screen_text(pilot).splitlines()[0]
        await until(pilot, lambda: pilot.app.screen._seconds > stood, seconds=5)


@pytest.mark.usefixtures("tamsin")
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_drill_in_points_says_how_to_score_it_beside_the_target(
    opened: Opened, size: tuple[int, int]
) -> None:
    async with opened(size) as pilot:
        await scoring(pilot, DRILL)
        for keys in ((), ("h", "h", "m")):
            await pilot.press(*keys)
            await settle(pilot)
            shown = " ".join(screen_text(pilot).replace("█", " ").split())
            for words in ("each point that could be won, 2 a shot", "h won, m not won", "15 of 20 points"):
                assert words in shown
        assert pilot.app.screen.query_one(BigScore).score == "2/3"


@pytest.mark.usefixtures("tamsin")
@pytest.mark.parametrize(
    ("ref", "two"), [(DRILL, False), ("drill.call_number", False), ("drill.safety_duel", True)]
)
async def test_points_for_two_are_offered_only_where_two_play_for_points(
    opened: Opened, ref: str, two: bool
) -> None:
    async with opened((120, 40)) as pilot:
        await scoring(pilot, ref)
        assert ("point one" in str(pilot.app.screen.query_one(KeyLine).render())) is two
        await pilot.press("a")
        await settle(pilot)
        assert pilot.app.screen.query_one(BigScore).score == ("1:0" if two else "0/0")
