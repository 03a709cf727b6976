"""plainball open: the screens. Without a command, plainball opens them too."""

from __future__ import annotations

import argparse
import logging
from typing import Any


def add(subparsers: Any) -> None:
    """Register the command."""
    parser = subparsers.add_parser("open", help="open the screens (the same as no command)")
    parser.add_argument("--player", metavar="NAME", help="whose screens (default: the current player)")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Open the screens and stay there until they are left. Raises: JournalError when the journal cannot be opened."""
    from journal.ui.app import JournalApp

    logging.getLogger("journal").addHandler(logging.NullHandler())
    app = JournalApp(args.desk, args.player)
    error = app.run()
    if error is not None:
        raise error
    return app.return_code or 0
