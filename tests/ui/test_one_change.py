"""The one change as the screens show it: days in words, figures that stand apart, nothing left over."""

from __future__ import annotations

import pytest
from textual.content import Content
from textual.widgets import Static

from journal.changes import running, start_change
from journal.desk import Desk
from journal.notes import NoteWords, add_sighting, answer, take_note
from journal.records import Player, SightingStatus
from journal.ui.screens.one_change import OneChange
from journal.ui.screens.progress_parts import Figures, Line, chart, gather, lines

from .conftest import NOON, Opened, screen_text, settle

TODAY = NOON.date()


async def test_a_second_change_is_refused_without_a_stray_sign_and_with_the_day_in_words(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    with desk.store.work() as work:
        add_sighting(work, tamsin, "contact.cushion_miscue", TODAY)
        start_change(work, desk.rules, tamsin, today=TODAY, cause="cause.chalk_neglect")
        work.commit()
    async with opened() as pilot:
        await pilot.app.push_screen(OneChange("cause.chalk_neglect"))
        await settle(pilot)
        assert "one change runs until Mon 1 Jun" in screen_text(pilot)
        assert str(pilot.app.screen.query_one("#change", Static).render()) == ""


async def test_a_change_begun_on_the_screen_keeps_the_moment(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    with desk.store.work() as work:
        add_sighting(work, tamsin, "contact.cushion_miscue", TODAY)
        work.commit()
    async with opened() as pilot:
        await pilot.app.push_screen(OneChange("cause.chalk_neglect"))
        await settle(pilot)
        await pilot.press("y")
        await settle(pilot)
    with desk.store.work() as work:
        change = running(work, tamsin)
    assert change is not None
    assert change.started_at == NOON


@pytest.mark.parametrize("room", [40, 74, 94, 134])
@pytest.mark.parametrize("figures", ["5.5 a session (1.9–11.0)", "15.5 a session (11.9–21.0)", "1 of 2"])
def test_what_is_told_stands_apart_from_the_figures(room: int, figures: str) -> None:
    row = Line("head.lifts", "lifts the head", figures, "too few notes", (), "per session", False)
    (line,) = lines(Figures((row,), None, Content(""), ""), room)
    assert f"{figures}  " in line.plain
    assert line.plain.endswith("  too few notes")


def test_the_rate_says_what_it_rests_on(desk: Desk, tamsin: Player) -> None:
    """Five told give 5.5 a session: Jeffreys' prior adds a half (a Gamma(1/2, 0) prior; shape k + 1/2)."""
    take_note(
        NoteWords(went_wrong="kept lifting my head, five times"),
        tamsin,
        store=desk.store,
        reader=desk.reader,
        now=NOON,
        played_at=NOON,
    )
    with desk.store.work() as work:
        (sighting,) = work.sightings.all()
        answer(work, sighting, SightingStatus.CONFIRMED)
        work.commit()
        figures = gather(work, desk.rules, tamsin, TODAY, 100)
    assert figures.rows[0].figures.startswith("5.5 a session")
    said = " ".join(chart(figures, 0, 60).split())
    assert "Told 5 times in 1 note. The rate starts half a time higher" in said
