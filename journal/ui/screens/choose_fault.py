"""Choose another fault: from the ranked guesses, or by searching a name."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from journal.ui.base import Dialog, heading
from journal.ui.words import short

if TYPE_CHECKING:
    from journal.ui.answers import Seen

Choices = list[tuple[str, str, str]]
"""(fault id, name, what stands on the right)."""


class ChooseFault(Dialog[str]):
    """Gives a fault's id, or "none" for no fault at all."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "take", "take it", key_display="enter"),
        Binding("down", "move(1)", "down", show=False),
        Binding("up", "move(-1)", "up", show=False),
        Binding("f8", "none", "no fault at all", key_display="F8"),
    ]

    def __init__(self, row: Seen) -> None:
        super().__init__()
        self._row = row
        self._ids: list[str] = []

    def body(self) -> Iterable[Widget]:
        yield heading("What did the words mean?")
        yield Static(f"“{short(self._row.words, 200)}”", classes="quiet", markup=False)
        yield Input(placeholder="type a name, or choose below", id="search")
        yield OptionList(id="faults", markup=False)

    def on_mount(self) -> None:
        self._search = self.latest(self._found, lambda _query, found: self._show(found))
        self.query_one(Input).focus()
        self._search.ask("")

    @on(Input.Changed)
    def look(self, event: Input.Changed) -> None:
        """Search as it is typed."""
        self._search.ask(event.value)

    def _found(self, query: str) -> Choices:
        rules = self.journal.tool("rules")
        if query.strip():
            hits = self.journal.tool("lookup").search(query, 9, kinds={"fault"})
            return [(hit.id, hit.title, "") for hit in hits]
        guesses = self._row.guesses or self.journal.tool("reader").guesses(self._row.words, 9)
        return [
            (g.fault, rules.faults[g.fault].name, f"{g.probability:.0%}")
            for g in guesses
            if g.fault in rules.faults
        ]

    def _show(self, found: Choices) -> None:
        self._ids = [id_ for id_, _, _ in found] + ["none"]
        listing = self.query_one(OptionList)
        listing.clear_options()
        rows = [Option(Content.assemble(name, ("  " + right, "$text-muted"))) for _, name, right in found]
        listing.add_options([*rows, Option(Content("no fault at all"))])
        listing.highlighted = 0

    def action_move(self, by: int) -> None:
        """Go through the list while the name field keeps the focus."""
        listing = self.query_one(OptionList)
        if self._ids:
            listing.highlighted = ((listing.highlighted or 0) + by) % len(self._ids)

    @on(Input.Submitted)
    def action_take(self) -> None:
        """Take the selected one."""
        at = self.query_one(OptionList).highlighted
        if at is not None and at < len(self._ids):
            self.dismiss(self._ids[at])

    @on(OptionList.OptionSelected)
    def clicked(self, event: OptionList.OptionSelected) -> None:
        """A click takes it."""
        if event.option_index < len(self._ids):
            self.dismiss(self._ids[event.option_index])

    def action_none(self) -> None:
        """The words spoke of no fault."""
        self.dismiss("none")
