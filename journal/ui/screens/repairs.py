"""Words put right after dictation: each repair is shown and can be taken back."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from journal.ui.base import Dialog, heading

if TYPE_CHECKING:
    from journal.voice.repair import Repair


class Repairs(Dialog[str]):
    """Gives the text back with the repairs that were left standing."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("x", "undo", "as it was heard"),
        Binding("enter", "take", "take it all", key_display="enter", priority=True),
        Binding("escape", "take", show=False),
    ]

    def __init__(self, text: str, repairs: Sequence[Repair]) -> None:
        super().__init__()
        self._text, self._repairs = text, list(repairs)
        self._undone: set[int] = set()

    def body(self) -> Iterable[Widget]:
        yield heading("Put right: is that what you said?")
        yield OptionList(id="repairs", markup=False)

    def on_mount(self) -> None:
        self._list(0)
        self.query_one(OptionList).focus()

    def _list(self, at: int) -> None:
        listing = self.query_one(OptionList)
        listing.clear_options()
        for number, each in enumerate(self._repairs):
            kept = number not in self._undone
            state = "put right" if kept else "as heard"
            listing.add_option(
                Option(
                    Content.assemble(
                        f"“{each.heard}” → “{each.meant}”  ", (state, "bold" if kept else "$text-muted")
                    )
                )
            )
        listing.highlighted = at

    def action_undo(self) -> None:
        """Take one back, or put it right again."""
        at = self.query_one(OptionList).highlighted
        if at is not None:
            self._undone ^= {at}
            self._list(at)

    def action_take(self) -> None:
        """Done."""
        text = self._text
        for number in sorted(self._undone, key=lambda n: -self._repairs[n].start):
            each = self._repairs[number]
            text = text[: each.start] + each.heard + text[each.end :]
        self.dismiss(text)
