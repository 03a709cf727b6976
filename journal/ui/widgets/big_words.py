"""A few words in letters three lines high, to be read from two metres away."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

LETTERS = {
    "a": ".#. #.# ### #.# #.#",
    "b": "##. #.# ##. #.# ##.",
    "c": ".## #.. #.. #.. .##",
    "d": "##. #.# #.# #.# ##.",
    "e": "### #.. ##. #.. ###",
    "f": "### #.. ##. #.. #..",
    "g": ".### #... #.## #..# .###",
    "h": "#.# #.# ### #.# #.#",
    "i": "# # # # #",
    "j": "..# ..# ..# #.# .#.",
    "k": "#.# #.# ##. #.# #.#",
    "l": "#.. #.. #.. #.. ###",
    "m": "#...# ##.## #.#.# #...# #...#",
    "n": "#..# ##.# #.## #..# #..#",
    "o": "### #.# #.# #.# ###",
    "p": "### #.# ### #.. #..",
    "q": "### #.# #.# ### ..#",
    "r": "##. #.# ##. #.# #.#",
    "s": ".## #.. .#. ..# ##.",
    "t": "### .#. .#. .#. .#.",
    "u": "#.# #.# #.# #.# ###",
    "v": "#.# #.# #.# #.# .#.",
    "w": "#...# #...# #.#.# ##.## #...#",
    "x": "#.# #.# .#. #.# #.#",
    "y": "#.# #.# .#. .#. .#.",
    "z": "### ..# .#. #.. ###",
    "0": "### #.# #.# #.# ###",
    "1": ".#. ##. .#. .#. ###",
    "2": "### ..# ### #.. ###",
    "3": "### ..# .## ..# ###",
    "4": "#.# #.# ### ..# ..#",
    "5": "### #.. ### ..# ###",
    "6": "### #.. ### #.# ###",
    "7": "### ..# ..# .#. .#.",
    "8": "### #.# ### #.# ###",
    "9": "### #.# ### ..# ###",
    ".": ". . . . #",
    "-": "... ... ### ... ...",
    " ": ".. .. .. .. ..",
}
"""Five rows a letter; a column is one character wide, and two rows share one line."""
_PAIRS = {"..": " ", "#.": "▀", ".#": "▄", "##": "█"}


def width_of(words: str) -> int:
    """Columns that the words take."""
    return sum(len(LETTERS[letter].split()[0]) + 1 for letter in words.lower() if letter in LETTERS)


def fitting(words: str, width: int) -> str:
    """As many whole words from the beginning as fit, at least one."""
    kept = words.split()
    while len(kept) > 1 and width_of(" ".join(kept)) > width:
        kept.pop()
    return " ".join(kept)


def drawn_large(words: str) -> str:
    """The words as three lines; signs without a letter are left out."""
    rows = [LETTERS[letter].split() for letter in words.lower() if letter in LETTERS]
    lines = [".".join(row[n] for row in rows) for n in range(5)]
    lines.append("." * len(lines[0]))
    return "\n".join(
        "".join(_PAIRS[over + under] for over, under in zip(lines[n], lines[n + 1], strict=True)).rstrip()
        for n in (0, 2, 4)
    )


class BigWords(Static):
    """One short phrase."""

    DEFAULT_CSS = "BigWords { width: 1fr; height: 3; margin: 0 0 1 0; padding: 0 1; }"

    def __init__(self) -> None:
        super().__init__("", id="now", markup=False)
        self.words = ""

    def show(self, words: str) -> None:
        """Show what fits of the words; none hides the widget."""
        self.display = bool(words)
        if words:
            self.words = fitting(words, max(20, self.app.size.width - 4))
            self.update(Content.styled(drawn_large(self.words), "$warning"))
