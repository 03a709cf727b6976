"""``plainball history``: a player's faults through time and the notes behind them."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import Any

from journal.cli.output import as_json, as_kept, kept_lines, table
from journal.desk import Desk
from journal.history import FaultRow, PastNote, fault_rows, past_notes
from journal.players import find_player
from journal.recordings import Recordings
from knowledge.rulebase import RuleBase


def add(commands: Any) -> None:
    """Register ``history``."""
    parser = commands.add_parser("history", help="a player's faults through time, and the notes")
    parser.add_argument("player", nargs="?", metavar="PLAYER", help="name or code (else the current player)")
    parser.add_argument("--notes", type=int, default=5, metavar="N", help="how many notes to show (5)")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Show the history."""
    with args.desk.store.work() as work:
        player = find_player(work, args.player)
        rows, notes = fault_rows(work, player), past_notes(work, player, None if args.json else args.notes)
    if args.json:
        as_json(
            {
                "player": player.name,
                "faults": [_row(row) for row in rows],
                "notes": [_note(note, args.desk.recordings) for note in notes],
            }
        )
    else:
        print("\n".join(_lines(player.name, rows, notes, args.desk)))
    return 0


def _row(row: FaultRow) -> dict[str, Any]:
    return {
        "fault": row.fault,
        "days": [day.isoformat() for day in row.days],
        "sessions": row.sessions,
        "times": row.times,
        "confirmed": row.confirmed,
    }


def _note(past: PastNote, recordings: Recordings) -> dict[str, Any]:
    return {
        "id": past.note.id,
        "day": past.note.day.isoformat(),
        "text": past.note.text,
        "sightings": [
            {"fault": s.fault, "polarity": s.polarity, "count": s.count, "status": s.status, "words": s.words}
            for s in past.sightings
        ],
        "figures": [
            {k: v for k, v in asdict(f).items() if k in ("kind", "value", "of", "unit", "words", "about")}
            for f in past.figures
        ],
        "recordings": as_kept(recordings.of_note(past.note.player_id, past.note.id))
        if past.note.audio
        else [],
    }


def _lines(name: str, rows: list[FaultRow], notes: list[PastNote], desk: Desk) -> list[str]:
    rules = desk.rules
    if not rows and not notes:
        return [f"{name}: no notes yet. Write one: plainball note --player {name!r} 'what happened'"]
    lines = [f"{name}: faults through time"]
    named = [
        ("fault", "days seen", "times", "last", "confirmed"),
        *(
            (
                _name(row.fault, rules),
                f"{len(row.days)} of {row.sessions}",
                row.times,
                f"{row.last:%d %b}",
                row.confirmed,
            )
            for row in rows
        ),
    ]
    lines += [f"  {line}" for line in table(named)]
    for past in notes:
        lines.append(f"{past.note.day:%a %d %b %Y}  {past.note.kind}")
        lines += [f"  {line}" for line in past.note.text.splitlines()]
        for sighting in past.sightings:
            times = f" ×{sighting.count}" if sighting.count else ""
            lines.append(
                f"    {_name(sighting.fault, rules)}: {sighting.polarity}{times} ({sighting.status})"
            )
        if past.note.audio:
            lines += [f"    {line}" for line in kept_lines(desk.recordings, past.note)]
    return lines


def _name(fault: str, rules: RuleBase) -> str:
    entry = rules.faults.get(fault)
    return entry.name if entry else fault
