"""Which kept recording of a note to delete."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from journal.ui.base import Dialog, heading

if TYPE_CHECKING:
    from journal.recordings import Kept


class KeptSound(Dialog[str]):
    """Gives the file name of the recording to delete. missing: names of kept ones that are not there."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("x", "delete", "delete this one for good"),
        Binding("escape", "dismiss(None)", "leave all", key_display="esc"),
    ]

    def __init__(self, kept: Sequence[Kept], missing: Sequence[str] = ()) -> None:
        super().__init__()
        self._rows = [(each.path.name, each.facts) for each in kept]
        self._rows += [(name, "missing: moved or deleted") for name in missing]
        self._folder = str(kept[0].path.parent) if kept else ""

    def body(self) -> Iterable[Widget]:
        yield heading("Kept with this note")
        yield OptionList(
            *(Option(f"{number}.  {facts}") for number, (_, facts) in enumerate(self._rows, 1)), markup=False
        )
        yield Static("", id="place", classes="quiet", markup=False)

    def on_mount(self) -> None:
        self.query_one(OptionList).focus()

    @on(OptionList.OptionHighlighted)
    def where(self, event: OptionList.OptionHighlighted) -> None:
        """Where the file lies, to listen to it with any player."""
        name = self._rows[event.option_index][0]
        self.query_one("#place", Static).update(f"{self._folder}/{name}" if self._folder else name)

    def action_delete(self) -> None:
        """This one."""
        at = self.query_one(OptionList).highlighted
        if at is not None:
            self.dismiss(self._rows[at][0])
