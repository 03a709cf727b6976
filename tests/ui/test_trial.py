"""The trial at the table: both answers in shuffled order, scored by one key, and an honest result."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import OptionList

from journal import table_trial
from journal.desk import Desk
from journal.notes import NoteWords, add_sighting, take_note
from journal.records import Player
from journal.ui.widgets.big_score import BigScore
from journal.ui.widgets.big_words import BigWords
from journal.ui.widgets.frame import KeyLine
from knowledge.entries import Dilemma
from knowledge.rulebase import RuleBase

from .conftest import NOON, Opened, screen_text, settle, until

GRIP, LIGHT = "dilemma.grip", "Coach says hold the cue lightly, the book says hold it firmly or it twists."


async def open_trial(pilot: Pilot[Any], dilemma: str | None = GRIP) -> None:
    pilot.app.go("trial", *([dilemma] if dilemma else []))
    await until(pilot, lambda: type(pilot.app.screen).__name__ == "TrialScreen")
    await settle(pilot)


def kept(desk: Desk, player: Player) -> Any:
    with desk.store.work() as work:
        (result,) = work.results.all(player_id=player.id)
    return result


async def play(pilot: Pilot[Any], hits: dict[str, int], tries: int) -> None:
    """So many tries, each answer's first ones being hits."""
    left = dict(hits)
    for _ in range(tries):
        name = pilot.app.screen.query_one(BigWords).words
        await pilot.press("h" if left[name] > 0 else "m")
        left[name] -= 1
        await settle(pilot)


async def test_from_a_dilemmas_page_both_answers_are_tried_and_the_result_is_honest(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    async with opened() as pilot:
        pilot.app.go("look up", "dilemma.last_look")
        await until(pilot, lambda: "Which ball" in screen_text(pilot))
        await settle(pilot)
        assert "try both answers" in screen_text(pilot)
        await pilot.press("y")
        await until(pilot, lambda: type(pilot.app.screen).__name__ == "TrialScreen")
        await settle(pilot)
        shown = screen_text(pilot)
        assert "Look at the object ball last" in shown
        assert "object ball last, white last, in shuffled order" in shown
        assert "20 tries of each answer" in shown
        await pilot.press("t", "t", "enter")
        await settle(pilot)
        assert pilot.app.screen.query_one(BigScore).score == "0/20"
        await play(pilot, {"object ball last": 8, "white last": 4}, 20)
        assert "all 20 tries are played" in screen_text(pilot)
        await pilot.press("enter")
        await settle(pilot)
        shown = screen_text(pilot)
        assert "8 of 10" in shown
        assert "4 of 10" in shown
        assert "Cannot tell yet: about 1" in shown
        assert "more tries of each would" in shown
    assert (kept(desk, tamsin).hits, kept(desk, tamsin).tries, kept(desk, tamsin).open) == (12, 20, False)


async def test_every_try_is_on_disk_at_once_and_undo_takes_the_last_one_back(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    async with opened() as pilot:
        await open_trial(pilot)
        await pilot.press("enter")
        await settle(pilot)
        first = pilot.app.screen.query_one(BigWords).words
        await pilot.press("right", "m", "space")
        await settle(pilot)
        assert kept(desk, tamsin).detail["balls"] == [1, 0, 1]
        await pilot.press("u", "backspace", "u")
        await settle(pilot)
        assert kept(desk, tamsin).detail["balls"] == []
        assert pilot.app.screen.query_one(BigWords).words == first


async def test_the_score_is_hidden_while_it_goes_on_but_the_last_key_is_confirmed(
    opened: Opened, tamsin: Player
) -> None:
    async with opened() as pilot:
        await open_trial(pilot)
        await pilot.press("enter")
        await settle(pilot)
        await pilot.press("h", "m")
        await settle(pilot)
        shown = screen_text(pilot)
        assert pilot.app.screen.query_one(BigScore).score == "2/60", "tries, not hits"
        assert "miss (u takes it back)" in shown
        assert "%" not in shown


async def test_left_half_way_it_is_offered_first_and_goes_on(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    async with opened() as pilot:
        await open_trial(pilot)
        await pilot.press("enter")
        await settle(pilot)
        await pilot.press("h", "h", "m")
        await settle(pilot)
        await pilot.press("escape")
        await settle(pilot)
    async with opened() as pilot:
        await pilot.press("p")
        await until(pilot, lambda: "Trial: Loose or firm grip" in screen_text(pilot))
        assert "3 of 60 tries" in screen_text(pilot)
        await pilot.press("enter")
        await until(pilot, lambda: "Interrupted after 3 of 60 tries" in screen_text(pilot))
        await pilot.press("enter")
        await settle(pilot)
        await pilot.press("h")
        await settle(pilot)
        assert pilot.app.screen.query_one(BigScore).score == "4/60"
    assert kept(desk, tamsin).detail["balls"] == [1, 1, 0, 1]


async def test_advice_both_ways_in_a_note_puts_its_trial_on_the_practise_list(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    when = NOON - timedelta(days=1)
    take_note(NoteWords("", LIGHT, ""), tamsin, store=desk.store, reader=desk.reader, now=when)
    async with opened() as pilot:
        await pilot.press("p")
        await until(pilot, lambda: "Trial: Loose or firm grip" in screen_text(pilot))
        assert "advice both ways" in screen_text(pilot)
        await pilot.press("t")
        await until(pilot, lambda: type(pilot.app.screen).__name__ == "TrialScreen")
        await settle(pilot)
        listing = pilot.app.screen.query_one(OptionList)
        assert "Loose or firm grip" in str(listing.get_option_at_index(0).prompt)
        await pilot.press("enter")
        await until(pilot, lambda: "Hold the cue as lightly" in screen_text(pilot))


@pytest.mark.usefixtures("tamsin")
async def test_a_trial_of_weeks_has_no_key_and_says_why(opened: Opened) -> None:
    async with opened() as pilot:
        pilot.app.go("look up", "dilemma.blocks_or_random")
        await until(pilot, lambda: "Same shot many times" in screen_text(pilot))
        await settle(pilot)
        assert "try both answers" not in screen_text(pilot)
        await pilot.press("y")
        await settle(pilot)
        assert type(pilot.app.screen).__name__ == "LookUpScreen"
        await open_trial(pilot, "dilemma.blocks_or_random")
        assert "not counted try by try" in screen_text(pilot)
        await pilot.press("enter", "h", "t")
        await settle(pilot)
        assert not pilot.app.screen.query_one("#drill").display


@pytest.mark.usefixtures("tamsin")
async def test_an_unknown_dilemma_is_named_with_the_key_that_finds_one(opened: Opened) -> None:
    async with opened() as pilot:
        await open_trial(pilot, "dilemma.nothing")
        assert "there is no dilemma" in screen_text(pilot)
        assert "f on the first screen (Look up)" in screen_text(pilot)


@pytest.mark.usefixtures("tamsin")
async def test_rules_without_a_trial_leave_a_sentence_instead_of_a_list(
    opened: Opened, desk: Desk, rules: RuleBase
) -> None:
    bare = {
        id_: entry.model_copy(update={"settings": (), "hit": None}) if isinstance(entry, Dilemma) else entry
        for id_, entry in rules.entries.items()
    }
    desk.__dict__["rules"] = replace(rules, entries=bare)
    async with opened() as pilot:
        await open_trial(pilot, None)
        assert "no trial that is counted try by try" in screen_text(pilot)
        await pilot.press("enter", "down", "h", "u")
        await settle(pilot)
        assert pilot.app._exception is None


async def test_pain_is_met_with_the_caution_and_no_try(opened: Opened, desk: Desk, tamsin: Player) -> None:
    with desk.store.work() as work:
        add_sighting(work, tamsin, "stance.strain", NOON.date())
        work.commit()
    async with opened() as pilot:
        await open_trial(pilot, "dilemma.chin_on_cue")
        assert "physician or physiotherapist" in " ".join(screen_text(pilot).split())
        await pilot.press("enter")
        await settle(pilot)
        assert "no matter for a trial" in screen_text(pilot)
    with desk.store.work() as work:
        assert work.results.count(player_id=tamsin.id) == 0


async def test_wrong_keys_neither_score_nor_leave(opened: Opened, desk: Desk, tamsin: Player) -> None:
    wrong = ("a", "b", "z", "9", "x", "o", "l", "t", "up", "down", "tab", "f10", "delete", "n")
    async with opened() as pilot:
        await open_trial(pilot)
        for key in ("h", "m", "u", "p", "v", "right", "z"):
            await pilot.press(key)
        await settle(pilot)
        with desk.store.work() as work:
            assert work.results.count(player_id=tamsin.id) == 0, "nothing is scored before it begins"
        await pilot.press("enter")
        await settle(pilot)
        await pilot.press("h", *wrong)
        await settle(pilot)
        assert type(pilot.app.screen).__name__ == "TrialScreen"
        assert pilot.app.screen.query_one(BigScore).score == "1/60"
        assert pilot.app._exception is None


async def test_beyond_the_last_try_a_key_is_refused_in_words(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    with desk.store.work() as work:
        trial = table_trial.begin(
            work, desk.rules, tamsin, "dilemma.last_look", now=NOON, today=NOON.date(), tries=1
        )
        table_trial.score(work, trial, True)
    async with opened() as pilot:
        await open_trial(pilot, "dilemma.last_look")
        await pilot.press("enter")
        await settle(pilot)
        await pilot.press("h", "h", "m")
        await settle(pilot)
        assert "all 2 tries are played" in screen_text(pilot)
        assert kept(desk, tamsin).tries == 2


@pytest.mark.usefixtures("tamsin")
async def test_pause_stops_the_clock_and_goes_on(opened: Opened) -> None:
    async with opened() as pilot:
        await open_trial(pilot)
        await pilot.press("enter")
        await settle(pilot)
        await pilot.press("p")
        await settle(pilot)
        assert "paused" in screen_text(pilot).splitlines()[0]
        stood = pilot.app.screen._seconds
        await pilot.pause(1.3)
        assert pilot.app.screen._seconds == stood
        await pilot.press("p")
        await until(pilot, lambda: pilot.app.screen._seconds > stood, seconds=5)


@pytest.mark.usefixtures("tamsin")
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
@pytest.mark.parametrize("dilemma", [None, GRIP, "dilemma.eye_dominance"])
async def test_it_fits_both_sizes_and_shows_its_keys(
    opened: Opened, size: tuple[int, int], dilemma: str | None
) -> None:
    async with opened(size) as pilot:
        await open_trial(pilot, dilemma)
        for begun in (False, True):
            if begun and dilemma is None:
                break
            if begun:
                await pilot.press("enter")
                await settle(pilot)
                words = pilot.app.screen.query_one(BigWords)
                assert words.words in pilot.app.screen.going.trial.settings, "the answer stands there in full"
                assert words.region.bottom <= pilot.app.screen.query_one(BigScore).region.y
            screen = pilot.app.screen
            assert not [w for w in screen.walk_children() if w.is_container and w.show_horizontal_scrollbar]
            keys = screen.query_one(KeyLine)
            assert keys.region.bottom == size[1]
            assert max(spot.line for spot in keys._spots) < keys.content_size.height
