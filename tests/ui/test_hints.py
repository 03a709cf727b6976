"""Hints of the use cases fit where they appear: commands on the command line, keys and rooms on the screens."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.binding import Binding

from journal.cli.main import GROUPS, render
from journal.errors import BadInput
from journal.ui.hints import on_screen
from journal.ui.rooms import ROOMS
from journal.ui.screens.today import TodayScreen

from .conftest import Opened, screen_text, settle

ROOT = Path(__file__).parents[2]
COMMAND = re.compile(
    rf"plainball (?:{'|'.join(name for names in GROUPS.values() for name in names)})\b"
    r"|(?<![\w-])--(?!force-reinstall)[a-z]"
)
ONLY_THERE = re.compile(r"plainball rules|plainball transcribe|--journal PATH")
"""What no screen can do: where to type it is said beside it."""
TYPED_THERE = re.compile(r"Ctrl\+Q|command line|when you start plainball")


def hints() -> Iterator[tuple[str, str]]:
    """(place, hint) of every error that a use case or the knowledge raises and whose hint names a command."""
    for path in sorted([*ROOT.glob("journal/**/*.py"), *ROOT.glob("knowledge/**/*.py")]):
        place = path.relative_to(ROOT).as_posix()
        if place.startswith(("journal/cli/", "journal/ui/", "knowledge/reading/")) or "build_" in path.name:
            continue
        tree = ast.parse(path.read_text(encoding="utf-8"))
        inner = {
            id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values
        }
        texts = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        for node in ast.walk(tree):
            if isinstance(node, ast.JoinedStr):
                said = "".join(str(p.value) if isinstance(p, ast.Constant) else "NAME" for p in node.values)
            elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in inner:
                said = "" if id(node) in texts else node.value
            else:
                continue
            if COMMAND.search(said) and "\n#" not in said:  # a file's commented head is no hint
                yield f"{place}:{node.lineno}", said


def test_no_hint_on_a_screen_names_a_command_that_a_key_does():
    found = list(hints())
    assert len(found) > 15
    left = {}
    for place, said in found:
        shown = on_screen(said)
        if COMMAND.search(ONLY_THERE.sub("", shown)) or (
            ONLY_THERE.search(shown) and not TYPED_THERE.search(shown)
        ):
            left[place] = shown
    assert not left


def test_every_key_in_a_hint_opens_the_room_it_names():
    keys = {binding.key: binding.action for binding in Binding.make_bindings(TodayScreen.BINDINGS)}
    titles = {"Plan": "plan", "Look up": "look up", "History": "history", "Players": "players"}
    titles |= {"Find the cause": "cause", "Progress": "progress"}
    named = set()
    for _, said in hints():
        named |= set(re.findall(r"(\w) on the first screen \(([^)]*)\)", on_screen(said)))
    assert {room for _, room in named} == set(titles)
    for key, room in named:
        assert titles[room] in ROOMS
        assert titles[room] in keys[key]


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("Look at: plainball history", "Look at: h on the first screen (History)"),
        (
            "Say when you are free, e.g.: plainball free NAME 'Tue and Thu 19:00, 45 min'",
            "Say when you are free, with l on the first screen (Plan), then t, such as 'Tue and Thu 19:00, 45 min'",
        ),
        ("Did you mean Tamsin?", "Did you mean Tamsin?"),
        ("List them with: plainball free Ida", "List them with: l on the first screen (Plan), then t"),
        ("", ""),
    ],
)
def test_a_hint_says_the_key_and_the_room(said: str, shown: str):
    assert on_screen(said) == shown


@pytest.mark.parametrize(
    ("said", "room", "shown"),
    [
        (
            "Say when you are free, e.g.: plainball free NAME 'Tue and Thu 19:00, 45 min'",
            "Plan",
            "Say when you are free, with t, such as 'Tue and Thu 19:00, 45 min'",
        ),
        ("Look at: plainball history", "History", "Look at: this screen"),
        ("Look at: plainball history", "Plan", "Look at: h on the first screen (History)"),
    ],
)
def test_a_hint_does_not_send_to_the_room_one_is_in(said: str, room: str, shown: str):
    assert on_screen(said, room) == shown


@pytest.mark.usefixtures("tamsin")
async def test_the_plan_names_its_own_key_for_free_times(opened: Opened):
    async with opened() as pilot:
        await pilot.press("l")
        await settle(pilot)
        await pilot.press("m")
        await settle(pilot)
        said = " ".join(screen_text(pilot).split())
        assert "Say when you are free, with t, such as" in said


@pytest.mark.usefixtures("tamsin")
async def test_an_error_on_a_screen_shows_the_key_and_the_same_error_in_a_terminal_the_command(
    opened: Opened,
):
    error = BadInput("there is no such note", "Look at: plainball history")
    assert "plainball history" in render(error)
    async with opened() as pilot:
        pilot.app.screen.failed(error)
        await settle(pilot)
        assert "h on the first screen (History)" in screen_text(pilot)
        assert "plainball history" not in screen_text(pilot)
