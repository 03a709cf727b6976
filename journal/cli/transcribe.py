"""``plainball transcribe``: sound files or folders of voice messages in, text out."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from journal.errors import JournalError

if TYPE_CHECKING:
    from journal.voice.transcriber import Transcriber, Transcript


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser(
        "transcribe",
        help="turn spoken notes into text",
        description="Turn spoken notes (WAV, FLAC, OGG, MP3, M4A) into text, on this computer.",
    )
    parser.add_argument(
        "files", nargs="+", type=Path, metavar="FILE", help="a sound file, or a folder of them taken in order"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object a file instead of plain text")
    parser.add_argument(
        "--model", type=Path, metavar="DIR", help="a larger speech model that you installed yourself"
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print each file's text in order. A file that fails is named and the others go on; then the code is
    1."""
    from journal.voice.inbox import sound_files
    from journal.voice.transcriber import Transcriber

    files = sound_files(args.files)
    transcriber = Transcriber(tuple(args.desk.rules.terms.values()), model=args.model)
    failed = 0
    for path in files:
        try:
            transcript = _transcribe(transcriber, path, named=len(files) > 1 and not args.json)
        except JournalError as error:
            if len(files) == 1:
                raise
            failed += 1
            print(f"{error.message}\n  {error.hint}", file=sys.stderr)
            continue
        print(
            json.dumps(_as_json(transcript, path, len(files) > 1), ensure_ascii=False)
            if args.json
            else transcript.text
        )
    return 1 if failed else 0


def _transcribe(transcriber: Transcriber, path: Path, *, named: bool) -> Transcript:
    bar = _Bar(path.name) if sys.stderr.isatty() else None
    transcript = transcriber.transcribe(path, bar.show if bar else None)
    if bar:
        bar.clear()
    if named:
        print(f"— {path.name}")
    return transcript


def _as_json(transcript: Transcript, path: Path, many: bool) -> dict[str, object]:
    found = asdict(transcript)
    found["seconds_audio"] = round(transcript.seconds_audio, 3)
    found["seconds_taken"] = round(transcript.seconds_taken, 3)
    return {"file": str(path), **found} if many else found


class _Bar:
    """One line on a terminal that fills while a file is heard."""

    width = 30

    def __init__(self, name: str) -> None:
        self.name = name

    def show(self, share: float) -> None:
        full = round(share * self.width)
        print(
            f"\r{self.name}  [{'█' * full}{'·' * (self.width - full)}] {share:4.0%}",
            end="",
            file=sys.stderr,
            flush=True,
        )

    def clear(self) -> None:
        print("\r\033[K", end="", file=sys.stderr, flush=True)
