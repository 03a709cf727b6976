"""The command line's entry: builds the parser, runs one command, shows every error in one place."""

from __future__ import annotations

import argparse
import importlib
import sys
from collections.abc import Sequence
from pathlib import Path

from journal.errors import JournalError

GROUPS = (
    "demo",
    "note",
    "reading",
    "transcribe",
    "lookup",
    "players",
    "history",
    "cause",
    "change",
    "plan",
    "practise",
    "progress",
    "questions",
    "shot",
    "template",
    "rules",
    "care",
    "screen",
)
"""Modules of journal.cli, each with ``add(subparsers)``; the order of the help."""


def build_parser() -> argparse.ArgumentParser:
    """Every command of the program."""
    parser = argparse.ArgumentParser(
        prog="plainball",
        description="A coaching journal for snooker and the other cue sports. Without a command it opens the screens.",
    )
    parser.add_argument(
        "--journal", metavar="PATH", help="the journal's file or database URL (or PLAINBALL_JOURNAL)"
    )
    parser.add_argument(
        "--own-rules", metavar="DIR", type=Path, help="a folder of your own rules (or PLAINBALL_RULES)"
    )
    parser.add_argument("--version", action="store_true", help="show the version and stop")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    here = Path(__file__).parent
    for name in GROUPS:
        if (here / f"{name}.py").exists():
            importlib.import_module(f"journal.cli.{name}").add(commands)
    return parser


def entry(argv: Sequence[str] | None = None) -> int:
    """Run one command; the exit status is 0, 1 for an error a person can mend, 2 for wrong usage, 130 when stopped."""
    from journal.desk import Desk

    parser = build_parser()
    args = parser.parse_args(argv)
    if args.version:
        from importlib.metadata import version

        print(version("plainball"))
        return 0
    desk = Desk(args.journal, args.own_rules)
    args.desk = desk
    try:
        if not args.command:
            args = parser.parse_args([*(sys.argv[1:] if argv is None else argv), "open"], args)
        return int(args.run(args))
    except JournalError as error:
        print(render(error), file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return 130
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    finally:
        desk.close()


def render(error: JournalError) -> str:
    """An error as the command line shows it: what happened, then how to mend it."""
    return f"plainball: {error.message}" + (f"\n  {error.hint}" if error.hint else "")


if __name__ == "__main__":
    raise SystemExit(entry())
