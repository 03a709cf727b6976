"""Compare: two players at one drill, a dilemma's answers, or two cues or tables, side by side with spread."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from journal.ui.base import JournalScreen
from journal.ui.screens.compare_parts import Compared, gather, line, picture

if TYPE_CHECKING:
    from journal.store.work import UnitOfWork


class CompareScreen(JournalScreen):
    """Rows of what can be compared; the selected one drawn below."""

    room = "Compare"
    about = "Two players, a dilemma's answers, two cues or tables: side by side, and whether it can be told."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y", "other(1)", "with the next player"),
        Binding("Y", "other(-1)", "with the player before", show=False),
        Binding("o", "entry", "what is it"),
    ]
    CSS = """
    #pairs { height: auto; max-height: 35%; }
    #beside { height: 1fr; border-top: solid $panel; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._found: Compared | None = None
        self._with = 0

    def body(self) -> Iterable[Widget]:
        yield OptionList(id="pairs", markup=False)
        yield VerticalScroll(Static("", id="sides", classes="block", markup=False), id="beside")

    def on_mount(self) -> None:
        self.reload()

    def reload(self) -> None:
        """Gather what can be compared: with oneself first, then with each other player."""
        player, number = self.player, self._with

        def found(work: UnitOfWork) -> Compared:
            return gather(work, self.journal.tool("rules"), player, number)

        self.at_desk(found, self._show, last="compared")

    def _show(self, found: Compared) -> None:
        self._found = found
        listing = self.query_one(OptionList)
        listing.clear_options()
        room = max(40, self.size.width - 4)
        listing.add_options([Option(line(each, found.names, room)) for each in found.pairs])
        if found.pairs:
            listing.highlighted = 0
        else:
            listing.add_option(Option(found.nothing, disabled=True))
            self.query_one("#sides", Static).update("")
        self.title_line(f"Compare · {self.player.name}", found.against)
        listing.focus()
        self.refresh_bindings()

    @on(OptionList.OptionHighlighted)
    def draw(self, event: OptionList.OptionHighlighted) -> None:
        """The selected pair side by side."""
        self._draw(event.option_index)

    def _draw(self, at: int) -> None:
        if self._found is not None and at < len(self._found.pairs):
            room = self.query_one("#beside").size
            text = picture(self._found.pairs[at], self._found.names, max(40, room.width - 4), room.height)
            self.query_one("#sides", Static).update(Content(text))

    def on_resize(self) -> None:
        at = self.query_one(OptionList).highlighted
        if at is not None:
            self.call_after_refresh(self._draw, at)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action == "other":
            return self._found is not None and self._found.choices > 1
        if action == "entry":
            return bool(self._found and self._found.pairs)
        return super().check_action(action, parameters)

    def action_other(self, step: int) -> None:
        """Compare with the next player, or with oneself again."""
        if self._found is not None:
            self._with = (self._with + step) % self._found.choices
            self.reload()

    def action_entry(self) -> None:
        """Read about the drill or the dilemma."""
        at = self.query_one(OptionList).highlighted
        if self._found is not None and at is not None and at < len(self._found.pairs):
            self.journal.go("look up", self._found.pairs[at].ref)
