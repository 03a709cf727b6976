"""What is known around a note: practice or match, minutes, which table."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input

from journal.errors import BadInput
from journal.ui.base import Dialog, heading

if TYPE_CHECKING:
    from journal.notes import NoteWords

KINDS = ("practice", "match", "lesson")


class AboutSession(Dialog["NoteWords"]):
    """Gives the note's words back with what was filled in; every field may stay empty."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "done", "done", key_display="enter")]

    def __init__(self, words: NoteWords) -> None:
        super().__init__()
        self._words = words

    def body(self) -> Iterable[Widget]:
        yield heading("What was it: practice, match or lesson?")
        yield Input(self._words.kind, id="kind", max_length=20)
        yield heading("How many minutes?")
        yield Input(
            "" if self._words.minutes is None else str(self._words.minutes), id="minutes", max_length=4
        )
        yield heading("Which table?")
        yield Input(self._words.table_name or "", id="table", max_length=40)

    @on(Input.Submitted)
    def action_done(self) -> None:
        """Take what stands there."""
        kind = self.query_one("#kind", Input).value.strip().lower()
        minutes = self.query_one("#minutes", Input).value.strip()
        table = self.query_one("#table", Input).value.strip()
        whole = next((each for each in KINDS if kind and each.startswith(kind)), None)
        if whole is None:
            self.failed(BadInput(f"{kind!r} is not known", f"Write {', '.join(KINDS)} or the first letter."))
        elif minutes and not (minutes.isdigit() and 0 < int(minutes) <= 1440):
            self.failed(BadInput(f"{minutes!r} minutes cannot be right", "Write 1 to 1440, or nothing."))
        else:
            self.dismiss(
                replace(
                    self._words,
                    kind=whole,
                    minutes=int(minutes) if minutes else None,
                    table_name=table or None,
                )
            )
