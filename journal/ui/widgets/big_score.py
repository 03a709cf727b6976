"""A score in figures five lines high, to be read from two metres away."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

from journal.ui.widgets.big_words import LETTERS

_ROWS = {
    **{digit: LETTERS[digit] for digit in "0123456789"},
    "/": "..# ..# .#. #.. #..",
    ":": "... .#. ... .#. ...",
}
"""Each sign in three columns and five rows; a column is drawn two characters wide."""


class BigScore(Static):
    """Hits/tries, or the points of two players as one:two."""

    DEFAULT_CSS = "BigScore { width: auto; min-width: 24; height: 5; padding: 0 1; }"

    def __init__(self) -> None:
        super().__init__("", id="score", markup=False)
        self.score = ""

    def show(self, score: str) -> None:
        """Show this score."""
        self.score = score
        rows = [_ROWS[sign].split() for sign in score if sign in _ROWS]
        lines = ["  ".join(row[n].replace("#", "██").replace(".", "  ") for row in rows) for n in range(5)]
        self.update(Content.styled("\n".join(lines), "$accent"))
