"""``plainball free`` and ``match``: when somebody can practise, and when they play."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from journal.cli.output import as_json, table

if TYPE_CHECKING:
    from journal.desk import Desk
    from journal.freetimes import Listing, Told
    from journal.records import Player


def add_free(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register ``free``."""
    free = subparsers.add_parser(
        "free",
        help="say when a player can practise",
        description="Say in plain words when a player can practise, or list what is known. "
        "Example: plainball free Ada 'Tue and Thu 19:00, 45 min, not on the 14th'",
    )
    free.add_argument("player", metavar="PLAYER")
    free.add_argument("words", nargs="*", metavar="WORDS", help="free times and matches in plain words")
    free.add_argument(
        "--from-ics", type=Path, metavar="FILE", help="read matches and work from a calendar file"
    )
    free.add_argument("--remove", metavar="N|all", help="take out the N-th of the list, or all")
    free.add_argument("--json", action="store_true", help="one JSON object")
    free.set_defaults(run=run_free)


def add_match(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register ``match``."""
    match = subparsers.add_parser(
        "match", help="note a match ahead", description="Note a match, or list the matches ahead."
    )
    match.add_argument("player", metavar="PLAYER")
    match.add_argument("day", nargs="?", metavar="DAY", help="2026-05-14, 14 May, Saturday …")
    match.add_argument("time", nargs="?", metavar="TIME", help="19:30; without it the evening is taken")
    match.add_argument("--name", default="", help="what to call it")
    match.add_argument(
        "--friendly", action="store_true", help="not an important one: nothing new for 3 days instead of 7"
    )
    match.add_argument("--remove", metavar="N", type=int, help="take out the N-th of the list")
    match.add_argument("--json", action="store_true", help="one JSON object")
    match.set_defaults(run=run_match)


def run_free(args: argparse.Namespace) -> int:
    """Store free times told in words or read from a calendar, or list them."""
    from journal import freetimes
    from journal.players import find_player

    desk: Desk = args.desk
    with desk.store.work() as work:
        player = find_player(work, args.player)
        today = desk.today(player)
        told = freetimes.Told()
        if args.remove:
            freetimes.remove(work, player, args.remove)
        if args.from_ics:
            told = freetimes.read_calendar(work, player, args.from_ics, today=today)
        if args.words:
            told = freetimes.tell(work, player, " ".join(args.words), today=today)
        work.commit()
        listed = freetimes.listing(work, player, today)
    if args.json:
        stored = {"stored": list(told.said), "unknown": list(told.unknown)}
        as_json(stored | {"free": listed.free, "matches": listed.matches})
    else:
        _print_free(told, listed, player)
    return 0


def _print_free(told: Told, listed: Listing, player: Player) -> None:
    for line in told.said:
        print(f"noted: {line}")
    for words in told.unknown:
        print(f"not understood: {words!r}")
    if told.said:
        return
    lines = [(f"{n}", line) for n, line in enumerate(listed.free, 1)] + [
        ("", line) for line in listed.matches
    ]
    if lines:
        print("\n".join(table(lines)))
    else:
        print(f"Nothing is known yet. Say it: plainball free {player.name} 'Tue and Thu 19:00, 45 min'")


def run_match(args: argparse.Namespace) -> int:
    """Store a match, or list those ahead."""
    from journal import freetimes
    from journal.players import find_player

    desk: Desk = args.desk
    with desk.store.work() as work:
        player = find_player(work, args.player)
        today = desk.today(player)
        said = None
        if args.remove:
            freetimes.remove_match(work, player, args.remove, today)
        elif args.day:
            said = freetimes.add_match(
                work,
                player,
                f"{args.day} {args.time or ''}".strip(),
                today=today,
                name=args.name,
                important=not args.friendly,
            )
        work.commit()
        ahead = freetimes.listing(work, player, today).matches
    if args.json:
        as_json({"stored": said, "matches": ahead})
    elif said:
        print(f"noted: {said}")
    else:
        print("\n".join(f"{n}  {line}" for n, line in enumerate(ahead, 1)) or "No match is noted.")
    return 0
