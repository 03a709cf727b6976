"""``plainball note``: store a reflection, typed or spoken, and what was read from it."""

from __future__ import annotations

import argparse
from dataclasses import asdict, replace
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import Any

from dateutil import parser as dates

from journal.cli.output import as_json, as_kept, kept_lines, read_input
from journal.cli.reading import lines_of
from journal.desk import zone_of
from journal.errors import BadInput, EmptyNote
from journal.notes import NoteWords, TakenNote, answer, take_note
from journal.players import SAFEGUARDING, find_player, may_be_minor
from journal.records import Player, SeenBy, SightingStatus
from journal.store.work import new_id


def add(commands: Any) -> None:
    """Register ``note``."""
    parser = commands.add_parser("note", help="write or speak a note after play")
    parser.add_argument("words", nargs="*", help="what happened, in your own words; - reads standard input")
    parser.add_argument("--player", metavar="NAME", help="whose note it is (else the current player's)")
    parser.add_argument("--well", default="", help="what went well")
    parser.add_argument("--next", default="", dest="next_time", help="what to do next time")
    parser.add_argument(
        "--audio", metavar="FILE", type=Path, help="a spoken note: WAV, FLAC, OGG, MP3 or M4A"
    )
    parser.add_argument(
        "--keep-audio",
        action="store_true",
        help="keep a copy of the sound beside the journal, erased with the note",
    )
    parser.add_argument("--day", help="the day of play (else now), such as 2026-05-12")
    parser.add_argument("--match", action="store_true", help="it was a match, not practice")
    parser.add_argument("--minutes", type=int, help="minutes played")
    parser.add_argument("--table", dest="table_name", help="the table's name")
    parser.add_argument("--by", choices=[each.value for each in SeenBy], default="player", help="who noticed")
    parser.add_argument("--confirm", action="store_true", help="confirm every sighting at once")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Store the note, then show what was understood."""
    desk = args.desk
    with desk.store.work() as work:
        player = find_player(work, args.player)
    if args.keep_audio and args.audio is None:
        raise BadInput("--keep-audio has nothing to keep", "Name the sound file with --audio FILE.")
    if args.keep_audio:
        desk.recordings.check()  # before minutes go into hearing it
    text, origin = _text(args)
    if not (text.strip() or args.well.strip() or args.next_time.strip()):
        raise EmptyNote("the note has no words", "Write or say at least one sentence.")
    words = NoteWords(
        args.well,
        text,
        args.next_time,
        "match" if args.match else "practice",
        args.minutes,
        args.table_name,
        origin,
        new_id(),
    )
    taken = _take(args, words, player)
    if args.confirm:
        with desk.store.work() as work:
            for sighting in taken.sightings:
                answer(work, sighting, SightingStatus.CONFIRMED)
            work.commit()
    _show(args, player, taken, words)
    return 0


def _take(args: argparse.Namespace, words: NoteWords, player: Player) -> TakenNote:
    """Store the note; a copy of its sound comes first and goes again when there is no note to go with it."""
    desk, note_id = args.desk, str(words.note_id)
    played = _played_at(args.day, player, desk.today(player))
    if args.keep_audio:
        words = replace(words, kept=(desk.recordings.copy(player.id, note_id, args.audio).name,))
    try:
        return take_note(
            words,
            player,
            store=desk.store,
            reader=desk.reader,
            now=desk.now(),
            played_at=played,
            seen_by=SeenBy(args.by),
        )
    except BaseException:
        with desk.store.work() as work:
            if words.kept and not work.notes.count(id=note_id):
                desk.recordings.erase_note(player.id, note_id)
        raise


def _show(args: argparse.Namespace, player: Player, taken: TakenNote, words: NoteWords) -> None:
    if args.json:
        as_json(
            {
                "note": taken.note.id,
                "player": player.name,
                "text": taken.note.text,
                "mentions": [
                    {k: v for k, v in asdict(each).items() if k not in ("player_id", "note_id")}
                    for each in taken.sightings
                ],
                "figures": [
                    {k: v for k, v in asdict(each).items() if k not in ("player_id",)}
                    for each in taken.figures
                ],
                "cautions": [asdict(each) for each in taken.cautions],
                "recordings": as_kept(args.desk.recordings.of_note(player.id, taken.note.id)),
            }
        )
        return
    if words.origin == "spoken":
        print(f"heard: “{taken.note.text}”")
    print(f"kept for {player.name}, {taken.note.day:%a %d %b %Y}")
    for line in kept_lines(args.desk.recordings, taken.note):
        print(line)
    if taken.note.audio and may_be_minor(player, args.desk.now()):
        print(f"A guardian's consent has to cover the kept sound too. {SAFEGUARDING}")
    reading = args.desk.reader.read(taken.note.text, plan_from=_plan_from(words, taken))
    print("\n".join(lines_of(reading, args.desk.rules)))
    if taken.sightings and not args.confirm:
        print(
            "These are suggestions: confirm, change or drop each on the note screen (plainball), or use --confirm."
        )


def _plan_from(words: NoteWords, taken: TakenNote) -> int | None:
    return len(taken.note.text) - len(taken.note.next_time) if words.next_time.strip() else None


def _text(args: argparse.Namespace) -> tuple[str, str]:
    typed = read_input("-") if args.words == ["-"] else " ".join(args.words)
    if args.audio is None:
        return typed, "typed"
    from journal.voice.transcriber import Transcriber

    transcript = Transcriber(list(args.desk.rules.terms.values())).transcribe(args.audio)
    return " ".join(part for part in (typed, transcript.text) if part), "spoken"


def _played_at(day: str | None, player: Player, today: date) -> datetime | None:
    """When it was played, in the player's zone; None for now. today: there. Raises: BadInput."""
    if day is None:
        return None
    zone, how = zone_of(player), "Write it as 2026-05-12, or with a time: 2026-05-12T20:30."
    try:
        parsed = dates.isoparse(day)
        at = parsed if "T" in day else datetime.combine(parsed.date(), time(20))
        at = at if at.tzinfo else at.replace(tzinfo=zone)
        there = at.astimezone(UTC).astimezone(zone).date()
    except (ValueError, OverflowError) as error:
        raise BadInput(f"{day!r} is no day", how) from error
    if there > today:
        raise BadInput(
            f"--day {day} is in the future: today is {today} ({player.time_zone})",
            "A note tells of play that is over: give today or an earlier day, or leave --day out.",
        )
    return at
