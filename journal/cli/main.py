"""The command line's entry: builds the parser, runs one command, shows every error in one place."""

from __future__ import annotations

import argparse
import importlib
import sys
from collections.abc import Sequence
from pathlib import Path

from journal.errors import JournalError

GROUPS: dict[str, tuple[str, ...]] = {
    "journal.cli.demo": ("demo",),
    "journal.ui.command": ("open",),
    "journal.cli.note": ("note",),
    "journal.cli.reading": ("read",),
    "journal.cli.transcribe": ("transcribe",),
    "journal.cli.lookup": ("lookup",),
    "journal.cli.players": ("players",),
    "journal.cli.history": ("history",),
    "journal.cli.cause": ("cause", "check"),
    "journal.cli.change": ("change", "trial"),
    "journal.cli.plan": ("plan", "free", "match"),
    "journal.cli.practise": ("practise",),
    "journal.cli.progress": ("progress",),
    "journal.cli.questions": ("ask",),
    "journal.cli.shot": ("shot",),
    "journal.cli.template": ("template",),
    "journal.cli.rules": ("rules",),
    "journal.cli.care": ("export", "backup", "restore", "erase"),
}
"""Module, with ``add(subparsers)``, to the commands it registers; the order of the help. Modules are named, not
imported: a command loads only its own, and the screens stay unknown to the commands."""


def build_parser(only: str | None = None) -> argparse.ArgumentParser:
    """The parser of every command, or of the module that holds one command."""
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
    for module, names in GROUPS.items():
        if only is None or only in names:
            importlib.import_module(module).add(commands)
    return parser


def named_command(words: Sequence[str]) -> str | None:
    """The command among the words, "open" when there is none, or None when the whole help is needed."""
    known = {name for names in GROUPS.values() for name in names}
    takes_value = False
    for word in words:
        if takes_value:
            takes_value = False
        elif word in ("--journal", "--own-rules"):
            takes_value = True
        elif not word.startswith("-"):
            return word if word in known else None
        elif word in ("-h", "--help"):
            return None
    return "open"


def entry(argv: Sequence[str] | None = None) -> int:
    """Run one command; the exit status is 0, 1 for an error a person can mend, 2 for wrong usage, 130 when stopped."""
    from journal.desk import Desk

    words = list(sys.argv[1:] if argv is None else argv)
    parser = build_parser(named_command(words))
    args = parser.parse_args(words)
    if args.version:
        from importlib.metadata import version

        print(version("plainball"))
        return 0
    desk = Desk(args.journal, args.own_rules)
    args.desk = desk
    try:
        if not args.command:
            args = parser.parse_args([*words, "open"], args)
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
