"""``plainball players``: list, add, change and choose players."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import Any

from journal.cli.output import as_json, table
from journal.players import SAFEGUARDING, add_player, change_player, choose_player, find_player, may_be_minor
from journal.records import Player

MEASURES = {
    "height": "height_mm",
    "hand": "hand_mm",
    "shoulders": "shoulder_mm",
    "upper_arm": "upper_arm_mm",
    "forearm": "forearm_mm",
}


def add(commands: Any) -> None:
    """Register ``players`` and its actions."""
    parser = commands.add_parser("players", help="list, add, change or choose players")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.set_defaults(run=show)
    actions = parser.add_subparsers(dest="action", metavar="ACTION")
    for name, run, text in (
        ("add", new, "add a player: a first name or a code"),
        ("set", change, "change a player's details"),
        ("use", use, "make somebody the current player"),
    ):
        action = actions.add_parser(name, help=text)
        action.add_argument("name", help="the player's name or code")
        if name != "use":
            _details(action)
        action.add_argument("--json", action="store_true", help="one JSON object")
        action.set_defaults(run=run)


def _details(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--hand-used", choices=("right", "left"), help="the hand that holds the butt")
    parser.add_argument(
        "--level", choices=("beginner", "club", "strong"), help="best break under 20, 20 to 49, 50 and more"
    )
    parser.add_argument("--born", type=int, metavar="YEAR", help="year of birth; under 18 needs --guardian")
    parser.add_argument("--guardian", metavar="TEXT", help="who consented and when, for under-18s")
    parser.add_argument("--zone", metavar="ZONE", help="time zone, such as Europe/London")
    for option in MEASURES:
        parser.add_argument(
            f"--{option.replace('_', '-')}",
            type=float,
            metavar="MM",
            help=f"{option.replace('_', ' ')} in millimetres",
        )


def _about(args: argparse.Namespace) -> dict[str, Any]:
    given = {
        "hand": args.hand_used,
        "level": args.level,
        "birth_year": args.born,
        "guardian_consent": args.guardian,
        "time_zone": args.zone,
        **{field: getattr(args, option) for option, field in MEASURES.items()},
    }
    return {field: value for field, value in given.items() if value is not None}


def new(args: argparse.Namespace) -> int:
    """Add a player."""
    with args.desk.store.work() as work:
        player = add_player(work, args.name, now=args.desk.now(), **_about(args))
        work.commit()
    return _told(args, player, "added")


def change(args: argparse.Namespace) -> int:
    """Change a player's details."""
    with args.desk.store.work() as work:
        player = change_player(work, find_player(work, args.name), now=args.desk.now(), **_about(args))
        work.commit()
    return _told(args, player, "changed")


def use(args: argparse.Namespace) -> int:
    """Make somebody the current player."""
    with args.desk.store.work() as work:
        player = find_player(work, args.name)
        choose_player(work, player)
        work.commit()
    return _told(args, player, "current player")


def _told(args: argparse.Namespace, player: Player, done: str) -> int:
    if args.json:
        as_json({"player": _plain(player)})
    else:
        print(f"{done}: {player.name}")
        if may_be_minor(player, args.desk.now()):
            print(SAFEGUARDING)
    return 0


def show(args: argparse.Namespace) -> int:
    """List the players."""
    with args.desk.store.work() as work:
        everybody = work.players.all(order="name")
        notes = {player.id: work.notes.count(player_id=player.id) for player in everybody}
    if args.json:
        as_json({"players": [{**_plain(player), "notes": notes[player.id]} for player in everybody]})
    elif not everybody:
        print("No players yet. Add yourself: plainball players add NAME")
    else:
        rows = [
            ("name", "level", "hand", "notes"),
            *((p.name, p.level, p.hand, notes[p.id]) for p in everybody),
        ]
        print("\n".join(table(rows)))
    return 0


def _plain(player: Player) -> dict[str, Any]:
    plain = asdict(player)
    plain["created_at"] = player.created_at.isoformat()
    return plain
