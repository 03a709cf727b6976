"""plainball open: the screens. Without a command, plainball opens them too."""

from __future__ import annotations

import argparse
import io
import logging
import os
import sys
import threading
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from journal.desk import Desk

PATIENCE = 3.0
"""Seconds that leaving waits for work that is still going on; what was promised as saved is saved before."""


def add(subparsers: Any) -> None:
    """Register the command."""
    parser = subparsers.add_parser("open", help="open the screens (the same as no command)")
    parser.add_argument("--player", metavar="NAME", help="whose screens (default: the current player)")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Open the screens and stay there until they are left.

    Raises: JournalError when the journal cannot be opened.
    """
    return show(args.desk, args.player)


def show(desk: Desk, player: str | None = None) -> int:
    """Open the screens on a desk; the exit status. Raises: JournalError when the journal cannot be opened."""
    from journal.ui.app import JournalApp

    keep_log(Path(desk.folder) / "plainball.log")
    app = JournalApp(desk, player)
    error = app.run()
    if error is not None:
        raise error
    _end(desk, app.return_code or 0)
    return app.return_code or 0


def _end(desk: Desk, code: int) -> None:
    """Wait a little for what still runs. A native library torn down in mid-work would abort noisily."""
    for thread in threading.enumerate():
        if thread.name == "journal work":
            thread.join(PATIENCE)
    if any(thread.name == "journal work" for thread in threading.enumerate()):
        desk.close()
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


class _Private(logging.FileHandler):
    """A log that only its owner may read, made when there is something to say."""

    def _open(self) -> io.TextIOWrapper:
        number = os.open(self.baseFilename, os.O_CREAT | os.O_APPEND | os.O_WRONLY, 0o600)
        return os.fdopen(number, "a", encoding="utf-8", errors="backslashreplace")

    def handleError(self, record: logging.LogRecord) -> None:
        """A log that cannot be written must not disturb the screens."""


def keep_log(path: Path) -> None:
    """Send the journal's warnings to a file beside it instead of the screen."""
    logger = logging.getLogger("journal")
    for handler in [each for each in logger.handlers if isinstance(each, _Private)]:
        logger.removeHandler(handler)
    handler = _Private(path, delay=True)
    handler.setLevel(logging.WARNING)
    handler.setFormatter(logging.Formatter("%(asctime)s %(name)s: %(message)s"))
    logger.addHandler(handler)
    logger.propagate = False
