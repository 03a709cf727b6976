"""A journal with one invented player on a Monday morning: what the tests of plans and of progress stand on."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from journal.desk import Desk
from journal.players import add_player
from journal.records import Player
from journal.store.work import UnitOfWork

NOW = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)  # a Monday


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    desk = Desk(tmp_path / "j.db", clock=lambda: NOW)
    yield desk
    desk.close()


@pytest.fixture
def work(desk: Desk) -> Iterator[UnitOfWork]:
    with desk.store.work() as work:
        yield work


@pytest.fixture
def player(work: UnitOfWork) -> Player:
    player = add_player(work, "Odalys", now=NOW, time_zone="Europe/Paris")
    work.commit()
    return player
