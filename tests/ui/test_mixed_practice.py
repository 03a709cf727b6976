"""Several drills in shuffled order on the practise screen: proposed mildly, switched off with one key."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import OptionList

from journal import mixing
from journal.desk import Desk
from journal.records import ItemKind, Plan, PlanItem, Player, Result
from journal.store.work import new_id
from journal.ui.widgets.big_score import BigScore
from journal.ui.widgets.big_words import BigWords
from journal.ui.widgets.frame import KeyLine

from .conftest import NOON, Opened, screen_text, settle, until
from .terminal import Terminal

TODAY = NOON.date()
REFS = ("drill.freeze_finish", "drill.still_body")


@pytest.fixture
def due(desk: Desk, tamsin: Player) -> Player:
    """Tamsin with a re-check and two drills to be done today."""
    kinds = (("head.lifts", ItemKind.RECHECK), *((ref, ItemKind.DRILL) for ref in REFS))
    with desk.store.work() as work:
        plan = work.plans.add(Plan(tamsin.id, new_id(), NOON, TODAY, 7, None, 0.0))
        for n, (ref, kind) in enumerate(kinds):
            work.plan_items.add(
                PlanItem(tamsin.id, new_id(), plan.id, TODAY, 1140 + 10 * n, 10.0, kind, ref, "why", ref)
            )
        work.commit()
    return tamsin


async def practise(pilot: Pilot[Any]) -> OptionList:
    await pilot.press("p")
    await until(pilot, lambda: type(pilot.app.screen).__name__ == "PractiseScreen")
    await settle(pilot)
    return pilot.app.screen.query_one("#choose", OptionList)


def results(desk: Desk, player: Player) -> dict[str, Result]:
    with desk.store.work() as work:
        return {each.ref: each for each in work.results.all(player_id=player.id)}


async def test_todays_drills_are_proposed_mixed_and_the_weak_evidence_is_said(
    opened: Opened, desk: Desk, due: Player
) -> None:
    async with opened() as pilot:
        await practise(pilot)
        shown = screen_text(pilot)
        assert "Mixed: Stay down until it drops" in shown
        assert "in sport its evidence is weak" in shown
        await pilot.press("enter")
        await settle(pilot)
        played: dict[str, list[int]] = {ref: [] for ref in REFS}
        for n in range(8):
            name = pilot.app.screen.going.drills[pilot.app.screen.going._number].id
            assert pilot.app.screen.query_one(BigWords).words.startswith("AB"[REFS.index(name)])
            await pilot.press("h" if n % 2 else "m")
            await settle(pilot)
            played[name].append(n % 2)
        found = results(desk, due)
        assert {ref: found[ref].detail["balls"] for ref in REFS} == played
        await pilot.press("enter")
        await settle(pilot)
        assert "kept: " in screen_text(pilot)
    assert [found.open for found in results(desk, due).values()] == [False, False]


async def test_one_key_switches_the_proposal_off_for_good(opened: Opened, desk: Desk, due: Player) -> None:
    async with opened() as pilot:
        await practise(pilot)
        await pilot.press("o")
        await settle(pilot)
        shown = " ".join(screen_text(pilot).split())
        assert "not proposed any more" in shown
        assert "how weak the evidence is" in shown
        assert "Mixed:" not in shown
    async with opened() as pilot:
        await practise(pilot)
        assert "Mixed:" not in screen_text(pilot)
        await pilot.press("o")
        await settle(pilot)
        assert "Mixed:" in screen_text(pilot)


async def test_drills_marked_by_hand_are_mixed_even_then(opened: Opened, desk: Desk, due: Player) -> None:
    with desk.store.work() as work:
        mixing.prefer(work, due, False)
        work.commit()
    async with opened() as pilot:
        listing = await practise(pilot)
        await pilot.press("x")
        await settle(pilot)
        assert "only drills can be mixed" in screen_text(pilot), "the re-check stays on its own"
        await pilot.press("down", "x")
        await settle(pilot)
        assert "one drill is marked" in screen_text(pilot)
        assert "+ Stay down until it drops" in screen_text(pilot)
        await pilot.press("down", "x")
        await settle(pilot)
        assert "2 drills are marked" in screen_text(pilot)
        await pilot.press("x")
        await settle(pilot)
        assert "Mixed:" not in screen_text(pilot), "a second press takes the mark away"
        await pilot.press("x")
        await settle(pilot)
        await pilot.press("home", "enter")
        await settle(pilot)
        assert "try 1 of 20" in screen_text(pilot)
        assert not listing.display


async def test_an_interrupted_mix_is_offered_first_and_goes_on(
    opened: Opened, desk: Desk, due: Player
) -> None:
    async with opened() as pilot:
        await practise(pilot)
        await pilot.press("enter")
        await settle(pilot)
        await pilot.press("h", "m", "h")
        await settle(pilot)
        await pilot.press("u", "escape")
        await settle(pilot)
    async with opened() as pilot:
        await practise(pilot)
        assert "2 of 20 tries" in screen_text(pilot)
        assert screen_text(pilot).count("Mixed:") == 1
        await pilot.press("enter")
        await settle(pilot)
        assert "try 3 of 20" in screen_text(pilot)


async def test_tries_pressed_just_before_the_end_are_in_the_result(
    opened: Opened, desk: Desk, due: Player
) -> None:
    async with opened() as pilot:
        pilot.app.go("practise", REFS[0])
        await until(pilot, lambda: type(pilot.app.screen).__name__ == "PractiseScreen")
        await settle(pilot)
        screen = pilot.app.screen
        for _ in range(4):
            screen.action_ball(1)
        screen.action_finish()
        await settle(pilot)
    result = results(desk, due)[REFS[0]]
    assert (result.hits, result.tries, result.open) == (4, 4, False)


@pytest.mark.parametrize(
    "wrong", [("a", "b"), ("z", "9", "f10"), ("x", "o", "t", "n"), ("tab", "up", "down")]
)
async def test_wrong_keys_in_a_mix_do_no_harm(
    opened: Opened, desk: Desk, due: Player, wrong: tuple[str, ...]
) -> None:
    async with opened() as pilot:
        await practise(pilot)
        await pilot.press("h", "m", "u", "v", "enter")
        await settle(pilot)
        await pilot.press("h", *wrong)
        await settle(pilot)
        assert type(pilot.app.screen).__name__ == "PractiseScreen"
        assert "try 2 of 20" in screen_text(pilot)
        assert pilot.app._exception is None
    assert sum(each.tries for each in results(desk, due).values()) == 1


@pytest.mark.usefixtures("tamsin")
async def test_with_nothing_planned_the_list_names_the_keys_that_help(opened: Opened) -> None:
    async with opened() as pilot:
        await practise(pilot)
        assert "nothing is planned" in screen_text(pilot)
        await pilot.press("x")
        await settle(pilot)
        assert "only drills can be mixed" in screen_text(pilot)
        await pilot.press("enter", "h")
        await settle(pilot)
        assert pilot.app._exception is None


@pytest.mark.usefixtures("due")
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_mix_fits_both_sizes(opened: Opened, size: tuple[int, int]) -> None:
    async with opened(size) as pilot:
        await practise(pilot)
        await pilot.press("enter")
        await settle(pilot)
        screen = pilot.app.screen
        assert not [w for w in screen.walk_children() if w.is_container and w.show_horizontal_scrollbar]
        assert "weak evidence in sport" in screen_text(pilot)
        keys, picture = screen.query_one(KeyLine), screen.query_one("#picture")
        assert keys.region.bottom == size[1]
        assert picture.display
        assert picture.region.y >= screen.query_one(BigScore).region.bottom


def test_sigkill_in_a_mix_loses_at_most_the_try_being_entered(desk: Desk, due: Player) -> None:
    with desk.store.work() as work:
        mix = mixing.start(work, desk.rules, due, REFS, now=NOON, today=TODAY)
    terminal = Terminal(Path(desk.place), "open")
    try:
        terminal.wait_for("Last time you wrote")
        terminal.press("p")
        terminal.wait_for("0 of 20 tries")
        terminal.press("\r")
        terminal.wait_for("try 1 of 20")
        for number in range(1, 7):
            terminal.press("h")
            terminal.wait_for(f"try {number + 1} of 20")
        terminal.press("h")
    finally:
        terminal.kill()
    with desk.store.work() as work:
        again = mixing.going_on(work, due)
    assert again is not None
    assert again.played in (6, 7)
    assert again.hits == again.played
    assert again.order == mix.order
    counts = [again.order[: again.played].count(n) for n in range(2)]
    assert [part.tries for part in again.parts] == counts, "each try went to the drill whose turn it was"
