"""Choose another fault: from the ranked guesses, or by searching a name. What does not fit is not offered."""

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
    from collections.abc import Sequence

    from journal.ui.answers import Seen
    from knowledge.lookup.search import Hit
    from knowledge.reading.types import Guess

Choices = list[tuple[str, str, str]]
"""(fault id, name, what stands on the right)."""
WORD, COVERED, CHANCE = 4, 0.5, 0.2
"""A fault fits what was typed when it holds this share of the words, those of fewer letters only where they are
English, or when the recogniser hears it with this chance. Chosen by trial, no source."""


def fitting(query: str, hits: Sequence[Hit], guesses: Sequence[Guess]) -> list[Hit]:
    """The hits that answer what was typed; the others are only the least unlike and nobody meant them."""
    from knowledge.lookup.words import STOP, english, surface_words

    typed = [word for word in surface_words(query) if word not in STOP]
    heard = {each.fault for each in guesses if each.probability >= CHANCE}
    told = {word for word in typed if len(word) >= WORD or (len(word) == WORD - 1 and word in english())}

    def fits(hit: Hit) -> bool:
        name = surface_words(hit.title)
        there = {word for word in typed if any(each.startswith(word) for each in name)}
        for words in hit.matched:
            there |= told.intersection(surface_words(words))
        return hit.id in heard or (bool(typed) and len(there) / len(set(typed)) >= COVERED)

    return [hit for hit in hits if fits(hit)]


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
        self._shown_for: str | None = None
        """What was typed when the list on the screen was made."""
        self._wanted = False
        """Enter was pressed before the list for what is typed was there."""

    def body(self) -> Iterable[Widget]:
        yield heading("What did the words mean?")
        yield Static(f"“{short(self._row.words, 200)}”", classes="quiet", markup=False)
        yield Input(placeholder="type a name, or choose below", id="search")
        yield Static("nothing fits: other words?", id="nothing", classes="quiet", markup=False)
        yield OptionList(id="faults", markup=False)

    def on_mount(self) -> None:
        self.query_one("#nothing").display = False
        self._search = self.latest(self._found, self._show)
        self.query_one(Input).focus()
        self._search.ask("")

    @on(Input.Changed)
    def look(self, event: Input.Changed) -> None:
        """Search as it is typed."""
        self._wanted = False
        self._search.ask(event.value)

    def _found(self, query: str) -> Choices:
        rules = self.journal.tool("rules")
        if query.strip():
            hits = self.journal.tool("lookup").search(query, 9, kinds={"fault"})
            heard = self.journal.tool("reader").guesses(query, 3)
            return [(hit.id, hit.title, "") for hit in fitting(query, hits, heard)]
        guesses = self._row.guesses or self.journal.tool("reader").guesses(self._row.words, 9)
        return [
            (g.fault, rules.faults[g.fault].name, f"{g.probability:.0%}")
            for g in guesses
            if g.fault in rules.faults
        ]

    def _show(self, query: str, found: Choices) -> None:
        self._shown_for = query
        self._ids = [id_ for id_, _, _ in found] + ["none"]
        listing = self.query_one(OptionList)
        listing.clear_options()
        rows = [Option(Content.assemble(name, ("  " + right, "$text-muted"))) for _, name, right in found]
        listing.add_options([*rows, Option(Content("no fault at all"))])
        listing.highlighted = 0 if found else None
        self.query_one("#nothing").display = not found
        if self._wanted:
            self.action_take()

    def action_move(self, by: int) -> None:
        """Go through the list while the name field keeps the focus."""
        listing = self.query_one(OptionList)
        if self._ids:
            at = listing.highlighted
            listing.highlighted = 0 if at is None else (at + by) % len(self._ids)

    @on(Input.Submitted)
    def action_take(self) -> None:
        """Take the selected one, once the list is the one for what is typed; where nothing fits, nothing."""
        self._wanted = self.query_one(Input).value != self._shown_for
        if self._wanted:
            return
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
