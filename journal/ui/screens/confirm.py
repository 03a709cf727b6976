"""A question that needs a yes."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Static

from journal.ui.base import Dialog, heading


class Confirm(Dialog[bool]):
    """Gives True for yes; anything else leaves things as they are."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y", "dismiss(True)", "yes"),
        Binding("n", "dismiss(False)", "no"),
    ]

    def __init__(self, question: str, more: str = "") -> None:
        super().__init__()
        self._question, self._more = question, more

    def body(self) -> Iterable[Widget]:
        yield heading(self._question)
        yield Static(self._more, classes="block", markup=False)
