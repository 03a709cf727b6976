"""Hints of the use cases as a person at the screens can follow them: the key and its room instead of the command.

A use case names the command, because it knows no screen. What only the command line can do (the journal's file,
a coach's own rules, sound files) keeps its command, and says where to type it.
"""

from __future__ import annotations

import re

_RULES: tuple[tuple[str, str], ...] = (
    (r"e\.g\.: plainball free NAME ('[^']*')", r"with l on the first screen (Plan), then t, such as \1"),
    (r"plainball (?:free|match)\b[^,;.)]*", "l on the first screen (Plan), then t"),
    (r"plainball lookup WORDS", "f on the first screen (Look up)"),
    (r"plainball history", "h on the first screen (History)"),
    (r"plainball players add NAME", "y on the first screen (Players), then a"),
    (r"plainball players", "y on the first screen (Players)"),
    (r"plainball cause PLAYER", "c on the first screen (Find the cause)"),
    (r"plainball change PLAYER start", "c on the first screen (Find the cause), then c"),
    (
        r"plainball change PLAYER end kept \(or dropped\)",
        "g on the first screen (Progress), then k to keep or x to drop",
    ),
    (r"Name one with --player\.", "Choose one with y on the first screen (Players)."),
    (r"(Start it the day after), or add --despite-match", r"\1, or press d in spite of the match"),
    (
        r"Add who consented: --guardian ('[^']*')",
        r"Write who consented into guardian's consent, such as \1",
    ),
    (r", or add --relax to let the plan give way", ""),
    (r"^Run: (?=plainball rules)", "Leave with Ctrl+Q and type: "),
    (r"Write one: (?=plainball rules)", "Write one on the command line: "),
    (r"Sound files work: (?=plainball transcribe)", "Sound files work on the command line: "),
    (r"with --journal PATH\b(?! or)", "with --journal PATH when you start plainball"),
    (r"with --journal PATH or PLAINBALL_JOURNAL", r"\g<0> when you start plainball"),
)
"""What a use case says and what a screen says instead; the first rules are the longer ones."""

_COMPILED = tuple((re.compile(said), shown) for said, shown in _RULES)


def on_screen(hint: str, room: str = "") -> str:
    """The hint in keys and rooms; what names no command comes back as it is.

    room: where the person is already, whose key on the first screen is then left out.
    """
    for said, shown in _COMPILED:
        hint = said.sub(shown, hint)
    if room:
        here = rf"\w on the first screen \({re.escape(room)}\)"
        hint = re.sub(rf"{here}, then (?=\w)", "", hint)
        hint = re.sub(here, "this screen", hint)
    return hint
