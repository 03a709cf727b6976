"""Every screen and every key, taken from the screens themselves, so that nothing is missing here."""

from __future__ import annotations

import importlib
from collections.abc import Iterable, Iterator
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from journal.ui.base import JournalScreen
from journal.ui.rooms import ROOMS


class HelpScreen(JournalScreen):
    """All keys, those of the screen it was opened from first."""

    room = "All keys"
    about = "This list. ^ is the Ctrl key; arrows, Tab and the mouse work everywhere."
    BINDINGS: ClassVar[list[BindingType]] = [Binding("f1,question_mark", "leave", "back", show=False)]

    def body(self) -> Iterable[Widget]:
        yield VerticalScroll(Static("", id="keys", classes="block", markup=False))

    def on_mount(self) -> None:
        self.query_one(VerticalScroll).focus()
        self.query_one("#keys", Static).update(Content("\n").join(self._lines()))

    def _lines(self) -> Iterator[Content]:
        yield Content("Everywhere: esc goes back, F1 opens this list, ^q leaves, F9 changes light and dark.")
        came_from = type(self.app.screen_stack[-2]).__name__ if len(self.app.screen_stack) > 1 else ""
        for module, name in sorted(ROOMS.values(), key=lambda room: room[1] != came_from):
            try:
                screen = getattr(importlib.import_module(module), name)
            except ImportError:
                continue
            yield Content("")
            yield Content.assemble(
                (screen.room if name != "TodayScreen" else "Today", "bold $primary"), f"  {screen.about}"
            )
            for holder in (screen, *screen.parts):
                if holder is not screen:
                    yield Content("  with the sightings in focus (F2 or Tab):")
                yield from self._keys_of(holder)

    def _keys_of(self, holder: type[Widget]) -> Iterator[Content]:
        told: set[str] = set()
        for binding in Binding.make_bindings(holder.__dict__.get("BINDINGS", ())):
            if not binding.description or (not binding.show and holder is not type(self)):
                continue
            if binding.description in told:  # a second key for the same
                continue
            told.add(binding.description)
            label = binding.key_display or self.app.get_key_display(binding)
            yield Content.assemble("  ", (label.ljust(7), "bold $accent"), binding.description)
