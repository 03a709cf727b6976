"""The program is killed without warning; what was promised as kept is there again."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

pytest.importorskip("pty", reason="needs a pseudo-terminal")

from journal.desk import Desk
from journal.records import Player

from .conftest import NOON, Opened, settle, until
from .terminal import Terminal


async def test_a_draft_survives_sigkill(opened: Opened, desk: Desk, tamsin: Player) -> None:
    words = "kept lifting my head on the long ones"
    terminal = Terminal(Path(desk.place), "open")
    try:
        terminal.wait_for("Last time you wrote")
        terminal.press("n")
        terminal.wait_for("What went well")
        terminal.wait_for("nothing written yet")
        terminal.press(words)
        terminal.wait_for("draft saved")
        time.sleep(1.0)
    finally:
        terminal.kill()
    with desk.store.work() as work:
        draft = work.drafts.one(player_id=tamsin.id)
    assert draft is not None
    assert draft.fields["went_well"] == words
    async with opened() as pilot:
        await pilot.press("n")
        await until(pilot, lambda: type(pilot.app.screen).__name__ == "NoteScreen")
        await settle(pilot)
        assert pilot.app.screen.words().went_well == words


def test_sigkill_in_mid_drill_loses_at_most_the_ball_being_entered(desk: Desk, tamsin: Player) -> None:
    from journal.practice import ball, start
    from journal.records import ItemKind

    with desk.store.work() as work:
        began = start(work, tamsin, "drill.still_body", ItemKind.DRILL, now=NOON, today=NOON.date())
        ball(work, began, hit=True)
    terminal = Terminal(Path(desk.place), "open")
    try:
        terminal.wait_for("Last time you wrote")
        terminal.press("p")
        terminal.wait_for("Interrupted")
        terminal.press("\r")
        terminal.wait_for("best run 1")
        for run in range(2, 6):
            terminal.press("h")
            terminal.wait_for(f"best run {run}")
        terminal.press("h")
    finally:
        terminal.kill()
    with desk.store.work() as work:
        (result,) = work.results.all(player_id=tamsin.id)
    assert result.tries in (5, 6)
    assert result.open


def test_sigkill_in_mid_trial_loses_at_most_the_try_being_entered(desk: Desk, tamsin: Player) -> None:
    from journal.table_trial import begin

    with desk.store.work() as work:
        begin(work, desk.rules, tamsin, "dilemma.grip", now=NOON, today=NOON.date())
    terminal = Terminal(Path(desk.place), "open")
    try:
        terminal.wait_for("Last time you wrote")
        terminal.press("p")
        terminal.wait_for("0 of 60 tries")
        terminal.press("\r")
        terminal.wait_for("goes on")
        terminal.press("\r")
        terminal.wait_for("try 1 of 60")
        for number in range(1, 6):
            terminal.press("h")
            terminal.wait_for(f"try {number + 1} of 60")
        terminal.press("m")
    finally:
        terminal.kill()
    with desk.store.work() as work:
        (result,) = work.results.all(player_id=tamsin.id)
    assert result.open
    assert result.detail["balls"] in ([1] * 5, [1] * 5 + [0])


@pytest.mark.usefixtures("tamsin")
def test_leaving_gives_the_terminal_back_without_a_traceback(desk: Desk) -> None:
    terminal = Terminal(Path(desk.place), "open")
    terminal.wait_for("Last time you wrote")
    terminal.press("\x11")
    assert terminal.ended() == 0
    assert b"Traceback" not in terminal.said
    assert b"terminate called" not in terminal.said


@pytest.mark.usefixtures("tamsin")
def test_an_unknown_player_is_named_on_the_terminal(desk: Desk) -> None:
    terminal = Terminal(Path(desk.place), "open", "--player", "Tamsyn")
    assert terminal.ended() == 1
    assert b"no player 'Tamsyn'" in terminal.said
    assert b"Did you mean Tamsin?" in terminal.said
    assert b"Traceback" not in terminal.said


def test_a_folder_that_cannot_be_written_is_named_on_the_terminal(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    terminal = Terminal(tmp_path / "file" / "journal.db")
    assert terminal.ended() == 1
    assert b"cannot be used" in terminal.said
    assert b"Traceback" not in terminal.said
