"""How the one change goes: the days that decide, gathered from a player's records, and the verdict on them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial

from journal.progress.days import DayScore
from journal.progress.rates import sessions_of
from journal.progress.verdict import FEWEST_AFTER, FEWEST_BEFORE, Verdict, judge
from journal.records import Change, ChangeStatus, ItemKind, Note, Result, Sighting
from journal.store.work import UnitOfWork
from knowledge.rulebase import RuleBase


@dataclass(frozen=True, slots=True)
class Evidence:
    """What can decide a change, day by day. what: its name. unit: of a fault's rate in notes ("session", "hour");
    empty for hits of tries.
    """

    what: str
    before: tuple[DayScore, ...]
    after: tuple[DayScore, ...]
    unit: str = ""

    @property
    def weight(self) -> tuple[int, int]:
        """How far it goes towards being enough: days before, then days after."""
        return min(FEWEST_BEFORE, len(self.before)), min(FEWEST_AFTER, len(self.after))


@dataclass(frozen=True, slots=True)
class Standing:
    """A change on its way. day of days: 1 is the day it began. what: what decides."""

    change: Change
    day: int
    days: int
    evidence: Evidence
    verdict: Verdict

    @property
    def due(self) -> bool:
        """Whether the stop date has come."""
        return self.day >= self.days

    @property
    def when(self) -> str:
        """Which day it is, or when it ended."""
        if self.day <= self.days:
            return f"day {self.day} of {self.days}"
        return f"{self.days} days, over since {self.change.stop_on.day} {self.change.stop_on:%B}"

    @property
    def words(self) -> str:
        """What decides, its plain figures, and the verdict, in sentences."""
        before, after = total(self.evidence.before), total(self.evidence.after)
        say = partial(_times, unit=self.evidence.unit) if self.evidence.unit else _of
        figures = f"{say(after)} since, {say(before)} before"
        return f"{self.evidence.what}: {figures}. {self.verdict.words}"


def total(days: Iterable[DayScore]) -> tuple[float, float]:
    """(amount, size) of all days together."""
    some = list(days)
    return sum(day.amount for day in some), sum(day.size for day in some)


def _of(part: tuple[float, float]) -> str:
    return f"{part[0]:g} of {part[1]:g}" if part[1] else "not scored"


def _times(part: tuple[float, float], unit: str) -> str:
    amount, size = part
    units = unit if size == 1 else f"{unit}s"
    return f"{amount:g} time{'' if amount == 1 else 's'} in {size:.3g} {units}" if size else "no notes"


def standing(work: UnitOfWork, rules: RuleBase, change: Change, *, today: date) -> Standing:
    """How a change goes as of today. After its stop date nothing is added, so that the verdict stays one look."""
    own = {"player_id": change.player_id}
    notes, sightings = work.notes.all(**own), work.sightings.all(**own)
    results = [each for each in work.results.all(**own) if not each.open and each.tries]
    return standing_of(change, notes, sightings, results, rules, today)


def standing_of(
    change: Change,
    notes: Sequence[Note],
    sightings: Sequence[Sighting],
    results: Sequence[Result],
    rules: RuleBase,
    today: date,
) -> Standing:
    """The same from records at hand; results closed and with tries."""
    last = min(today, change.stop_on)
    kinds = [_scores(change, ref, kind, results, rules, last) for ref, kind in _measures(change)]
    kinds.append(_counted(change, notes, sightings, rules, last))
    # The first is the deciding drill; another measure takes its place only when it has more to say.
    evidence = max(kinds, key=lambda each: each.weight)
    verdict = judge(
        evidence.before,
        evidence.after,
        unit=evidence.unit,
        extended=change.status is ChangeStatus.EXTENDED,
        due=today >= change.stop_on,
    )
    day, days = ((end - change.started_on).days + 1 for end in (today, change.stop_on))
    return Standing(change, day, days, evidence, verdict)


def _measures(change: Change) -> Iterator[tuple[str, ItemKind]]:
    yield from ((drill, ItemKind.DRILL) for drill in change.drills)
    yield change.fault, ItemKind.RECHECK


def _scores(
    change: Change, ref: str, kind: ItemKind, results: Sequence[Result], rules: RuleBase, last: date
) -> Evidence:
    """One drill or re-check: drills differ in how hard they are, so they are never added up."""
    own = [r for r in results if r.ref == ref and r.kind is kind and r.day <= last]
    entry = rules.drills.get(ref) or rules.faults.get(ref)
    name = entry.name if entry else ref
    return Evidence(
        f"re-check, {name}" if kind is ItemKind.RECHECK else name,
        _by_day((r.day, r.hits, r.tries) for r in own if _before(change, r.day, r.taken_at)),
        _by_day((r.day, r.hits, r.tries) for r in own if not _before(change, r.day, r.taken_at)),
    )


def _counted(
    change: Change, notes: Sequence[Note], sightings: Sequence[Sighting], rules: RuleBase, last: date
) -> Evidence:
    counted, unit = sessions_of(notes, sightings, change.fault)
    sessions = [each for each in counted if each.day <= last]
    fault = rules.faults.get(change.fault)
    return Evidence(
        f"{fault.name if fault else change.fault}, as noted",
        _by_day((s.day, s.count, s.exposure) for s in sessions if _before(change, s.day, s.by)),
        _by_day((s.day, s.count, s.exposure) for s in sessions if not _before(change, s.day, s.by)),
        unit,
    )


def _before(change: Change, day: date, at: datetime | None) -> bool:
    """Whether play was before the change: by the day, and on the day it began by the time, where both are known."""
    if day == change.started_on and change.started_at is not None and at is not None:
        return at < change.started_at
    return day < change.started_on


def _by_day(figures: Iterable[tuple[date, float, float]]) -> tuple[DayScore, ...]:
    by_day: defaultdict[date, list[float]] = defaultdict(lambda: [0.0, 0.0])
    for day, amount, size in figures:
        by_day[day][0] += amount
        by_day[day][1] += size
    return tuple(DayScore(amount, size) for _, (amount, size) in sorted(by_day.items()))
