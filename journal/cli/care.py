"""``plainball export``, ``backup``, ``restore`` and ``erase``: a person's records are theirs."""

from __future__ import annotations

import argparse
import getpass
import json
import os
import sys
from pathlib import Path
from typing import Any

from journal.cli.output import write_text
from journal.errors import BadInput
from journal.players import find_player


def add(commands: Any) -> None:
    """Register the four commands."""
    export = commands.add_parser("export", help="write everything kept of a player as JSON")
    export.add_argument("player", nargs="?", metavar="PLAYER", help="name or code (else the current player)")
    export.add_argument("--to", metavar="FILE", type=Path, help="the file (else standard output)")
    export.set_defaults(run=run_export)
    backup = commands.add_parser(
        "backup", help="write an encrypted backup of the journal file and its kept sound"
    )
    backup.add_argument("file", type=Path, help="the backup, such as journal.age")
    backup.set_defaults(run=run_backup)
    restore = commands.add_parser("restore", help="make a journal of a backup")
    restore.add_argument("file", type=Path, help="the backup")
    restore.set_defaults(run=run_restore)
    erase = commands.add_parser("erase", help="erase a player with everything kept of them")
    erase.add_argument("player", metavar="PLAYER", help="name or code")
    erase.add_argument("--yes", action="store_true", help="do not ask")
    erase.set_defaults(run=run_erase)


def run_export(args: argparse.Namespace) -> int:
    """Write the player's records."""
    from journal.sharing.export import everything_of

    with args.desk.store.work() as work:
        player = find_player(work, args.player)
        plain = everything_of(work, player)
    text = json.dumps(plain, ensure_ascii=False, indent=1, default=str)
    if args.to is None:
        print(text)
    else:
        write_text(args.to, text + "\n")
        print(f"written: {args.to}")
    kept = args.desk.recordings.names(player.id)
    if kept:
        print(
            f"Kept sound ({len(kept)}) is not in it: copy {args.desk.recordings.of_player(player.id)}",
            file=sys.stderr,
        )
    return 0


def run_backup(args: argparse.Namespace) -> int:
    """Write an encrypted backup."""
    from journal.sharing.backup import write_backup

    place, recordings = Path(args.desk.place).expanduser(), args.desk.recordings
    size, kept = write_backup(place, args.file, _phrase(twice=True), recordings.folder)
    print(f"written: {args.file} ({size:,} bytes, age format){_with(kept)}")
    return 0


def run_restore(args: argparse.Namespace) -> int:
    """Restore a backup into a new journal file."""
    from journal.sharing.backup import restore_backup

    place, recordings = Path(args.desk.place).expanduser(), args.desk.recordings
    kept = restore_backup(args.file, place, _phrase(twice=False), recordings.folder)
    print(f"restored: {args.desk.place}{_with(kept)}")
    return 0


def run_erase(args: argparse.Namespace) -> int:
    """Erase a player after asking."""
    from journal.sharing.export import erase_player

    with args.desk.store.work() as work:
        player = find_player(work, args.player)
        if not args.yes and input(f"Type {player.name} to erase everything kept of them: ") != player.name:
            raise BadInput("nothing was erased", "Type the name exactly, or use --yes.")
        gone = erase_player(work, player, args.desk.recordings)
        work.commit()
    counted = ", ".join(f"{count} {name.replace('_', ' ')}" for name, count in gone.items()) or "no records"
    print(f"erased: {player.name} with {counted}. Backups made before still hold them: remove those too.")
    return 0


def _with(kept: int) -> str:
    return f", with {kept} kept recording{'' if kept == 1 else 's'}" if kept else ""


def _phrase(twice: bool) -> str:
    """The passphrase from PLAINBALL_PASSPHRASE, or typed unseen."""
    given = os.environ.get("PLAINBALL_PASSPHRASE")
    if given is not None:
        return given
    if not sys.stdin.isatty():
        raise BadInput("no passphrase was given", "Set PLAINBALL_PASSPHRASE, or run it where you can type.")
    phrase = getpass.getpass("passphrase: ")
    if twice and getpass.getpass("again: ") != phrase:
        raise BadInput("the two passphrases differ", "Try again.")
    return phrase
