"""The real app under its pilot, on a real SQLite file, with the real rules and the real recogniser."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from textual import events
from textual.pilot import Pilot

from journal.desk import Desk
from journal.notes import NoteWords, answer, take_note
from journal.players import add_player
from journal.records import Player, SightingStatus
from journal.ui.app import JournalApp
from knowledge.lookup.search import Lookup, shipped_lookup
from knowledge.reading.reader import Reader
from knowledge.rulebase import RuleBase

NOON = datetime(2026, 5, 12, 12, 0, tzinfo=UTC)
KEYS = {" ": "space", "\n": "enter", "\t": "tab"}
NOTES = (
    (20, "miscued twice with the white on the cushion", "chalk every shot"),
    (15, "miscued three times when tight on the cushion", "raise the butt"),
    (9, "kept lifting my head on the long ones, about five times", "stay down"),
    (5, "miscued again with the white tight on the rail", "raise the butt on the rail"),
    (2, "head came up four times, miscued off the cushion", "back foot on the line before I bend down"),
)
Opened = Callable[..., AbstractAsyncContextManager[Pilot[Any]]]


@pytest.fixture(scope="session")
def lookup(rules: RuleBase) -> Lookup:
    """The look-up over the shipped rules, made once."""
    return shipped_lookup(rules)


@pytest.fixture
def desk(tmp_path: Path, rules: RuleBase, reader: Reader, lookup: Lookup) -> Iterator[Desk]:
    """A desk on an empty journal; its clock stands at noon on 12 May 2026."""
    made = Desk(tmp_path / "journal.db", clock=lambda: NOON)
    made.__dict__.update({"rules": rules, "reader": reader, "lookup": lookup})
    yield made
    made.close()


@pytest.fixture
def tamsin(desk: Desk) -> Player:
    """The journal's only player."""
    with desk.store.work() as work:
        player = add_player(work, "Tamsin", now=NOON)
        work.commit()
    return player


@pytest.fixture
def month(desk: Desk, tamsin: Player) -> Player:
    """Tamsin with a month of notes, all sightings confirmed."""
    for ago, wrong, after in NOTES:
        words, when = NoteWords("", wrong, after, minutes=60), NOON - timedelta(days=ago)
        taken = take_note(words, tamsin, store=desk.store, reader=desk.reader, now=when)
        with desk.store.work() as work:
            for each in taken.sightings:
                answer(work, each, SightingStatus.CONFIRMED)
            work.commit()
    return tamsin


@pytest.fixture
def opened(desk: Desk) -> Opened:
    """Open the app: ``async with opened() as pilot``."""

    @asynccontextmanager
    async def run(
        size: tuple[int, int] = (80, 24), named: str | None = None, place: Desk | None = None
    ) -> AsyncIterator[Pilot[Any]]:
        app = JournalApp(place or desk, named)
        async with app.run_test(size=size) as pilot:
            await until(pilot, lambda: app.player is not None or len(app.screen_stack) > 1 or app._exit)
            await settle(pilot)
            yield pilot

    return run


async def until(pilot: Pilot[Any], true: Callable[[], object], seconds: float = 20.0) -> None:
    """Wait until something holds; fails when it never does."""
    for _ in range(int(seconds / 0.05)):
        if true():
            return
        await pilot.pause(0.05)
    raise AssertionError(f"still not true after {seconds} s; the screen says:\n{screen_text(pilot)}")


async def settle(pilot: Pilot[Any]) -> None:
    """Wait until nothing is worked on beside the event loop any more."""
    await pilot.pause()
    for _ in range(400):
        if not [worker for worker in pilot.app.workers if not worker.is_finished]:
            break
        await pilot.pause(0.05)
    await pilot.pause()


async def go(pilot: Pilot[Any], key: str, screen: str) -> None:
    await pilot.press(key)
    await until(pilot, lambda: type(pilot.app.screen).__name__ == screen)
    await settle(pilot)


async def type_in(pilot: Pilot[Any], text: str) -> None:
    """Press a key for each letter, without the pilot's waiting after each."""
    for letter in text:
        pilot.app.post_message(events.Key(KEYS.get(letter, letter), letter))
        await asyncio.sleep(0)
    await pilot.pause()


def screen_text(pilot: Pilot[Any]) -> str:
    """What a person reads, line by line."""
    screen = pilot.app.screen
    lines = screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in lines)
