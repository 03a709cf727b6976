"""The README names every key of every screen with what it does."""

from __future__ import annotations

import importlib
from pathlib import Path

from textual.binding import Binding
from textual.keys import format_key

from journal.ui.rooms import ROOMS

README = Path(__file__).parents[2] / "README.md"


def keys_of_all_screens() -> dict[str, list[tuple[str, str]]]:
    """Screen's title to (key as shown, what it does)."""
    found = {}
    for module, name in ROOMS.values():
        screen = getattr(importlib.import_module(module), name)
        rows = []
        for holder in (screen, *screen.parts):
            for binding in Binding.make_bindings(holder.__dict__.get("BINDINGS", ())):
                if binding.description and binding.show:
                    shown = binding.key_display or format_key(binding.key).replace("^", "Ctrl+")
                    rows.append((shown, binding.description))
        found[name.removesuffix("Screen")] = list(dict.fromkeys(rows))
    return found


def test_every_key_stands_in_the_readme():
    text = README.read_text(encoding="utf-8")
    missing = [
        (screen, key, does)
        for screen, rows in keys_of_all_screens().items()
        for key, does in rows
        if f"`{key}` {does}" not in text
    ]
    assert not missing
