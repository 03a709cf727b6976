"""Promises of the note screen."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from textual.pilot import Pilot

from journal.desk import Desk
from journal.notes import NoteWords, open_draft, save_draft, take_note
from journal.records import Player, SightingStatus
from journal.ui.app import JournalApp
from journal.ui.screens.note import NoteScreen
from journal.ui.screens.note_parts import spans_by_field
from journal.ui.screens.past_note import PastNoteScreen
from journal.ui.widgets.frame import Notice
from journal.ui.widgets.note_area import NoteArea
from journal.ui.widgets.sighting_list import SightingList

from .conftest import NOON, Opened, screen_text, settle, type_in, until

HEAD = "kept lifting my head on the long ones, about five times"


def fields(pilot: Pilot[Any]) -> dict[str, str]:
    return {area.id: area.text for area in pilot.app.screen.query(NoteArea)}


async def begin(pilot: Pilot[Any]) -> None:
    await pilot.press("n")
    await until(pilot, lambda: isinstance(pilot.app.screen, NoteScreen))
    await settle(pilot)


async def read(pilot: Pilot[Any]) -> SightingList:
    listing = pilot.app.screen.query_one(SightingList)
    await until(pilot, lambda: listing.rows)
    await settle(pilot)
    return listing


@pytest.mark.usefixtures("tamsin")
async def test_sightings_appear_beside_the_words_while_they_are_written(opened: Opened) -> None:
    async with opened() as pilot:
        await begin(pilot)
        await pilot.press("tab")
        await type_in(pilot, HEAD)
        (row,) = (await read(pilot)).rows
        assert (row.fault, row.count) == ("head.lifts", 5)
        assert "5 times" in screen_text(pilot)


@pytest.mark.usefixtures("tamsin")
async def test_the_words_behind_the_selected_sighting_are_underlined(opened: Opened) -> None:
    async with opened() as pilot:
        await begin(pilot)
        await type_in(pilot, "met the lads at six")
        await pilot.press("tab")
        await type_in(pilot, f"{HEAD}. Miscued twice with the white on the cushion")
        listing = await read(pilot)
        await until(pilot, lambda: len(listing.rows) == 2)
        await pilot.press("f2")
        area = pilot.app.screen.query_one("#went_wrong", NoteArea)
        for _ in range(2):
            await settle(pilot)
            ((start, end),) = area._lined
            assert area.text[start:end] == listing.row.words
            assert any("underline" in str(span.style) for span in area.get_line(0).spans)
            await pilot.press("down")


@pytest.mark.usefixtures("tamsin")
async def test_a_sighting_is_kept_and_another_dropped_with_one_key_each(opened: Opened, desk: Desk) -> None:
    async with opened() as pilot:
        await begin(pilot)
        await pilot.press("tab")
        await type_in(pilot, f"{HEAD}. Miscued twice with the white on the cushion")
        listing = await read(pilot)
        await until(pilot, lambda: len(listing.rows) == 2)
        await pilot.press("f2", "k", "x", "ctrl+s")
        await until(pilot, lambda: isinstance(pilot.app.screen, PastNoteScreen))
    with desk.store.work() as work:
        stored = {each.fault: each.status for each in work.sightings.all()}
    assert stored["head.lifts"] is SightingStatus.CONFIRMED
    assert stored["contact.cushion_miscue"] is SightingStatus.DROPPED


async def test_a_corrected_sighting_is_stored_as_the_chosen_fault_and_remembered(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    async with opened() as pilot:
        await begin(pilot)
        await pilot.press("tab")
        await type_in(pilot, HEAD)
        await read(pilot)
        await pilot.press("f2", "c")
        await settle(pilot)
        await type_in(pilot, "snatched jerky")
        await settle(pilot)
        await pilot.press("enter")
        await settle(pilot)
        await pilot.press("ctrl+s")
        await until(pilot, lambda: isinstance(pilot.app.screen, PastNoteScreen))
    with desk.store.work() as work:
        (sighting,) = work.sightings.all()
        (own,) = work.own_utterances.all(player_id=tamsin.id)
    assert sighting.fault.startswith("delivery.")
    assert sighting.status is SightingStatus.CONFIRMED
    assert (own.text, own.fault) == (sighting.words, sighting.fault)


@pytest.mark.usefixtures("tamsin")
async def test_what_was_not_answered_stays_a_suggestion(opened: Opened, desk: Desk) -> None:
    async with opened() as pilot:
        await begin(pilot)
        await pilot.press("tab")
        await type_in(pilot, HEAD)
        await read(pilot)
        await pilot.press("ctrl+s")
        await until(pilot, lambda: isinstance(pilot.app.screen, PastNoteScreen))
        await until(pilot, lambda: "still to answer" in screen_text(pilot))
    with desk.store.work() as work:
        assert [each.status for each in work.sightings.all()] == [SightingStatus.SUGGESTED]


@pytest.mark.usefixtures("tamsin")
@pytest.mark.parametrize("key", ["n", "h"])
async def test_pain_shows_the_caution_and_no_drill(
    opened: Opened, desk: Desk, tamsin: Player, key: str
) -> None:
    if key == "h":
        words = NoteWords(went_wrong="my lower back was killing me and I miscued twice")
        take_note(words, tamsin, store=desk.store, reader=desk.reader, now=NOON)
    async with opened((100, 40)) as pilot:
        if key == "n":
            await begin(pilot)
            await pilot.press("tab")
            await type_in(pilot, "my lower back was killing me and I miscued twice")
            listing = await read(pilot)
            miscue = next(row for row in listing.rows if row.fault == "contact.miscue")
            assert miscue.count == 2
        else:
            await pilot.press("h")
            await settle(pilot)
            await pilot.press("tab", "enter")
            await until(pilot, lambda: isinstance(pilot.app.screen, PastNoteScreen))
            await settle(pilot)
        await until(pilot, lambda: "STOP" in screen_text(pilot))
        shown = " ".join(screen_text(pilot).split())
        assert "physiotherapist" in shown or "physician" in shown
        assert "What may help: pain" not in shown


async def test_the_draft_is_on_disk_within_a_second_of_a_change(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    async with opened() as pilot:
        await begin(pilot)
        await type_in(pilot, "half a sentence")
        await until(pilot, lambda: "draft saved" in screen_text(pilot), seconds=5.0)
        with desk.store.work() as work:
            draft = open_draft(work, tamsin)
    assert draft is not None
    assert draft.went_well == "half a sentence"


async def test_an_unfinished_note_comes_back(opened: Opened, desk: Desk, tamsin: Player) -> None:
    with desk.store.work() as work:
        save_draft(work, tamsin, NoteWords("straight", "lifted", "stay down", minutes=45), NOON)
    async with opened() as pilot:
        assert "unfinished note" in screen_text(pilot)
        await begin(pilot)
        assert fields(pilot) == {"went_well": "straight", "went_wrong": "lifted", "next_time": "stay down"}
        assert pilot.app.screen.words().minutes == 45


@pytest.mark.usefixtures("tamsin")
async def test_leaving_at_once_keeps_what_was_typed(opened: Opened) -> None:
    async with opened() as pilot:
        await begin(pilot)
        await type_in(pilot, "quick")
        await pilot.press("escape")
        await settle(pilot)
        await begin(pilot)
        assert fields(pilot)["went_well"] == "quick"


async def test_a_stored_note_leaves_no_draft(opened: Opened, desk: Desk, tamsin: Player) -> None:
    async with opened() as pilot:
        await begin(pilot)
        await type_in(pilot, "cue was straight")
        await pilot.press("ctrl+s")
        await until(pilot, lambda: isinstance(pilot.app.screen, PastNoteScreen))
        await pilot.pause(1.2)
        with desk.store.work() as work:
            assert open_draft(work, tamsin) is None
            assert work.notes.count() == 1


@pytest.mark.usefixtures("tamsin")
async def test_an_empty_note_is_refused_with_a_hint(opened: Opened, desk: Desk) -> None:
    async with opened() as pilot:
        await begin(pilot)
        await pilot.press("ctrl+s")
        await settle(pilot)
        assert "the note has no words" in screen_text(pilot)
        assert isinstance(pilot.app.screen, NoteScreen)
    with desk.store.work() as work:
        assert work.notes.count() == 0


@pytest.mark.usefixtures("tamsin")
@pytest.mark.parametrize(
    "words", ["[bold]x[/] my head came up", "[red my head came up", "[/] [@click=app.quit]my head[/]"]
)
async def test_markup_in_a_note_is_shown_as_it_was_written(opened: Opened, words: str) -> None:
    async with opened((120, 40)) as pilot:
        await begin(pilot)
        await type_in(pilot, words)
        await settle(pilot)
        assert words in screen_text(pilot)
        await pilot.press("ctrl+s")
        await until(pilot, lambda: isinstance(pilot.app.screen, PastNoteScreen))
        await settle(pilot)
        assert words in screen_text(pilot)
        await pilot.press("escape", "escape")
        await pilot.press("h")
        await settle(pilot)
        assert words in screen_text(pilot)


@pytest.mark.usefixtures("tamsin")
async def test_nul_bytes_and_control_characters_become_spaces(opened: Opened, desk: Desk) -> None:
    async with opened() as pilot:
        await begin(pilot)
        area = pilot.app.screen.query_one("#went_well", NoteArea)
        area.insert("cue\x00straight\x1b[2Jand\x07steady")
        await settle(pilot)
        assert area.text == "cue straight [2Jand steady"
        await pilot.press("ctrl+s")
        await until(pilot, lambda: isinstance(pilot.app.screen, PastNoteScreen))
    with desk.store.work() as work:
        (note,) = work.notes.all()
    assert note.went_well == "cue straight [2Jand steady"


@pytest.mark.usefixtures("tamsin")
async def test_a_megabyte_of_text_can_be_pasted_and_drafted(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    text = "the cue ran straight and the pace was right. " * 23_000
    assert len(text) > 1_000_000
    async with opened() as pilot:
        await begin(pilot)
        area = pilot.app.screen.query_one("#went_wrong", NoteArea)
        area.insert(text)
        await until(pilot, lambda: "Only the first" in " ".join(screen_text(pilot).split()), seconds=60)
        await until(pilot, lambda: "draft saved" in screen_text(pilot))
        with desk.store.work() as work:
            draft = open_draft(work, tamsin)
        assert draft is not None
        assert draft.went_wrong == text


@pytest.mark.usefixtures("tamsin")
async def test_a_journal_that_can_no_longer_be_written_says_so_and_keeps_the_words(
    opened: Opened, desk: Desk
) -> None:
    async with opened() as pilot:
        await begin(pilot)
        with desk.store.engine.connect() as connection:
            connection.exec_driver_sql(
                "pragma query_only=on"
            )  # the pooled connection: now the database refuses
        await type_in(pilot, "cue was straight")
        await until(pilot, lambda: pilot.app.screen.query_one(Notice).has_class("-shown"))
        shown = screen_text(pilot)
        assert "could not be written" in shown
        assert "Traceback" not in shown
        assert fields(pilot)["went_well"] == "cue was straight"


def test_spans_find_their_field_although_the_reader_saw_trimmed_words() -> None:
    words = NoteWords("  fine ", "\n head up ", "")
    from journal.records import Polarity
    from journal.ui.answers import Seen

    row = Seen("head.lifts", "head.lifts", Polarity.PRESENT, Polarity.PRESENT, None, 5, 12, "head up", 0.9)
    assert words.cleaned().text[5:12] == "head up"
    assert spans_by_field(words, row) == {"went_wrong": [(2, 9)]}


async def test_the_note_page_says_what_may_help_once_a_sighting_is_kept(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    words = NoteWords(went_wrong=HEAD)
    take_note(words, tamsin, store=desk.store, reader=desk.reader, now=NOON - timedelta(days=1))
    async with opened((120, 40)) as pilot:
        await pilot.press("h")
        await settle(pilot)
        await pilot.press("tab", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, PastNoteScreen))
        await settle(pilot)
        assert "What may help" not in screen_text(pilot)
        pilot.app.screen.query_one(SightingList).focus()
        await pilot.press("k")
        await until(pilot, lambda: "What may help" in screen_text(pilot))


@pytest.mark.usefixtures("tamsin")
async def test_a_note_is_erased_only_after_a_yes(opened: Opened, desk: Desk, tamsin: Player) -> None:
    note = take_note(NoteWords(went_wrong=HEAD), tamsin, store=desk.store, reader=desk.reader, now=NOON).note
    async with opened() as pilot:
        assert isinstance(pilot.app, JournalApp)
        pilot.app.go("past note", note.id)
        await settle(pilot)
        await pilot.press("e", "n")
        await settle(pilot)
        with desk.store.work() as work:
            assert work.notes.count() == 1
        await pilot.press("e", "y")
        await settle(pilot)
        with desk.store.work() as work:
            assert work.notes.count() == 0
            assert work.sightings.count() == 0


def test_the_draft_interval_leaves_room_for_the_promise() -> None:
    """At most a second after a change: the timer itself must stay well below."""
    from journal.ui.screens.note import SAVE_AFTER

    assert SAVE_AFTER <= 0.7
