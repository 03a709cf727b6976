"""A field for words, in which the words behind a sighting can be underlined."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rich.text import Text
from textual.document._document import Document, EditResult
from textual.widgets import TextArea
from textual.widgets.text_area import Edit

_KEPT = "\n\t"


def printable(text: str) -> str:
    """Control characters become spaces, one for one, so that offsets stay true."""
    if text.isprintable():
        return text
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(c if (c >= " " and c != "\x7f") or c in _KEPT else " " for c in text)


class NoteArea(TextArea):
    """Words only: no markup, no code. Tab goes on to the next field."""

    def __init__(self, name: str, hint: str) -> None:
        super().__init__(
            id=name, placeholder=hint, soft_wrap=True, tab_behavior="focus", highlight_cursor_line=False
        )
        self._lined: tuple[tuple[int, int], ...] = ()

    def edit(self, edit: Edit) -> EditResult:
        """Every change comes through here, typed or pasted."""
        return super().edit(replace(edit, text=printable(edit.text)))

    def underline(self, spans: Sequence[tuple[int, int]]) -> None:
        """Underline these stretches (character offsets, end exclusive) and show the first."""
        if tuple(spans) == self._lined:
            return
        self._lined = tuple(spans)
        self._line_cache.clear()
        if self._lined and not self.has_focus:
            self.move_cursor(self._lines.get_location_from_index(min(self._lined[0][0], len(self.text))))
        self.refresh()

    @property
    def _lines(self) -> Document:
        assert isinstance(self.document, Document)
        return self.document

    def get_line(self, line_index: int) -> Text:
        line = super().get_line(line_index)
        if self._lined:
            start = self._lines.get_index_from_location((line_index, 0))
            for left, right in self._lined:
                if left < start + len(line) and right > start:
                    line.stylize("underline bold", max(0, left - start), min(len(line), right - start))
        return line
