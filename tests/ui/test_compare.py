"""The compare screen: players, answers and cues side by side."""

from __future__ import annotations

from datetime import timedelta

import pytest

from journal import table_trial
from journal.desk import Desk
from journal.players import add_player
from journal.practice import record
from journal.records import ItemKind, Player

from .conftest import NOON, Opened, screen_text, settle

DRILL, ARM = "drill.bottle_neck", "dilemma.bridge_arm"


@pytest.fixture
def scored(desk: Desk, tamsin: Player) -> None:
    """Tamsin and Benno at one drill, and a trial of Tamsin's."""
    with desk.store.work() as work:
        benno = add_player(work, "Benno", now=NOON)
        for ago, who, hits in ((9, tamsin, 4), (4, tamsin, 5), (3, benno, 7)):
            when = NOON - timedelta(days=ago)
            record(work, who, DRILL, ItemKind.DRILL, hits, 10, now=when, today=when.date())
        trial = table_trial.begin(work, desk.rules, tamsin, ARM, now=NOON, today=NOON.date(), tries=10)
        while trial.next_setting is not None:
            trial = table_trial.score(work, trial, trial.next_setting != 2 and trial.result.tries % 3 > 0)
        table_trial.finish(work, trial)
        work.commit()


@pytest.mark.usefixtures("scored")
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_answers_and_players_stand_side_by_side(opened: Opened, size: tuple[int, int]) -> None:
    async with opened(size, "Tamsin") as pilot:
        await pilot.press("g")
        await settle(pilot)
        await pilot.press("c")
        await settle(pilot)
        own = screen_text(pilot)
        for word in ("straight arm", "slightly bent", "clearly bent", "more tries of each would"):
            assert word in own
        axis = next(line for line in own.splitlines() if "┤" in line and "%" in line)
        assert axis.count("100 %") == 3, "one column for each answer"
        await pilot.press("y")
        await settle(pilot)
        both = screen_text(pilot)
        assert "with Benno" in both
        assert "Tamsin 9/20, Benno 7/10" in both
        assert "Cannot tell yet: about" in both
        assert "more tries each would" in both
        assert max(map(len, both.splitlines())) <= size[0]
        await pilot.press("Y")
        await settle(pilot)
        assert "own answers" in screen_text(pilot)
        await pilot.press("o")
        await settle(pilot)
        assert type(pilot.app.screen).__name__ == "LookUpScreen"


@pytest.mark.usefixtures("tamsin")
async def test_with_nothing_to_compare_it_says_what_would_help(opened: Opened) -> None:
    async with opened() as pilot:
        await pilot.press("g")
        await settle(pilot)
        await pilot.press("c")
        await settle(pilot)
        shown = screen_text(pilot)
        assert "nothing to compare yet" in shown
        assert "with the next player" not in shown
