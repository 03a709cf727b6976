"""What every test shares: real rules, the real recogniser, a real journal in a temporary folder, a stopped clock."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import settings

from journal.desk import Desk
from journal.players import add_player
from journal.records import Player
from knowledge.reading.reader import Reader
from knowledge.rulebase import RuleBase, load_rules

settings.register_profile("busy machine", deadline=None)
settings.load_profile("busy machine")

NOW = datetime(2026, 5, 12, 20, 30, tzinfo=UTC)


@pytest.fixture(scope="session")
def rules() -> RuleBase:
    return load_rules()


@pytest.fixture(scope="session")
def reader(rules: RuleBase) -> Reader:
    return Reader(rules)


@pytest.fixture
def desk(tmp_path: Path, rules: RuleBase, reader: Reader) -> Iterator[Desk]:
    """A desk on an empty journal, with the session's rules and recogniser."""
    desk = Desk(tmp_path / "journal.db", clock=lambda: NOW)
    desk.__dict__["rules"] = rules
    desk.__dict__["reader"] = reader
    yield desk
    desk.close()


@pytest.fixture
def player(desk: Desk) -> Player:
    """A club player in the desk's journal."""
    with desk.store.work() as work:
        player = add_player(work, "Ansel", now=NOW, hand_mm=185, height_mm=1760)
        work.commit()
    return player


@pytest.fixture
def plainball(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, str, str]]:
    """The command line in this process, on a journal in the temporary folder: (status, output, errors)."""
    from journal.cli.main import entry

    def run(*words: str) -> tuple[int, str, str]:
        capfd.readouterr()
        try:
            status = entry(["--journal", str(tmp_path / "cli.db"), *words])
        except SystemExit as stop:
            status = int(stop.code or 0)
        out, err = capfd.readouterr()
        return status, out, err

    return run
