"""What commands share: plain tables, JSON, reading input files."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal.errors import BadInput, CannotWrite

if TYPE_CHECKING:
    from journal.recordings import Kept, Recordings
    from journal.records import Note

MAX_BYTES = 64_000_000


def as_json(value: Any) -> None:
    """Print one JSON value on one line."""
    print(json.dumps(value, ensure_ascii=False, default=str))


def read_input(name: str) -> str:
    """The text of a file, or of standard input for "-".

    NUL bytes and other control characters become spaces, so that offsets stay true.
    Raises: BadInput when there is no such file or it is no text.
    """
    try:
        raw = sys.stdin.buffer.read(MAX_BYTES + 1) if name == "-" else Path(name).read_bytes()
    except OSError as error:
        raise BadInput(
            f"{name} cannot be read: {error.strerror}", "Name a text file, or - for standard input."
        ) from error
    if len(raw) > MAX_BYTES:
        raise BadInput(f"{name} is larger than {MAX_BYTES // 1_000_000} MB", "Cut it into smaller files.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadInput(f"{name} is not UTF-8 text (byte {error.start})", "Save it as UTF-8.") from error


def write_text(path: Path, text: str) -> None:
    """Write a file. Raises: CannotWrite."""
    try:
        path.write_text(text, encoding="utf-8", newline="")
    except OSError as error:
        raise CannotWrite(
            f"{path} cannot be written: {error.strerror}", "Name a file in a folder you may write to."
        ) from error


def kept_lines(recordings: Recordings, note: Note) -> Iterator[str]:
    """What sound is kept with a note and where, and what should be and is gone."""
    for kept in recordings.of_note(note.player_id, note.id):
        yield f"sound kept: {kept.facts}, {kept.path}"
    for name in recordings.missing(note):
        yield f"! kept sound is missing: {recordings.of_player(note.player_id) / name}"


def as_kept(kept: Iterable[Kept]) -> list[dict[str, Any]]:
    """Kept recordings for JSON."""
    return [{"file": str(each.path), "bytes": each.size, "seconds": each.seconds} for each in kept]


def each_line(name: str, field: str, answer: Callable[[str], dict[str, Any]]) -> None:
    """For --jsonl: one JSON object a line in, one out, in the same order; a bad line gets an "error" object."""
    for number, line in enumerate(read_input(name).splitlines(), 1):
        if not line.strip():
            continue
        as_json(_one_line(number, line, field, answer))
        sys.stdout.flush()


def _one_line(number: int, line: str, field: str, answer: Callable[[str], dict[str, Any]]) -> dict[str, Any]:
    try:
        item = json.loads(line)
    except (json.JSONDecodeError, RecursionError) as error:
        return {"id": None, "error": f"line {number} is no JSON: {error}"}
    if not isinstance(item, dict) or not isinstance(item.get(field), str):
        known = item.get("id") if isinstance(item, dict) else None
        return {"id": known, "error": f"line {number} has no {field!r} text"}
    return {"id": item.get("id"), **answer(item[field])}


def table(rows: Iterable[Iterable[Any]], gap: int = 2) -> Iterator[str]:
    """Rows as aligned lines."""
    cells = [[str(cell) for cell in row] for row in rows]
    widths = [
        max(len(row[n]) for row in cells if n < len(row)) for n in range(max(map(len, cells), default=0))
    ]
    for row in cells:
        yield (" " * gap).join(cell.ljust(width) for cell, width in zip(row, widths, strict=False)).rstrip()
