"""How a player is getting on: fault rates and alarms, drills, ladders, the running change, match against
practice.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, tzinfo

from journal.ladders import ladder_rule, rungs_played
from journal.planning.gather import open_change
from journal.prescription import PAIN_FAULTS
from journal.progress.alarm import coming_back
from journal.progress.compare import Comparison, compare
from journal.progress.ladder import Ability, RungResult, ability
from journal.progress.rates import Rate, Session, fell, rate_of, sessions_of
from journal.progress.scores import Score, wilson
from journal.progress.standing import Standing, standing_of
from journal.records import ItemKind, Note, Player, Result, Sighting, SightingStatus
from journal.store.work import UnitOfWork
from knowledge.rulebase import RuleBase

ALARM_NEEDS = 6
"""Sessions before the alarm means anything. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class FaultProgress:
    """One fault. rate: now, per ``unit``. coming_back: since when, None when quiet. away: chance that it fell
    over time.
    """

    fault: str
    rate: Rate
    unit: str
    coming_back: date | None
    away: float | None
    sessions: tuple[Session, ...]


@dataclass(frozen=True, slots=True)
class DrillProgress:
    """One drill. then, now: the earlier and the later half of its days, compared."""

    ref: str
    hits: int
    tries: int
    score: Score
    days: int
    trend: Comparison | None


@dataclass(frozen=True, slots=True)
class Report:
    """Everything that the figures say."""

    faults: tuple[FaultProgress, ...]
    drills: tuple[DrillProgress, ...]
    ladders: Ability | None
    standing: Standing | None
    match_against_practice: tuple[tuple[str, Rate, Rate, float], ...]
    notes: int


def report(work: UnitOfWork, player: Player, rules: RuleBase, today: date) -> Report:
    """A player's progress as of today."""
    notes = work.notes.all(order="played_at", player_id=player.id)
    sightings = work.sightings.all(player_id=player.id)
    results = [r for r in work.results.all(order="taken_at", player_id=player.id) if not r.open and r.tries]
    change = open_change(work.changes.all(order="-started_on", player_id=player.id))
    named = sorted({s.fault for s in sightings if s.status is SightingStatus.CONFIRMED})
    faults = tuple(fault_progress(fault, notes, sightings, today) for fault in named)
    return Report(
        tuple(
            sorted(
                faults, key=lambda f: (f.coming_back is None, -f.rate.mean if f.rate.rate else 0.0, f.fault)
            )
        ),
        tuple(
            drill_progress(ref, results)
            for ref in dict.fromkeys(r.ref for r in results if r.kind is ItemKind.DRILL)
        ),
        ladder_ability(results, rules),
        standing_of(change, notes, sightings, results, rules, today) if change else None,
        tuple(
            _match_practice(fault, notes, sightings)
            for fault in named
            if any(n.kind == "match" for n in notes)
        ),
        len(notes),
    )


def fault_progress(
    fault: str, notes: Sequence[Note], sightings: Sequence[Sighting], today: date
) -> FaultProgress:
    """One fault's rate and whether it is coming back."""
    sessions, unit = sessions_of(notes, sightings, fault)
    rate = rate_of(sessions, today)
    since = None
    if len(sessions) >= ALARM_NEEDS:
        alarm = _alarm(sessions)
        since = None if alarm is None else sessions[alarm].day
    half = len(sessions) // 2
    away = fell(rate_of(sessions[:half]), rate_of(sessions[half:])) if half >= 2 else None
    return FaultProgress(fault, rate, unit, since, away, tuple(sessions))


def _alarm(sessions: Sequence[Session]) -> int | None:
    """Number of the session since which the fault is coming back; what was usual is taken from the quieter
    half.

    The best run of half the sessions is what the player can do without the fault, so a return shows against
    it.
    """
    half = max(3, len(sessions) // 2)
    means = [
        (sum(s.count for s in sessions[n : n + half]) / half, n) for n in range(len(sessions) - half + 1)
    ]
    usual, at = min(means)
    found = coming_back([s.count for s in sessions[at:]], usual + 0.5 / half)
    return None if found.since is None else at + found.since


def drill_progress(ref: str, results: Sequence[Result]) -> DrillProgress:
    """One drill's score and its trend."""
    own = [r for r in results if r.ref == ref]
    hits, tries = sum(r.hits for r in own), sum(r.tries for r in own)
    days = sorted({r.day for r in own})
    trend = None
    if len(days) >= 2:
        middle = days[len(days) // 2]
        then, now = [r for r in own if r.day < middle], [r for r in own if r.day >= middle]
        trend = compare(*_sum(then), *_sum(now))
    return DrillProgress(ref, hits, tries, Score.of(hits, tries), len(days), trend)


def _sum(results: Sequence[Result]) -> tuple[int, int]:
    return sum(r.hits for r in results), sum(r.tries for r in results)


def ladder_ability(results: Sequence[Result], rules: RuleBase) -> Ability | None:
    """One ability from every ball of every ladder drill."""
    cells: defaultdict[int, list[int]] = defaultdict(lambda: [0, 0])
    for result in results:
        drill = rules.drills.get(result.ref)
        rule = ladder_rule(drill) if drill else None
        if rule is None:
            continue
        for rung, hit in rungs_played([bool(b) for b in result.detail.get("balls", ())], rule):
            cells[rung][0] += hit
            cells[rung][1] += 1
    return ability([RungResult(rung, hits, tries) for rung, (hits, tries) in sorted(cells.items())])


def _match_practice(
    fault: str, notes: Sequence[Note], sightings: Sequence[Sighting]
) -> tuple[str, Rate, Rate, float]:
    """(fault, rate in matches, rate in practice, chance that it is higher in matches)."""
    parts = []
    for wanted in (True, False):
        some = [note for note in notes if (note.kind == "match") is wanted]
        sessions, _ = sessions_of(some, sightings, fault)
        parts.append(rate_of([Session(s.day, s.count) for s in sessions], shape=0.5, rate=0.5))
    return fault, parts[0], parts[1], fell(parts[0], parts[1])


def by_context(
    results: Sequence[Result], notes: Sequence[Note], what: str, zone: tzinfo | None = None
) -> list[tuple[str, int, int, tuple[float, float]]]:
    """Hits of tries with their interval by table, cue, fatigue or time of day; the most tries first."""
    keys: dict[str, Callable[[Result], str | None]] = {
        "table": lambda r: r.detail.get("table"),
        "cue": lambda r: r.detail.get("cue"),
        "tired": lambda r: None if r.detail.get("tired") is None else f"tired {r.detail['tired']}",
        "time": lambda r: _part_of_day(r.taken_at.astimezone(zone).hour),
    }
    table_on = {note.day: note.table_name for note in notes if note.table_name}
    groups: defaultdict[str, list[int]] = defaultdict(lambda: [0, 0])
    for result in results:
        if result.kind is ItemKind.TRIAL:  # its answers differ on purpose
            continue
        key = keys[what](result) or (table_on.get(result.day) if what == "table" else None) or "not noted"
        groups[key][0] += result.hits
        groups[key][1] += result.tries
    ordered = sorted(groups.items(), key=lambda item: (-item[1][1], item[0]))
    return [(key, hits, tries, wilson(hits, tries)) for key, (hits, tries) in ordered]


def _part_of_day(hour: int) -> str:
    return "night" if hour < 6 else "morning" if hour < 12 else "afternoon" if hour < 17 else "evening"


def shown_faults(found: Report) -> list[FaultProgress]:
    """Faults to draw as rates; pain is no rate to be watched."""
    return [each for each in found.faults if each.fault not in PAIN_FAULTS]
