"""What holds on every screen: no scrolling sideways, no harm from a wrong key, help, errors with hints."""

from __future__ import annotations

from typing import Any

import pytest

from journal.desk import Desk
from journal.records import Player
from journal.ui.rooms import ROOMS
from journal.ui.screens.help import HelpScreen
from journal.ui.widgets.frame import KeyLine, Notice
from journal.ui.widgets.note_area import NoteArea

from .conftest import NOTES, Opened, go, screen_text, settle, type_in, until


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


@pytest.mark.usefixtures("tamsin")
async def test_help_begins_with_the_screen_it_was_opened_from(opened: Opened) -> None:
    async with opened() as pilot:
        await go(pilot, "y", "PlayersScreen")
        await go(pilot, "f1", "HelpScreen")
        rooms = [
            line.plain for line in HelpScreen._lines(pilot.app.screen) if line.plain and line.plain[0] != " "
        ]
        assert rooms[1].startswith("Players")
