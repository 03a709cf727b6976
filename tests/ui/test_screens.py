"""Promises of the other screens: each answers its question at a glance, and no key does harm."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, OptionList

from journal import freetimes
from journal.changes import running, start_change
from journal.desk import Desk
from journal.notes import NoteWords, add_sighting, answer, take_note
from journal.players import find_player
from journal.practice import record
from journal.records import ItemKind, Player, SightingStatus
from journal.ui.rooms import ROOMS
from journal.ui.screens.help import HelpScreen
from journal.ui.widgets.big_score import BigScore
from journal.ui.widgets.frame import KeyLine, Notice
from journal.ui.widgets.note_area import NoteArea
from knowledge.entries import Check, Outcome

from .conftest import NOON, Opened, screen_text, settle, type_in, until

TODAY = date(2026, 5, 12)
NOTES = (
    (20, "miscued twice with the white on the cushion", "chalk every shot"),
    (15, "miscued three times when tight on the cushion", "raise the butt"),
    (9, "kept lifting my head on the long ones, about five times", "stay down"),
    (5, "miscued again with the white tight on the rail", "raise the butt on the rail"),
    (2, "head came up four times, miscued off the cushion", "back foot on the line before I bend down"),
)


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


async def go(pilot: Pilot[Any], key: str, screen: str) -> None:
    await pilot.press(key)
    await until(pilot, lambda: type(pilot.app.screen).__name__ == screen)
    await settle(pilot)


async def test_the_first_start_asks_only_for_a_name(opened: Opened, desk: Desk) -> None:
    async with opened() as pilot:
        assert "first name" in screen_text(pilot)
        assert len(pilot.app.screen.query(Input)) == 1
        await type_in(pilot, "Tamsin")
        await pilot.press("enter")
        await until(pilot, lambda: "Last time you wrote" in screen_text(pilot))
    with desk.store.work() as work:
        assert find_player(work, None).name == "Tamsin"


async def test_an_empty_name_is_refused_with_a_hint(opened: Opened) -> None:
    async with opened() as pilot:
        await pilot.press("space", "enter")
        await settle(pilot)
        assert "cannot be a player's name" in screen_text(pilot)


@pytest.mark.usefixtures("month")
async def test_today_shows_the_last_resolve_first(opened: Opened) -> None:
    async with opened() as pilot:
        lines = screen_text(pilot).splitlines()
        assert "Last time you wrote" in lines[2]
        assert "back foot on the line" in lines[3]


@pytest.mark.usefixtures("month")
async def test_today_says_what_is_slipping(opened: Opened) -> None:
    async with opened() as pilot:
        assert "Slipping" in screen_text(pilot)


async def test_today_lists_what_is_due_and_the_running_change(
    opened: Opened, desk: Desk, month: Player
) -> None:
    with desk.store.work() as work:
        freetimes.tell(work, month, "Tue and Thu 19:00, 45 min", today=TODAY)
        start_change(work, desk.rules, month, today=TODAY, cause="cause.chalk_neglect")
        from journal.plans import make_plan

        make_plan(month, work=work, rules=desk.rules, now=NOON, today=TODAY, relax=True)
        work.commit()
    async with opened() as pilot:
        shown = screen_text(pilot)
        assert "One change" in shown
        assert "day 1 of" in shown
        assert "Due today" in shown


@pytest.mark.usefixtures("month")
async def test_history_opens_a_note_on_enter(opened: Opened) -> None:
    async with opened() as pilot:
        await go(pilot, "h", "HistoryScreen")
        assert "miscues with the white" in screen_text(pilot)
        await pilot.press("tab")
        await go(pilot, "enter", "PastNoteScreen")
        assert "head came up four times" in screen_text(pilot)


@pytest.mark.usefixtures("tamsin")
async def test_look_up_finds_as_it_is_typed_and_opens_an_entry(opened: Opened) -> None:
    async with opened() as pilot:
        await go(pilot, "f", "LookUpScreen")
        await type_in(pilot, "miscue on the rail")
        await settle(pilot)
        assert pilot.app.screen._hits[0].id == "contact.cushion_miscue"
        await pilot.press("enter")
        await settle(pilot)
        assert "What it is" in screen_text(pilot)


@pytest.mark.usefixtures("tamsin")
async def test_links_are_followed_by_number_and_the_way_goes_back_and_forward(opened: Opened) -> None:
    async with opened() as pilot:
        pilot.app.go("look up", "head.lifts")
        await settle(pilot)
        page = pilot.app.screen._page
        wanted = page.links[1]
        await pilot.press("0", "2") if len(page.links) >= 20 else await pilot.press("2")
        await until(pilot, lambda: pilot.app.screen._page.id == wanted)
        await pilot.press("b")
        await until(pilot, lambda: pilot.app.screen._page.id == "head.lifts")
        await pilot.press("v")
        await until(pilot, lambda: pilot.app.screen._page.id == wanted)


async def test_this_is_me_adds_a_confirmed_sighting(opened: Opened, desk: Desk, tamsin: Player) -> None:
    async with opened() as pilot:
        pilot.app.go("look up", "head.lifts")
        await settle(pilot)
        await pilot.press("t")
        await settle(pilot)
        assert "noted for Tamsin" in screen_text(pilot)
    with desk.store.work() as work:
        (sighting,) = work.sightings.all(player_id=tamsin.id)
    assert (sighting.fault, sighting.status, sighting.day) == ("head.lifts", SightingStatus.CONFIRMED, TODAY)


async def test_a_drill_is_put_into_the_plan_and_an_entry_printed(
    opened: Opened, desk: Desk, month: Player
) -> None:
    with desk.store.work() as work:
        freetimes.tell(work, month, "Tue and Thu 19:00, 60 min", today=TODAY)
        work.commit()
    async with opened() as pilot:
        pilot.app.go("look up", "drill.freeze_finish")
        await settle(pilot)
        await pilot.press("a")
        await settle(pilot)
        assert "in the plan" in screen_text(pilot)
        await pilot.press("p")
        await settle(pilot)
    with desk.store.work() as work:
        assert work.plan_items.count(player_id=month.id, ref="drill.freeze_finish") >= 1
    assert (desk.folder / "sheets" / "drill.freeze_finish.pdf").read_bytes().startswith(b"%PDF")


async def test_free_times_told_in_words_become_a_plan(opened: Opened, desk: Desk, month: Player) -> None:
    async with opened() as pilot:
        await go(pilot, "l", "PlanScreen")
        assert "no plan yet" in screen_text(pilot)
        await pilot.press("t")
        await settle(pilot)
        await type_in(pilot, "Tue and Thu 19:00, 45 min")
        await pilot.press("enter")
        await settle(pilot)
        assert "noted: free every Tue Thu" in " ".join(screen_text(pilot).split())
        await pilot.press("escape")
        await settle(pilot)
        await until(pilot, lambda: "planned:" in screen_text(pilot))
        assert "Why:" in screen_text(pilot)
    with desk.store.work() as work:
        days = {item.day for item in work.plan_items.all(player_id=month.id)}
    assert days
    assert all(day.weekday() in (1, 3) for day in days)


async def test_a_day_that_falls_out_is_planned_around(opened: Opened, desk: Desk, month: Player) -> None:
    with desk.store.work() as work:
        freetimes.tell(work, month, "Tue and Thu 19:00, 45 min", today=TODAY)
        work.commit()
    async with opened() as pilot:
        await go(pilot, "l", "PlanScreen")
        await pilot.press("m")
        await settle(pilot)
        lost = pilot.app.screen.item.day
        await pilot.press("x", "y")
        await settle(pilot)
        assert all(item is None or item.day != lost for item in pilot.app.screen._items)
        await pilot.press("i", "p")
        await settle(pilot)
    assert b"BEGIN:VCALENDAR" in (desk.folder / "sheets" / "plan-Tamsin.ics").read_bytes()
    assert (desk.folder / "sheets" / "plan-Tamsin.pdf").exists()


async def test_players_in_pain_come_first_with_the_reason(opened: Opened, desk: Desk, month: Player) -> None:
    from journal.players import add_player

    with desk.store.work() as work:
        other = add_player(work, "Rolf", now=NOON)
        add_sighting(work, other, "stance.strain", TODAY)
        work.commit()
    async with opened(named=month.name) as pilot:
        await go(pilot, "y", "PlayersScreen")
        lines = screen_text(pilot).splitlines()
        assert "Rolf" in lines[3]
        assert "pain or strain" in lines[4]


@pytest.mark.usefixtures("tamsin")
async def test_an_under_18_needs_a_guardians_consent(opened: Opened, desk: Desk) -> None:
    async with opened((100, 40)) as pilot:
        await go(pilot, "y", "PlayersScreen")
        await pilot.press("a")
        await settle(pilot)
        await type_in(pilot, "Ivo")
        await pilot.press("tab")
        await type_in(pilot, "2012")
        await pilot.press("ctrl+s")
        await settle(pilot)
        assert "may be under 18" in screen_text(pilot)
        assert "safeguarding" in screen_text(pilot)
        await pilot.press("tab")
        await type_in(pilot, "mother, 3 May")
        await pilot.press("ctrl+s")
        await settle(pilot)
        assert "Ivo is kept" in screen_text(pilot)
    with desk.store.work() as work:
        assert find_player(work, "Ivo").guardian_consent == "mother, 3 May"


@pytest.mark.usefixtures("month")
async def test_the_cause_screen_asks_one_check_and_moves_with_the_answer(opened: Opened, desk: Desk) -> None:
    async with opened() as pilot:
        await go(pilot, "c", "CauseScreen")
        found = pilot.app.screen._found
        check = found.diagnosis.next_check.check
        before = {cause.id: cause.probability for cause in found.diagnosis.causes}
        assert check.name in " ".join(screen_text(pilot).split())
        await pilot.press("1")
        await settle(pilot)
        after = {cause.id: cause.probability for cause in pilot.app.screen._found.diagnosis.causes}
        assert before != after
        with desk.store.work() as work:
            (result,) = work.check_results.all()
        assert (result.check_id, result.outcome_id) == (check.id, check.outcomes[0].id)
        await pilot.press("b")
        await settle(pilot)
    with desk.store.work() as work:
        assert work.check_results.count() == 0


@pytest.mark.usefixtures("month")
async def test_a_check_that_cannot_be_done_is_passed_over_and_comes_back(opened: Opened) -> None:
    async with opened() as pilot:
        await go(pilot, "c", "CauseScreen")
        first = pilot.app.screen._found.diagnosis.next_check.check.id
        await pilot.press("x")
        await settle(pilot)
        assert pilot.app.screen._found.diagnosis.next_check.check.id != first
        await pilot.press("b")
        await settle(pilot)
        assert pilot.app.screen._found.diagnosis.next_check.check.id == first


async def test_a_cause_becomes_the_one_change_and_a_second_is_refused(
    opened: Opened, desk: Desk, month: Player
) -> None:
    async with opened((100, 40)) as pilot:
        await go(pilot, "c", "CauseScreen")
        await pilot.press("c")
        await settle(pilot)
        assert "Its aim:" in screen_text(pilot)
        with desk.store.work() as work:
            assert running(work, month) is None, "looking at a change does not begin it"
        await pilot.press("y")
        await settle(pilot)
        with desk.store.work() as work:
            change = running(work, month)
        assert change is not None
        assert change.started_on == TODAY
        await pilot.press("c")
        await settle(pilot)
        assert "one change runs until" in screen_text(pilot)


async def test_every_ball_is_on_disk_before_the_drill_ends(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    async with opened() as pilot:
        pilot.app.go("practise", "drill.freeze_finish")
        await settle(pilot)
        await pilot.press("right", "h", "left", "right")
        await settle(pilot)
        assert pilot.app.screen.query_one(BigScore).score == "3/4"
        with desk.store.work() as work:
            (result,) = work.results.all(player_id=tamsin.id)
        assert (result.hits, result.tries, result.open) == (3, 4, True)
        await pilot.press("u")
        await settle(pilot)
        assert pilot.app.screen.query_one(BigScore).score == "2/3"


async def test_an_interrupted_drill_is_offered_first_and_goes_on(
    opened: Opened, desk: Desk, tamsin: Player
) -> None:
    async with opened() as pilot:
        pilot.app.go("practise", "drill.freeze_finish")
        await settle(pilot)
        await pilot.press("right", "right")
        await settle(pilot)
    async with opened() as pilot:
        await go(pilot, "p", "PractiseScreen")
        assert "Interrupted" in screen_text(pilot)
        await pilot.press("enter")
        await settle(pilot)
        await pilot.press("left")
        await settle(pilot)
        assert pilot.app.screen.query_one(BigScore).score == "2/3"
        await pilot.press("enter")
        await settle(pilot)
    with desk.store.work() as work:
        (result,) = work.results.all(player_id=tamsin.id)
    assert (result.hits, result.tries, result.open) == (2, 3, False)


async def test_progress_shows_spread_and_ends_the_change_after_a_yes(
    opened: Opened, desk: Desk, month: Player
) -> None:
    with desk.store.work() as work:
        for ago, hits in ((12, 4), (8, 6), (3, 8)):
            when = NOON - timedelta(days=ago)
            record(work, month, "drill.freeze_finish", ItemKind.DRILL, hits, 10, now=when, today=when.date())
        start_change(work, desk.rules, month, today=TODAY, cause="cause.chalk_neglect")
        work.commit()
    async with opened((100, 40)) as pilot:
        await go(pilot, "g", "ProgressScreen")
        shown = screen_text(pilot)
        assert "18 of 30" in shown
        assert "an hour (" in shown
        assert "with 95 % spread" in shown
        await pilot.press("x", "y")
        await settle(pilot)
        assert "the change is dropped" in screen_text(pilot)
    with desk.store.work() as work:
        assert running(work, month) is None


@pytest.mark.usefixtures("tamsin")
async def test_what_if_moves_with_each_key_and_names_what_cannot_be(opened: Opened) -> None:
    async with opened() as pilot:
        await go(pilot, "w", "TableScreen")
        before = screen_text(pilot)
        assert "chance" in before
        await pilot.press("right", "right")
        await settle(pilot)
        assert screen_text(pilot) != before
        await pilot.press("m", *["shift+right"] * 12)
        await settle(pilot)
        assert "overlaps" in screen_text(pilot) or "off the table" in screen_text(pilot)
        await pilot.press("r")
        await settle(pilot)
        assert "chance" in screen_text(pilot)


@pytest.mark.usefixtures("month")
async def test_a_question_gets_a_draft_that_is_kept_and_sent(opened: Opened, desk: Desk) -> None:
    async with opened((100, 40)) as pilot:
        await go(pilot, "q", "QuestionsScreen")
        await type_in(pilot, "I keep miscuing when the white is on the rail")
        await pilot.press("f5")
        await settle(pilot)
        reply = pilot.app.screen.query_one("#reply", NoteArea).text
        assert "I have not seen you play" in reply
        await pilot.press("f4")
        await settle(pilot)
    with desk.store.work() as work:
        (question,) = work.questions.all()
    assert question.reply == reply
    assert question.sent_at == NOON


@pytest.mark.usefixtures("month")
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
@pytest.mark.parametrize("key", list("nphlcfgwyq?"))
async def test_no_screen_scrolls_sideways_and_each_shows_its_keys(
    opened: Opened, key: str, size: tuple[int, int]
) -> None:
    async with opened(size) as pilot:
        await pilot.press("question_mark" if key == "?" else key)
        await settle(pilot)
        await until(pilot, lambda: len(pilot.app.screen_stack) == 2)
        await settle(pilot)
        screen = pilot.app.screen
        for widget in screen.walk_children():
            if widget.is_container and widget.show_horizontal_scrollbar:
                raise AssertionError(f"{widget} scrolls sideways")
        width, height = size
        keys = screen.query_one(KeyLine)
        assert keys.region.bottom == height, "the keys are the last thing on the screen"
        said = [(spot.line, spot.end) for spot in keys._spots]
        assert said
        assert max(end for _, end in said) <= width - 2
        assert max(line for line, _ in said) < keys.content_size.height, "every key that works is shown"


@pytest.mark.usefixtures("month")
@pytest.mark.parametrize("key", list("nphlcfgwyq"))
async def test_wrong_keys_do_no_harm(opened: Opened, desk: Desk, key: str) -> None:
    async with opened() as pilot:
        await pilot.press(key)
        await settle(pilot)
        for wrong in (
            "f10",
            "f12",
            "ctrl+b",
            "insert",
            "pageup",
            "pagedown",
            "home",
            "end",
            "z",
            "9",
            "tab",
            "shift+tab",
        ):
            await pilot.press(wrong)
        await settle(pilot)
        assert pilot.app._exception is None
        for _ in range(6):
            await pilot.press("escape")
            await settle(pilot)
        assert type(pilot.app.screen).__name__ == "TodayScreen"
    with desk.store.work() as work:
        assert work.notes.count() == len(NOTES)


@pytest.mark.usefixtures("tamsin")
async def test_a_click_on_a_key_does_what_the_key_does(opened: Opened) -> None:
    async with opened() as pilot:
        keys = pilot.app.screen.query_one(KeyLine)
        spot = next(spot for spot in keys._spots if spot.key == "h")
        await pilot.click(KeyLine, offset=(keys.gutter.left + spot.start, keys.gutter.top + spot.line))
        await until(pilot, lambda: type(pilot.app.screen).__name__ == "HistoryScreen")


@pytest.mark.usefixtures("tamsin")
async def test_help_lists_every_key_of_every_screen(opened: Opened) -> None:
    import importlib

    from textual.binding import Binding

    async with opened() as pilot:
        await go(pilot, "question_mark", "HelpScreen")
        told = "\n".join(line.plain for line in HelpScreen._lines(pilot.app.screen))
        for module, name in ROOMS.values():
            screen = getattr(importlib.import_module(module), name)
            for holder in (screen, *screen.parts):
                for binding in Binding.make_bindings(holder.__dict__.get("BINDINGS", ())):
                    if binding.show and binding.description:
                        assert binding.description in told, f"{name}: {binding.key}"


async def test_an_unknown_player_ends_with_message_and_hint(opened: Opened, tamsin: Player) -> None:
    async with opened(named="Tamsyn") as pilot:
        await until(pilot, lambda: pilot.app._exit)
        error = pilot.app.return_value
        assert "no player 'Tamsyn'" in error.message
        assert tamsin.name in error.hint


async def test_a_folder_that_cannot_hold_a_journal_ends_with_message_and_hint(
    opened: Opened, tmp_path: Any
) -> None:
    (tmp_path / "file").write_text("not a folder")
    async with opened(place=Desk(tmp_path / "file" / "journal.db")) as pilot:
        await until(pilot, lambda: pilot.app._exit)
        assert "cannot be used" in pilot.app.return_value.message
        assert "--journal" in pilot.app.return_value.hint


async def test_something_else_than_a_journal_is_named(opened: Opened, tmp_path: Any) -> None:
    (tmp_path / "other.db").write_bytes(b"this is no database at all, not even a little" * 50)
    async with opened(place=Desk(tmp_path / "other.db")) as pilot:
        await until(pilot, lambda: pilot.app._exit)
        assert "cannot be used" in pilot.app.return_value.message


@pytest.mark.usefixtures("tamsin")
async def test_an_error_is_shown_once_with_its_hint_and_put_away_by_escape(opened: Opened) -> None:
    async with opened() as pilot:
        pilot.app.go("look up", "no.such_thing")
        await settle(pilot)
        shown = screen_text(pilot)
        assert shown.count("there is no entry") == 1
        await pilot.press("escape")
        assert not pilot.app.screen.query_one(Notice).has_class("-shown")


@pytest.mark.usefixtures("tamsin")
async def test_speaking_without_a_microphone_says_so_and_leaves_the_rest_working(
    opened: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    from journal.voice import recorder
    from journal.voice.errors import NoMicrophone

    def none_there(*_: object) -> None:
        raise NoMicrophone("No microphone was found.", "Plug one in.")

    monkeypatch.setattr(recorder, "open_microphone", none_there)
    async with opened() as pilot:
        await go(pilot, "n", "NoteScreen")
        await pilot.press("ctrl+r")
        await until(pilot, lambda: "No microphone was found" in screen_text(pilot))
        await pilot.press("escape")
        await settle(pilot)
        await type_in(pilot, "cue straight")
        assert (
            pilot.app.screen.query_one("#went_wrong", NoteArea).text
            + pilot.app.screen.query_one("#went_well", NoteArea).text
            == "cue straight"
        )


def test_screens_use_lists_that_never_read_markup() -> None:
    """Players' words come into lists and lines; none of them may be read as markup."""
    import ast
    from pathlib import Path

    import journal.ui

    for path in Path(journal.ui.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("Static", "OptionList"):
                named = {keyword.arg: keyword.value for keyword in node.keywords}
                plain = named.get("markup")
                assert isinstance(plain, ast.Constant), f"{path.name}:{node.lineno}"
                assert plain.value is False, f"{path.name}:{node.lineno}"


PLAYERS = {
    "misses the cushion ball, cue kept flat": (
        ("contact.cushion_miscue", "bridge.cushion_poor", "delivery.butt_low"),
        "cause.butt_kept_flat",
    ),
    "hunched, stands too near": (
        ("stance.cramped", "bridge.arm_cramped", "bridge.too_short"),
        "cause.too_near_ball",
    ),
    "push strokes on close balls": (
        ("contact.push_stroke", "contact.push_stroke", "delivery.backswing_long"),
        "cause.close_ball_unlearned",
    ),
    "wavers, bridge too far away": (
        ("delivery.cue_wavers", "bridge.too_long", "bridge.too_long"),
        "cause.bridge_too_far",
    ),
}
"""Player: what three notes reported, and the cause that is really there."""
WEIGHT = {"++": 2, "+": 1, "-": -1, "--": -2}


def truthful(check: Check, cause: str) -> int:
    """The key of the outcome that somebody with this cause alone would see."""

    def fits(outcome: Outcome) -> tuple[int, int]:
        others = sum(WEIGHT[sign] for id_, sign in outcome.signs.items() if id_ != cause)
        return WEIGHT.get(outcome.signs.get(cause, ""), 0), -others

    return 1 + max(range(len(check.outcomes)), key=lambda n: fits(check.outcomes[n]))


@pytest.mark.parametrize("who", PLAYERS)
async def test_a_worked_player_ends_in_the_right_change_in_three_checks(
    opened: Opened, desk: Desk, tamsin: Player, who: str
) -> None:
    """The four players of the trade's worked cases: three notes, at most three checks, one change."""
    faults, cause = PLAYERS[who]
    with desk.store.work() as work:
        for ago, fault in enumerate(faults):
            add_sighting(work, tamsin, fault, TODAY - timedelta(days=ago))
        work.commit()
    async with opened((120, 40)) as pilot:
        await go(pilot, "c", "CauseScreen")
        for _ in range(3):
            found = pilot.app.screen._found.diagnosis
            if found.verdict == "settled":
                break
            await pilot.press(str(truthful(found.next_check.check, cause)))
            await settle(pilot)
        found = pilot.app.screen._found.diagnosis
        assert found.causes[0].id == cause
        assert found.verdict == "settled"
        pilot.app.screen.query_one("#causes", OptionList).highlighted = 0
        await pilot.press("c")
        await settle(pilot)
        await pilot.press("y")
        await settle(pilot)
    with desk.store.work() as work:
        change = running(work, tamsin)
    assert change is not None
    assert change.cause == cause


@pytest.mark.usefixtures("tamsin")
async def test_help_begins_with_the_screen_it_was_opened_from(opened: Opened) -> None:
    async with opened() as pilot:
        await go(pilot, "y", "PlayersScreen")
        await go(pilot, "f1", "HelpScreen")
        rooms = [
            line.plain for line in HelpScreen._lines(pilot.app.screen) if line.plain and line.plain[0] != " "
        ]
        assert rooms[1].startswith("Players")
