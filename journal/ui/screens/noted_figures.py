"""The scores and measures of a stored note: put a wrong number right, or drop what was not meant."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from journal.ui.base import Dialog, heading
from journal.ui.screens.note_parts import figure_line

if TYPE_CHECKING:
    from journal.records import Figure
    from knowledge.rulebase import RuleBase

_NUMBER = re.compile(r"\s*(\d{1,6}(?:[.,]\d{1,3})?)(?:\s*(?:out of|of|/)\s*(\d{1,6}))?\s*")


def corrected(figure: Figure, said: str) -> Figure | None:
    """The figure with the number said ("8", "8 of 10", "31.5"); None where it is no number or more than its total."""
    match = _NUMBER.fullmatch(said)
    if not match or (match[2] and figure.unit):
        return None
    value = float(match[1].replace(",", "."))
    total = float(match[2]) if match[2] else figure.of
    return None if total is not None and value > total else replace(figure, value=value, of=total)


class NotedFigures(Dialog["tuple[Figure, bool]"]):
    """Gives the figure and whether it stays: changed when it does, to be dropped when not."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("c", "correct", "correct the number"),
        Binding("x", "drop", "drop: not meant"),
        Binding("escape", "leave", "leave", key_display="esc"),
    ]
    CSS = "NotedFigures Input { display: none; }"

    def __init__(self, figures: Sequence[Figure], rules: RuleBase) -> None:
        super().__init__()
        self._figures, self._rules = figures, rules

    def body(self) -> Iterable[Widget]:
        yield heading("Scores and measures of this note")
        yield OptionList(*(Option(figure_line(self._rules, each)) for each in self._figures), markup=False)
        yield Input(placeholder="the right number: 8, 8 of 10 or 31.5; enter keeps it")

    def on_mount(self) -> None:
        self.query_one(OptionList).focus()

    @property
    def _chosen(self) -> Figure | None:
        at = self.query_one(OptionList).highlighted
        return None if at is None else self._figures[at]

    @on(OptionList.OptionSelected)
    def action_correct(self) -> None:
        """Ask for the right number."""
        if self._chosen is not None:
            asked = self.query_one(Input)
            asked.display = True
            asked.focus()

    @on(Input.Submitted)
    def said(self, event: Input.Submitted) -> None:
        """Take the number, or say what is wrong with it."""
        figure = self._chosen
        if figure is None:
            return
        right = corrected(figure, event.value)
        if right is None:
            self.tell(f"“{event.value}” does not fit here", "Write 8, 8 of 10 or 31.5.", error=True)
        else:
            self.dismiss((right, True))

    def action_drop(self) -> None:
        """This one was not meant."""
        if self._chosen is not None:
            self.dismiss((self._chosen, False))

    def action_leave(self) -> None:
        """Out of the number first, then out of the list."""
        asked = self.query_one(Input)
        if asked.display:
            asked.display = False
            self.query_one(OptionList).focus()
        else:
            self.dismiss(None)
