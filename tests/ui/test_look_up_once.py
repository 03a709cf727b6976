"""A fault that is "me" twice on one day is noted once."""

from __future__ import annotations

import pytest

from journal.desk import Desk
from journal.records import Player

from .conftest import Opened, screen_text, settle


@pytest.mark.parametrize("presses", [("t",), ("t", "t")])
async def test_the_second_this_is_me_of_a_day_stores_nothing(
    opened: Opened, desk: Desk, tamsin: Player, presses: tuple[str, ...]
) -> None:
    async with opened() as pilot:
        pilot.app.go("look up", "head.lifts")
        await settle(pilot)
        await pilot.press(*presses)
        await settle(pilot)
        said = "already noted today for Tamsin" if len(presses) > 1 else "noted for Tamsin"
        assert said in screen_text(pilot)
    with desk.store.work() as work:
        assert work.sightings.count(player_id=tamsin.id) == 1
