"""What was said to the sightings of an unfinished note comes back with it, as long as the words stand."""

from __future__ import annotations

from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, OptionList

from journal.desk import Desk
from journal.notes import NoteWords, open_draft, save_draft
from journal.records import Player, Polarity, SightingStatus
from journal.ui.answers import Said
from journal.ui.screens.choose_fault import ChooseFault, fitting
from journal.ui.screens.note import NoteScreen
from journal.ui.screens.past_note import PastNoteScreen
from journal.ui.widgets.note_area import NoteArea
from journal.ui.widgets.sighting_list import SightingList

from .conftest import NOON, Opened, screen_text, settle, type_in, until

HEAD = "kept lifting my head on the long ones, about five times"
TWO = f"{HEAD}. Miscued twice with the white on the cushion"


async def begin(pilot: Pilot[Any], rows: int) -> SightingList:
    await pilot.press("n")
    await until(pilot, lambda: isinstance(pilot.app.screen, NoteScreen) and pilot.app.screen._restored)
    await settle(pilot)
    listing = pilot.app.screen.query_one(SightingList)
    await until(pilot, lambda: len(listing.rows) == rows)
    return listing


@pytest.fixture
def drafted(desk: Desk, tamsin: Player) -> Player:
    """Tamsin with an unfinished note of two sightings."""
    with desk.store.work() as work:
        save_draft(work, tamsin, NoteWords(went_wrong=TWO), NOON)
    return tamsin


def told(listing: SightingList) -> dict[str, tuple[str, Polarity, Said]]:
    return {row.read_as: (row.fault, row.polarity, row.said) for row in listing.rows}


@pytest.mark.usefixtures("drafted")
async def test_answers_come_back_after_leaving_and_in_a_new_start_and_reach_the_note(
    opened: Opened, desk: Desk
) -> None:
    async with opened() as pilot:
        listing = await begin(pilot, 2)
        await pilot.press("f2", "b", "down", "x")
        await settle(pilot)
        said = told(listing)
        assert said["head.lifts"] == ("head.lifts", Polarity.BETTER, Said.CORRECTED)
        assert said["contact.cushion_miscue"][2] is Said.DROPPED
        await pilot.press("escape")
        await settle(pilot)
        assert not isinstance(pilot.app.screen, NoteScreen)
        assert told(await begin(pilot, 2)) == said
    async with opened() as pilot:
        assert told(await begin(pilot, 2)) == said
        await pilot.press("ctrl+s")
        await until(pilot, lambda: isinstance(pilot.app.screen, PastNoteScreen))
    with desk.store.work() as work:
        stored = {each.fault: (each.polarity, each.status) for each in work.sightings.all()}
    assert stored["head.lifts"] == (Polarity.BETTER, SightingStatus.CONFIRMED)
    assert stored["contact.cushion_miscue"][1] is SightingStatus.DROPPED


@pytest.mark.usefixtures("drafted")
async def test_a_corrected_fault_comes_back_when_the_program_was_left_at_once(opened: Opened) -> None:
    async with opened() as pilot:
        listing = await begin(pilot, 2)
        await pilot.press("f2", "c")
        await settle(pilot)
        await type_in(pilot, "snatched jerky")
        await pilot.press("enter")
        await settle(pilot)
        said = told(listing)
        assert said["head.lifts"] == ("delivery.snatch", Polarity.PRESENT, Said.CORRECTED)
    async with opened() as pilot:
        assert told(await begin(pilot, 2)) == said


async def test_an_answer_goes_with_its_words(opened: Opened, desk: Desk, drafted: Player) -> None:
    async with opened() as pilot:
        listing = await begin(pilot, 2)
        await pilot.press("f2", "k", "k")
        await settle(pilot)
        area = pilot.app.screen.query_one("#went_wrong", NoteArea)
        area.load_text(TWO.removeprefix(f"{HEAD}. "))
        await until(pilot, lambda: len(listing.rows) == 1)
        await settle(pilot)
        area.load_text(TWO)
        await until(pilot, lambda: len(listing.rows) == 2)
        said = told(listing)
        assert said["head.lifts"][2] is Said.OPEN, "the words went, and their answer with them"
        assert said["contact.cushion_miscue"][2] is Said.KEPT
        await pilot.press("escape")
        await settle(pilot)
    with desk.store.work() as work:
        draft = open_draft(work, drafted)
    assert draft is not None
    assert [each.read_as for each in draft.answers] == ["contact.cushion_miscue"]


async def choosing(pilot: Pilot[Any]) -> None:
    await begin(pilot, 2)
    await pilot.press("f2", "c")
    await until(pilot, lambda: isinstance(pilot.app.screen, ChooseFault))
    await settle(pilot)


@pytest.mark.usefixtures("drafted")
async def test_words_that_fit_no_fault_take_nothing_on_enter(opened: Opened) -> None:
    async with opened() as pilot:
        await choosing(pilot)
        screen = pilot.app.screen
        assert screen.query_one(OptionList).highlighted == 0, "the guesses stand there at first"
        assert "nothing fits" not in screen_text(pilot)
        await type_in(pilot, "zz")
        await pilot.press("enter")
        await settle(pilot)
        await pilot.press("enter")
        await settle(pilot)
        assert pilot.app.screen is screen
        assert "nothing fits: other words?" in screen_text(pilot)
        assert screen.query_one(OptionList).option_count == 1, "only: no fault at all"
        screen.query_one(Input).value = "snatched"
        await settle(pilot)
        assert "nothing fits" not in screen_text(pilot)
        await pilot.press("enter")
        await settle(pilot)
        assert isinstance(pilot.app.screen, NoteScreen)
        listing = pilot.app.screen.query_one(SightingList)
        assert told(listing)["head.lifts"][0] == "delivery.snatch"


@pytest.mark.usefixtures("drafted")
async def test_no_fault_at_all_can_still_be_taken_where_nothing_fits(opened: Opened) -> None:
    async with opened() as pilot:
        await choosing(pilot)
        await type_in(pilot, "qwrt")
        await settle(pilot)
        await pilot.press("down", "enter")
        await settle(pilot)
        listing = pilot.app.screen.query_one(SightingList)
        assert told(listing)["head.lifts"][0] == "none"


@pytest.mark.parametrize(
    "typed", ["zz", "zzz", "z", "xx", "qwrt", "asdf ghjk", "pizza", "blue suede shoes", "the"]
)
def test_nonsense_fits_no_fault(desk: Desk, typed: str) -> None:
    hits = desk.lookup.search(typed, 9, kinds={"fault"})
    assert fitting(typed, hits, desk.reader.guesses(typed, 3)) == []


@pytest.mark.parametrize(
    ("typed", "fault"),
    [
        ("bri", "bridge.unstable"),
        ("head", "head.lifts"),
        ("tip", "gear.tip"),
        ("stif", "stance.strain"),
        ("snatched jerky", "delivery.snatch"),
        ("nose up early", "head.lifts"),
        ("pulled across the ball", "delivery.across"),
        ("nerves", "mind.tension"),
    ],
)
def test_half_typed_and_free_words_find_their_fault(desk: Desk, typed: str, fault: str) -> None:
    hits = desk.lookup.search(typed, 9, kinds={"fault"})
    assert fault in [hit.id for hit in fitting(typed, hits, desk.reader.guesses(typed, 3))]
