"""The invented club's month, taken through the real use cases into a journal of its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import yaml

from journal.changes import ChangePlan, start_change
from journal.desk import Desk, zone_of
from journal.diagnosis import answer_check, diagnose_player
from journal.errors import JournalError
from journal.freetimes import tell
from journal.notes import NoteWords, TakenNote, answer, take_note
from journal.planning.calendar_out import to_ics
from journal.plans import MadePlan, make_plan
from journal.players import add_player, find_player
from journal.progress.standing import Standing, standing
from journal.records import Match, Player, SeenBy, SightingStatus
from journal.sharing.sheets import plan_sheet
from journal.store.work import new_id
from journal.voice.transcriber import Transcriber, Transcript
from knowledge.causes.diagnose import Diagnosis

SURE = 0.6
"""In the demo nobody sits at the keys: sightings from this confidence on are confirmed, the rest are dropped."""
BODY = ("hand_mm", "shoulder_mm", "height_mm")


@dataclass(frozen=True, slots=True)
class DemoClub:
    """The club's file."""

    club: str
    coach: str
    players: list[dict[str, Any]]
    notes: list[dict[str, Any]]
    spoken: dict[str, Any]


def read_club() -> DemoClub:
    """The club as it lies in the package."""
    return DemoClub(**yaml.safe_load((files("demo_data") / "club.yaml").read_text(encoding="utf-8")))


def add_people(desk: Desk, club: DemoClub) -> list[Player]:
    """The club's players with their measures, free times and matches."""
    people = []
    with desk.store.work() as work:
        for each in club.players:
            about = {
                name: each[name]
                for name in (*BODY, "hand", "level", "time_zone", "guardian_consent")
                if name in each
            }
            if "birth_year" in each:
                about["birth_year"] = desk.now().year - int(str(each["birth_year"]).split("-")[0])
            player = add_player(work, each["name"], now=desk.now(), **about)
            today = desk.today(player)
            tell(work, player, each["free"], today=today)
            if "match_in_days" in each:
                day = today + timedelta(days=each["match_in_days"])
                work.matches.add(Match(player.id, new_id(), day, 19 * 60 + 30, "league match"))
            people.append(player)
        work.commit()
    return people


def add_note(desk: Desk, each: dict[str, Any], text: str | None = None) -> TakenNote:
    """One note of the file taken as a person's would be, then its sightings answered."""
    with desk.store.work() as work:
        player = find_player(work, each["player"])
    day = desk.today(player) - timedelta(days=each["days_ago"])
    words = NoteWords(
        each.get("well", ""),
        text if text is not None else each.get("wrong", ""),
        each.get("next", ""),
        "match" if each.get("match") else "practice",
        each.get("minutes"),
        origin="typed" if text is None else "spoken",
    )
    taken = take_note(
        words,
        player,
        store=desk.store,
        reader=desk.reader,
        now=desk.now(),
        played_at=evening(day, player),
        seen_by=SeenBy(each.get("by", "player")),
    )
    with desk.store.work() as work:
        for sighting in taken.sightings:
            sure = sighting.confidence >= SURE
            answer(work, sighting, SightingStatus.CONFIRMED if sure else SightingStatus.DROPPED)
        work.commit()
    return taken


def evening(day: date, player: Player) -> datetime:
    """Half past eight in the evening of the player's local day, in UTC."""
    return datetime.combine(day, time(20, 30), zone_of(player)).astimezone(UTC)


def hear(desk: Desk, name: str) -> Transcript:
    """A spoken note of the package through the real recogniser."""
    with as_file(files("demo_data") / name) as path:
        return Transcriber(list(desk.rules.terms.values())).transcribe(path)


@dataclass(frozen=True, slots=True)
class Found:
    """What the causes stage said before and after the proposed check, the change begun from it and how it stands."""

    before: Diagnosis
    after: Diagnosis | None
    outcome: str
    change: ChangePlan | None
    refused: str
    how: Standing | None = None


def find_and_change(desk: Desk, player: Player, outcome: str) -> Found:
    """Rank the causes, answer the proposed check with the outcome that speaks for the leader, begin the change."""
    today = desk.today(player)
    with desk.store.work() as work:
        before = diagnose_player(work, desk.rules, player, today=today)
        after, said = None, ""
        if before.next_check is not None:
            check = before.next_check.check
            leader = before.causes[0].id
            fitting = [each for each in check.outcomes if each.signs.get(leader) in ("++", "+")]
            if fitting:
                said = fitting[0].result
                answer_check(
                    work, desk.rules, player, check.id, fitting[0].id, now=desk.now(), remark=outcome
                )
                after = diagnose_player(work, desk.rules, player, today=today)
        leading = (after or before).causes[0].id
        try:
            change = start_change(work, desk.rules, player, today=today, cause=leading, now=desk.now())
            how = standing(work, desk.rules, change.change, today=today)
            work.commit()
        except JournalError as error:
            work.commit()
            return Found(before, after, said, None, error.message)
    return Found(before, after, said, change, "", how)


def plan_and_print(desk: Desk, player: Player, folder: Path, days: int = 14) -> tuple[MadePlan, list[Path]]:
    """A stored plan with its calendar and its printable page."""
    with desk.store.work() as work:
        made = make_plan(
            player,
            work=work,
            rules=desk.rules,
            now=desk.now(),
            today=desk.today(player),
            days=days,
            relax=True,
        )
        work.commit()
    calendar, page = folder / f"plan-{player.name.lower()}.ics", folder / f"plan-{player.name.lower()}.pdf"
    calendar.write_bytes(
        to_ics(
            made.items,
            desk.rules,
            zone_name=player.time_zone,
            now=desk.now(),
            name=f"Practice plan, {player.name}",
        )
    )
    plan_sheet(made, desk.rules, player, page)
    return made, [calendar, page]


def fill(desk: Desk, folder: Path, *, told: Callable[[str, Any], None]) -> None:
    """Everything, in order; ``told(stage, result)`` hears each stage's real result."""
    club = read_club()
    told("club", (club, add_people(desk, club)))
    taken = [add_note(desk, each) for each in club.notes]
    told("notes", taken)
    transcript = hear(desk, club.spoken["file"])
    told("heard", transcript)
    told("spoken", add_note(desk, club.spoken, transcript.text))
    with desk.store.work() as work:
        everybody = work.players.all(order="created_at")
    for player in everybody:
        found = find_and_change(desk, player, "demo")
        told("found", (player, found))
        told("plan", (player, *plan_and_print(desk, player, folder)))
