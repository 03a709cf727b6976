"""Scores and measures of a stored note: a wrong number is put right, what was not meant is dropped."""

from __future__ import annotations

from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from journal.desk import Desk
from journal.notes import NoteWords, take_note
from journal.records import Figure, Player
from journal.ui.screens.noted_figures import NotedFigures, corrected
from journal.ui.screens.past_note import PastNoteScreen

from .conftest import NOON, Opened, screen_text, settle, type_in, until

SAID = "Bridge about 35 cm. 7 out of 10 on the long blues."


@pytest.fixture
def noted(desk: Desk, tamsin: Player) -> str:
    """A stored note with a measure and a score."""
    taken = take_note(
        NoteWords(went_wrong=SAID), tamsin, store=desk.store, reader=desk.reader, now=NOON, played_at=NOON
    )
    assert {(each.kind, each.value) for each in taken.figures} == {("measure", 35), ("score", 7)}
    return taken.note.id


def figures(desk: Desk) -> dict[str, tuple[float, float | None]]:
    with desk.store.work() as work:
        return {each.kind: (each.value, each.of) for each in work.figures.all()}


async def choose(pilot: Pilot[Any], note: str, kind: str) -> None:
    """Open the note's figures with the first or second of them chosen."""
    pilot.app.go("past note", note)
    await until(pilot, lambda: isinstance(pilot.app.screen, PastNoteScreen) and pilot.app.screen._page)
    await settle(pilot)
    await pilot.press("f")
    await until(pilot, lambda: isinstance(pilot.app.screen, NotedFigures))
    await settle(pilot)
    kinds = [each.kind for each in pilot.app.screen._figures]
    await pilot.press(*["down"] * kinds.index(kind))


async def test_a_number_is_put_right(opened: Opened, desk: Desk, noted: str) -> None:
    async with opened() as pilot:
        await choose(pilot, noted, "score")
        await pilot.press("c")
        await type_in(pilot, "11 of 10")
        await pilot.press("enter")
        await settle(pilot)
        assert "does not fit" in screen_text(pilot)
        assert figures(desk)["score"] == (7, 10)
        pilot.app.screen.query_one(Input).value = ""
        await type_in(pilot, "8 of 12")
        await pilot.press("enter")
        await until(pilot, lambda: "8 of 12" in screen_text(pilot))
    assert figures(desk) == {"score": (8, 12), "measure": (35, None)}


async def test_what_was_not_meant_is_dropped(opened: Opened, desk: Desk, noted: str) -> None:
    async with opened() as pilot:
        await choose(pilot, noted, "measure")
        await pilot.press("x")
        await until(pilot, lambda: "35 cm  “" not in screen_text(pilot) and "7 of 10" in screen_text(pilot))
    assert figures(desk) == {"score": (7, 10)}


async def test_escape_leaves_the_number_then_the_list(opened: Opened, desk: Desk, noted: str) -> None:
    async with opened() as pilot:
        await choose(pilot, noted, "score")
        await pilot.press("c", "escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, NotedFigures)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PastNoteScreen)
    assert figures(desk) == {"score": (7, 10), "measure": (35, None)}


@pytest.mark.parametrize(
    ("unit", "of", "said", "right"),
    [
        (None, 10.0, "8", (8, 10)),
        (None, None, "34", (34, None)),
        (None, None, "8/10", (8, 10)),
        ("cm", None, "31,5", (31.5, None)),
        ("cm", None, "3 of 4", None),
        (None, 10.0, "11", None),
        (None, None, "eight or so", None),
        (None, None, "", None),
        (None, None, "-3", None),
    ],
)
def test_what_may_be_said(unit: str | None, of: float | None, said: str, right: tuple[float, float] | None):
    figure = Figure("p", "f", "n", NOON.date(), "measure" if unit else "score", 3, of, unit)  # type: ignore[arg-type]
    found = corrected(figure, said)
    assert (found and (found.value, found.of)) == right
