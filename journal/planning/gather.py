"""What a plan is made from, gathered from a player's records: drills with their worth, re-checks due,
matches, slots.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from journal.care import pain_noted, table_again
from journal.desk import zone_of
from journal.planning.followups import FollowUp, Look, next_look
from journal.planning.request import Due, Freeze, Habits, Option, Request, Wish
from journal.planning.slots import Slot, free_slots
from journal.prescription import PAIN_FAULTS, fault_weights
from journal.records import (
    BusyTime,
    Change,
    FreeTime,
    ItemKind,
    Match,
    Player,
    Polarity,
    Result,
    Sighting,
    SightingStatus,
)
from journal.store.work import UnitOfWork
from knowledge.entries import Drill, Fault
from knowledge.rulebase import RuleBase

TECHNIQUE = frozenset({"stance", "grip", "bridge", "arm", "delivery", "head", "eyes", "contact"})
KNOWN_AFTER = 3
"""Practised on this many days, a drill is no new technique any more. Common practice, no source."""
MOST_OPTIONS, MOST_DUES, OTHER_FAULTS = 40, 8, 5
CLEAN_SHARE = 0.9
"""A re-check is clean when the fault stayed away in this share of the tries. Common practice, no source."""


@dataclass(frozen=True)
class Known:
    """A player's records as far as a plan needs them."""

    player: Player
    sightings: Sequence[Sighting] = ()
    results: Sequence[Result] = ()
    changes: Sequence[Change] = ()
    free: Sequence[FreeTime] = ()
    busy: Sequence[BusyTime] = ()
    matches: Sequence[Match] = ()
    used: frozenset[tuple[date, int]] = field(default_factory=frozenset)
    pain: date | None = None
    """The last day on which pain was noted and not said to be gone since."""


def known_of(work: UnitOfWork, player: Player) -> Known:
    """Read them."""
    own = {"player_id": player.id}
    return Known(
        player,
        work.sightings.all(**own),
        work.results.all(**own),
        work.changes.all(**own),
        work.free_times.all(order="id", **own),
        work.busy_times.all(order="id", **own),
        work.matches.all(order="day", **own),
        pain=pain_noted(work, player),
    )


def open_change(changes: Iterable[Change]) -> Change | None:
    """The one change that runs, if any."""
    return next((change for change in changes if change.ended_on is None), None)


def looks_of(known: Known, fault: str, today: date) -> list[Look]:
    """Every day on which it was noticed whether a fault is there: confirmed sightings and re-checks. One bad
    sign spoils a day.
    """
    clean: dict[date, bool] = {}
    for seen in known.sightings:
        if seen.fault == fault and seen.status is SightingStatus.CONFIRMED and seen.day <= today:
            clean[seen.day] = clean.get(seen.day, True) and seen.polarity is Polarity.ABSENT
    for result in known.results:
        if result.kind is ItemKind.RECHECK and result.ref == fault and not result.open and result.tries:
            clean[result.day] = clean.get(result.day, True) and result.hits >= CLEAN_SHARE * result.tries
    return [Look(day, clean[day]) for day in sorted(clean)]


def follow_ups(known: Known, today: date) -> list[FollowUp]:
    """The next look at every confirmed fault except pain, the most pressing first."""
    weights = fault_weights(known.sightings, today)
    seen = {
        s.fault
        for s in known.sightings
        if s.status is SightingStatus.CONFIRMED and s.polarity is not Polarity.ABSENT
    }
    match_days = [match.day for match in known.matches if not match.blocks_only and match.day >= today]
    due = []
    for fault in sorted(seen - PAIN_FAULTS):
        looks = looks_of(known, fault, today)
        severity = min(3.0, max(0.5, weights.get(fault, 0.0)))
        due.append(next_look(fault, looks[0].day, looks, severity=severity, match_days=match_days))
    return sorted(due, key=lambda one: (one.due, -one.risk * one.severity, one.fault))


def request_for(
    known: Known,
    rules: RuleBase,
    *,
    now: datetime,
    today: date,
    days: int,
    wishes: Sequence[Wish] = (),
    habits: Habits | None = None,
    kept: frozenset[tuple[date, int, str]] = frozenset(),
) -> Request:
    """The request for a plan of ``days`` days from today. Raises: BadInput for a broken rule or time zone."""
    zone = zone_of(known.player)
    slots = tuple(
        slot
        for slot in free_slots(known.free, known.busy, known.matches, today, days, zone)
        if slot.ended(zone) > now and (slot.day, slot.start) not in known.used
    )
    matches = tuple(
        Freeze(match.day, 7 if match.important else 3)
        for match in known.matches
        if not match.blocks_only and match.day >= today
    )
    change = open_change(known.changes)
    slots = without_pain(slots, known)
    return Request(
        slots,
        options_for(known, rules, change, today),
        dues_for(known, change, today, days),
        matches,
        tuple(wishes),
        habits or Habits(),
        kept,
        frozenset(result.day for result in known.results if result.day <= today),
    )


def without_pain(slots: tuple[Slot, ...], known: Known) -> tuple[Slot, ...]:
    """While pain is fresh, slots hold nothing: they keep their place, with no minutes in them."""
    if known.pain is None:
        return slots
    clear = table_again(known.pain)
    return tuple(replace(slot, minutes=0) if slot.day < clear else slot for slot in slots)


def options_for(known: Known, rules: RuleBase, change: Change | None, today: date) -> tuple[Option, ...]:
    """The drills that could help now, at most 40: the change's, then by how much each fault matters, then for
    variety.
    """
    weights = {
        f: w
        for f, w in fault_weights(known.sightings, today).items()
        if f in rules.faults and f not in PAIN_FAULTS
    }
    done: defaultdict[str, set[date]] = defaultdict(set)
    for result in known.results:
        done[result.ref].add(result.day)
    found: dict[str, Option] = {}

    def offer(drill_id: str, worth: float, why: str, *, of_change: bool = False) -> None:
        drill = rules.drills.get(drill_id)
        if drill is not None and drill_id not in found and len(found) < MOST_OPTIONS:
            known_well = len(done[drill_id]) >= KNOWN_AFTER
            found[drill_id] = _option(drill, worth, why, of_change=of_change, known_well=known_well)

    if change is not None and change.fault not in PAIN_FAULTS:
        fault = rules.faults.get(change.fault)
        for each in change.drills:
            offer(each, 2.0, _why("The one change", fault, each), of_change=True)
    top = max(weights.values(), default=1.0)
    for rank, (fault_id, weight) in enumerate(list(weights.items())[: OTHER_FAULTS + 1]):
        fault = rules.faults[fault_id]
        lead = change is None and rank == 0
        for each in fault.drills:
            worth = 1.8 if lead else 0.3 + 0.7 * weight / top
            offer(
                each,
                worth,
                _why("Your strongest fault" if lead else "Still seen", fault, each),
                of_change=lead,
            )
    for drill in _variety(rules, done, today):
        offer(drill.id, 0.2, f"For variety: {_small(drill.purpose)}")
    return tuple(found.values())


def _option(drill: Drill, worth: float, why: str, *, of_change: bool, known_well: bool) -> Option:
    area = drill.faults[0].split(".")[0] if drill.faults else "other"
    technique = of_change or (
        any(fault.split(".")[0] in TECHNIQUE for fault in drill.faults) and not known_well
    )
    return Option(
        drill.id,
        math.ceil(drill.minutes),
        round(worth, 4),
        area,
        why,
        drill.at_table,
        drill.people == "partner",
        technique,
        of_change,
        barred=any(fault in PAIN_FAULTS for fault in drill.faults),
        most=99 if of_change else 8,
    )


def _why(lead: str, fault: Fault | None, drill: str) -> str:
    if fault is None:
        return f"{lead}."
    reason = fault.drills.get(drill, "")
    return f"{lead}, {fault.name}: {_small(reason)}" if reason else f"{lead}: {fault.name}."


def _small(text: str) -> str:
    """With a small first letter, unless the word stands in capitals or is "I"."""
    first = text.split(" ", 1)[0]
    return text if first in ("I",) or first[1:2].isupper() else text[:1].lower() + text[1:]


def _variety(rules: RuleBase, done: defaultdict[str, set[date]], today: date) -> list[Drill]:
    """Drills with a countable target that were not done for the longest, the shorter first."""
    counted = [
        d for d in rules.drills.values() if d.target.club.of and d.minutes <= 20 and d.people != "partner"
    ]
    return sorted(
        counted, key=lambda d: (max(done[d.id], default=today - timedelta(days=9999)), d.minutes, d.id)
    )


def dues_for(known: Known, change: Change | None, today: date, days: int) -> tuple[Due, ...]:
    """Re-checks in the plan's days. An overdue one is due today, and only the most pressing few are asked
    for.
    """
    last = today + timedelta(days=days - 1)
    found: dict[str, Due] = {}
    if change is not None and change.fault not in PAIN_FAULTS and today <= change.stop_on <= last:
        stop = f"{change.stop_on.day} {change.stop_on:%B}"
        why = f"The change ends on {stop}, and its days are compared with those before. Its aim: {change.measure}"
        found[change.fault] = Due(change.fault, change.stop_on, 5.0, 8, why=why)
    pressing = sorted(follow_ups(known, today), key=lambda one: -one.risk * one.severity)
    for each in pressing:
        if each.due > last or each.fault in found or len(found) >= MOST_DUES:
            continue
        late = max(0, (today - each.due).days)
        why = each.why + (
            f" It fell due {late} day{'s' if late > 1 else ''} ago; no harm done." if late else ""
        )
        worth = round(1.0 + 2.0 * each.risk * each.severity, 4)
        found[each.fault] = Due(each.fault, max(today, each.due), worth, why=why)
    return tuple(found.values())
