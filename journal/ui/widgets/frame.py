"""The frame of every screen: a title line, one place for messages, and the keys that work now."""

from __future__ import annotations

from dataclasses import dataclass

from textual import events
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static


class TitleLine(Static):
    """What this is and whose, and on the right what is worth knowing now."""

    def __init__(self, left: str = "", right: str = "") -> None:
        super().__init__(markup=False)
        self._left, self._right = left, right

    def say(self, left: str | None = None, right: str | None = None) -> None:
        """Change one side or both."""
        self._left = self._left if left is None else left
        self._right = self._right if right is None else right
        self.refresh()

    def render(self) -> Content:
        room = max(0, self.content_size.width)
        right = self._right[:room]
        left = self._left[: max(0, room - len(right) - 1)]
        gap = " " * max(1, room - Content(left).cell_length - Content(right).cell_length)
        return Content.assemble((left, "bold $primary"), gap, (right, "$text-muted"))


class Notice(Static):
    """The one place where errors and confirmations are shown: what happened, then how to mend it."""

    def __init__(self) -> None:
        super().__init__(markup=False)
        self.told = 0
        """How often something was said here, so that what is new can be told from what was there."""
        self._error = False

    @property
    def shown(self) -> bool:
        """Whether something stands here now."""
        return self.has_class("-shown")

    @property
    def error(self) -> bool:
        """Whether what stands here tells of something that went wrong."""
        return self.shown and self._error

    def tell(self, message: str, hint: str = "", *, error: bool = False) -> None:
        """Show something until the next one or until it is put away."""
        mark, style = ("! ", "bold $error") if error else ("· ", "bold")
        parts = [(mark + message[:600], style)]
        if hint:
            parts.append(("\n  " + hint[:600], ""))
        self.update(Content.assemble(*parts))
        self.told += 1
        self._error = error
        self.add_class("-shown")

    def put_away(self) -> None:
        """Hide it."""
        self.remove_class("-shown")

    def on_click(self) -> None:
        self.put_away()


@dataclass(frozen=True, slots=True)
class _Spot:
    line: int
    start: int
    end: int
    key: str


class KeyLine(Static):
    """Every key that works now, with what it does; a click does the same."""

    def __init__(self) -> None:
        super().__init__(markup=False)
        self._spots: list[_Spot] = []

    def on_mount(self) -> None:
        self.screen.bindings_updated_signal.subscribe(self, self._changed)
        self.relist()

    def on_resize(self) -> None:
        self.relist()

    def _changed(self, _screen: Screen[object]) -> None:
        self.relist()

    def relist(self) -> None:
        """Lay the keys out over as many lines as they need."""
        if not self.is_attached:
            return
        room = max(20, (self.container_size.width or 80) - 2)
        shown: dict[str, tuple[str, str]] = {}
        everywhere = ("escape", "f1", "ctrl+q")
        active_keys = self.screen.active_bindings.values()
        for active in sorted(active_keys, key=lambda each: each.binding.key in everywhere):
            binding = active.binding
            if binding.show and binding.description and active.enabled:
                label = binding.key_display or self.app.get_key_display(binding)
                shown.setdefault(f"{label} {binding.description}", (label, binding.key))
        for key, binding in self.screen._bindings:  # a field's own enter hides the dialog's
            if key == "enter" and binding.show and self.screen.check_action(binding.action, ()):
                label = binding.key_display or self.app.get_key_display(binding)
                shown.setdefault(f"{label} {binding.description}", (label, key))
        parts: list[str | tuple[str, str]] = []
        self._spots, line, column = [], 0, 0
        for words, (label, key) in shown.items():
            width = len(words)
            if column and column + 2 + width > room:
                parts.append("\n")
                line, column = line + 1, 0
            elif column:
                parts.append("  ")
                column += 2
            parts += [(label, "bold $accent"), words[len(label) :]]
            self._spots.append(_Spot(line, column, column + width, key))
            column += width
        self.update(Content.assemble(*parts))

    def on_click(self, event: events.Click) -> None:
        place = event.get_content_offset(self)
        if place is None:
            return
        for spot in self._spots:
            if spot.line == place.y and spot.start <= place.x < spot.end:
                self.app.simulate_key(spot.key)
