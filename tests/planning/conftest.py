"""A journal with one invented player, and the shipped rules."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import settings

from journal.desk import Desk
from journal.players import add_player
from journal.records import Player
from journal.store.work import UnitOfWork
from knowledge.rulebase import RuleBase, load_rules

settings.register_profile("busy machine", deadline=None)
settings.load_profile("busy machine")

NOW = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)  # a Monday


@pytest.fixture(scope="session")
def rules() -> RuleBase:
    return load_rules()


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
