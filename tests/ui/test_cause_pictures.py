"""A picture beside the check to be done, where the rules allow one."""

from __future__ import annotations

from typing import Any

import pytest
from textual.pilot import Pilot

from journal.desk import Desk
from journal.notes import add_sighting
from journal.players import change_player
from journal.records import Player

from .conftest import NOON, Opened, screen_text, settle, until


async def cause(pilot: Pilot[Any]) -> None:
    await pilot.press("c")
    await until(pilot, lambda: "Do this check" in screen_text(pilot))
    await settle(pilot)


def seen(desk: Desk, player: Player, fault: str) -> None:
    with desk.store.work() as work:
        change_player(work, player, now=NOON, hand_mm=185.0)
        add_sighting(work, player, fault, NOON.date())
        work.commit()


async def test_one_key_shows_the_picture_in_the_rankings_place_and_the_ranking_again(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    seen(desk, tamsin, "bridge.too_long")
    async with opened() as pilot:
        await cause(pilot)
        assert "Measure the bridge" in screen_text(pilot)
        assert "the bridge is far" in screen_text(pilot)
        assert "picture / ranking" in screen_text(pilot)
        await pilot.press("v")
        await settle(pilot)
        shown = screen_text(pilot)
        assert "370" in shown, "two of this player's own hand lengths, in mm"
        assert "W white" in shown
        assert "the bridge is far" not in shown
        await pilot.press("v")
        await settle(pilot)
        assert "the bridge is far" in screen_text(pilot)
        assert "W white" not in screen_text(pilot)


async def test_a_tall_screen_shows_both_at_once(opened: Opened, desk: Desk, tamsin: Player) -> None:
    seen(desk, tamsin, "contact.cushion_miscue")
    async with opened((120, 40)) as pilot:
        await cause(pilot)
        shown = screen_text(pilot)
        assert "Tap the butt on the rail bridge" in shown
        assert "W white" in shown
        assert "the butt is not raised" in shown
        assert "picture / ranking" not in shown


async def test_a_check_without_a_picture_has_neither_picture_nor_key(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    seen(desk, tamsin, "head.lifts")
    for size in ((80, 24), (120, 40)):
        async with opened(size) as pilot:
            await cause(pilot)
            assert pilot.app.screen._found.picture is None
            assert not pilot.app.screen.query_one("#picture").display
            assert "picture / ranking" not in screen_text(pilot)
            await pilot.press("v")
            await settle(pilot)
            assert pilot.app.screen.query_one("#causes").display


async def test_the_next_check_begins_with_the_ranking_again(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    seen(desk, tamsin, "bridge.too_long")
    async with opened() as pilot:
        await cause(pilot)
        await pilot.press("v")
        await settle(pilot)
        before = pilot.app.screen._found.check
        await pilot.press("1")
        await settle(pilot)
        assert pilot.app.screen._found.check != before
        assert pilot.app.screen.query_one("#causes").display


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
@pytest.mark.parametrize("fault", ["bridge.too_long", "contact.cushion_miscue", "stance.narrow"])
async def test_no_picture_is_wider_than_its_side(
    opened: Opened, desk: Desk, tamsin: Player, fault: str, size: tuple[int, int]
) -> None:
    seen(desk, tamsin, fault)
    async with opened(size) as pilot:
        await cause(pilot)
        await pilot.press("v")
        await settle(pilot)
        screen = pilot.app.screen
        picture = screen.query_one("#picture")
        assert picture.display
        drawn = [row for row in str(picture.render()).splitlines() if any("⠀" <= sign <= "⣿" for sign in row)]
        assert len(drawn) >= 3
        assert max(map(len, drawn)) <= picture.content_size.width
        assert not [w for w in screen.walk_children() if w.is_container and w.show_horizontal_scrollbar]
