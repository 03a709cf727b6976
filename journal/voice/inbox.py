"""Which sound files a person means, and in which order they were spoken."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from journal.voice.audio import SUFFIXES
from journal.voice.errors import UnreadableAudio


def sound_files(named: Iterable[Path]) -> list[Path]:
    """Files as named; a folder stands for its sound files, note2 before note10, each file once.

    Raises: UnreadableAudio for a folder without one.
    """
    found: dict[Path, None] = {}
    for path in named:
        if not path.is_dir():
            found[path] = None
            continue
        inside = sorted(
            (p for p in path.iterdir() if p.suffix.lower() in SUFFIXES and p.is_file()), key=_in_order
        )
        if not inside:
            raise UnreadableAudio(
                f"{path} holds no sound file.", "WAV, FLAC, OGG, MP3 and M4A are understood."
            )
        found.update(dict.fromkeys(inside))
    return list(found)


def _in_order(path: Path) -> list[tuple[int, int, str]]:
    """Numbers in a name count as numbers."""
    parts = re.split(r"(\d+)", path.name.casefold())
    return [(0, int(p), "") if p.isdigit() else (1, 0, p) for p in parts if p]
