"""Answers in a draft: they belong to the words, and drafts of earlier versions open without any."""

from __future__ import annotations

import json
import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest

from journal.draft_answers import DraftAnswer, packed, standing, unpacked
from journal.notes import NoteWords, open_draft, save_draft
from journal.players import add_player
from journal.records import Polarity
from journal.store.work import open_store

NOW = datetime(2026, 5, 12, 18, 0, tzinfo=UTC)
LIFTED = DraftAnswer("head.lifts", "Lifting  my head", "head.lifts", Polarity.BETTER, "corrected")


@pytest.mark.parametrize(
    ("text", "stays"),
    [
        ("kept lifting my\nhead again", True),
        ("kept lifting the head", False),
        ("", False),
    ],
)
def test_an_answer_stands_as_long_as_its_words_do(text: str, stays: bool) -> None:
    assert standing([LIFTED], text) == ((LIFTED,) if stays else ())


def test_answers_survive_a_draft_row_as_they_are() -> None:
    assert unpacked(json.loads(json.dumps(packed([LIFTED])))) == (LIFTED,)


def test_a_draft_keeps_answers_only_while_their_words_stand(tmp_path: Path) -> None:
    store = open_store(tmp_path / "journal.db")
    with store.work() as work:
        player = add_player(work, "Odalys", now=NOW)
        words = NoteWords(went_wrong="lifting my head", answers=(LIFTED,))
        save_draft(work, player, words, NOW)
        assert open_draft(work, player) == words
        save_draft(work, player, NoteWords(went_wrong="all fine", answers=(LIFTED,)), NOW)
        assert open_draft(work, player) == NoteWords(went_wrong="all fine")
    store.close()


def test_a_draft_of_an_earlier_version_opens(tmp_path: Path) -> None:
    store = open_store(tmp_path / "journal.db")
    with store.work() as work:
        player = add_player(work, "Odalys", now=NOW)
        save_draft(work, player, NoteWords(went_wrong="half a"), NOW)
    with sqlite3.connect(tmp_path / "journal.db") as raw:
        (row,) = raw.execute("select fields from drafts").fetchone()
        fields = {name: value for name, value in json.loads(row).items() if name != "answers"}
        raw.execute("update drafts set fields = ?", (json.dumps(fields),))
    with store.work() as work:
        assert open_draft(work, player) == NoteWords(went_wrong="half a")
    store.close()
