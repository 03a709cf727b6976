"""The one change: what to do differently, its drills, a checkpoint with the player's own number, and what
decides.

Only one runs at a time, and nothing new starts close before an important match. Lengths are common
practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from journal.care import pain_noted
from journal.days import day_words
from journal.diagnosis import diagnose_player
from journal.errors import BadInput, ChangeRunning, UnknownEntry
from journal.prescription import (
    PAIN_CAUTION,
    PAIN_FAULTS,
    Dose,
    OwnCheckpoint,
    dose,
    own_checkpoint,
)
from journal.records import Change, ChangeStatus, Player
from journal.store.work import UnitOfWork, new_id
from knowledge.causes.diagnose import Diagnosis
from knowledge.entries import STRENGTH
from knowledge.rulebase import RuleBase

DAYS, SHORTEST, LONGEST = 21, 7, 42
EXTRA_DAYS = 14
FREEZE_DAYS = 7
MOST_DRILLS = 3
BODY_CAUSES = frozenset({"cause.body_limits"})
"""Causes that pain points at: no drill is started for them while pain is noted."""


@dataclass(frozen=True, slots=True)
class ChangePlan:
    """A change as it is shown. caution: pain, to be shown with it."""

    change: Change
    drills: tuple[Dose, ...]
    checkpoint: OwnCheckpoint | None
    caution: str | None = None


def running(work: UnitOfWork, player: Player) -> Change | None:
    """The change that runs, or None."""
    changes = work.changes.all(order="started_on", player_id=player.id)
    return next((change for change in changes if change.ended_on is None), None)


def start_change(
    work: UnitOfWork,
    rules: RuleBase,
    player: Player,
    *,
    today: date,
    cause: str | None = None,
    fault: str | None = None,
    days: int = DAYS,
    despite_match: bool = False,
    now: datetime | None = None,
) -> ChangePlan:
    """Begin the one change, for the named cause or for the settled one.

    now: the moment; what was played earlier that day counts as before. Without it the whole day counts as since.
    Raises: ChangeRunning while one runs; BadInput before a match, for pain, for a verdict that is open and
    for impossible days; UnknownEntry.
    """
    _refuse_second(rules, running(work, player))
    if not SHORTEST <= days <= LONGEST:
        raise BadInput(
            f"a change of {days} days is not useful", f"Choose {SHORTEST} to {LONGEST} days; {DAYS} is usual."
        )
    _refuse_before_match(work, player, today, despite_match)
    found = diagnose_player(work, rules, player, today=today, explained=0)
    cause = _cause_for(rules, found, cause)
    fault = fault or fault_for(rules, found, cause)
    if fault not in rules.faults:
        raise UnknownEntry(f"there is no fault {fault!r}", "Find its id with: plainball lookup WORDS")
    pain = pain_noted(work, player)
    if fault in PAIN_FAULTS or (pain is not None and cause in BODY_CAUSES):
        raise BadInput("pain or strain is no matter for a drill", PAIN_CAUTION)
    change = replace(_new_change(rules, player, cause, fault, today=today, days=days), started_at=now)
    work.changes.add(change)
    return plan_of(rules, player, change, PAIN_CAUTION if pain is not None else None)


def plan_of(rules: RuleBase, player: Player, change: Change, caution: str | None = None) -> ChangePlan:
    """A stored change with its drills and checkpoint in this player's numbers."""
    fault = rules.faults.get(change.fault)
    doses = tuple(dose(rules.drills[each], player, fault) for each in change.drills if each in rules.drills)
    point = rules.checkpoints.get(change.checkpoint or "")
    return ChangePlan(change, doses, own_checkpoint(point, player) if point else None, caution)


def end_change(
    work: UnitOfWork, player: Player, verdict: ChangeStatus, *, today: date, words: str = ""
) -> Change:
    """End the running change as kept or dropped, or give it two more weeks (extended: it goes on running).

    Raises: BadInput when none runs, for any other verdict, and for a second extension.
    """
    change = running(work, player)
    if change is None:
        raise BadInput(f"no change runs for {player.name}", "Start one with: plainball change PLAYER start")
    if verdict is ChangeStatus.EXTENDED:
        if change.status is ChangeStatus.EXTENDED:
            raise BadInput("the change was extended once already", "End it as kept or dropped.")
        stop = max(today, change.stop_on) + timedelta(days=EXTRA_DAYS)
        return work.changes.put(replace(change, status=verdict, stop_on=stop, verdict=words))
    if verdict not in (ChangeStatus.KEPT, ChangeStatus.DROPPED):
        raise BadInput(f"{verdict} is no end of a change", "Use kept, dropped or extended.")
    return work.changes.put(
        replace(change, status=verdict, ended_on=max(today, change.started_on), verdict=words)
    )


def fault_for(rules: RuleBase, found: Diagnosis, cause: str) -> str:
    """The reported fault that the cause explains best, else the one it is most strongly linked to. Raises:
    BadInput."""
    linked = {
        f.id: STRENGTH[f.causes[cause]]
        for f in rules.faults.values()
        if cause in f.causes and f.id not in PAIN_FAULTS
    }
    if not linked:
        raise BadInput("only pain is linked to this cause", PAIN_CAUTION)
    seen = found.posterior.findings.faults
    return max(
        linked, key=lambda fault: (seen.get(fault, 0.0) > 0, linked[fault], min(seen.get(fault, 0.0), 99.0))
    )


def _refuse_second(rules: RuleBase, change: Change | None) -> None:
    if change is not None:
        name = rules.causes[change.cause].name if change.cause in rules.causes else change.cause
        raise ChangeRunning(
            f"one change runs until {day_words(change.stop_on)}: {change.instruction} (for: {name})",
            "One at a time, or nobody can tell what helped. "
            "To end it: plainball change PLAYER end kept (or dropped)",
        )


def _refuse_before_match(work: UnitOfWork, player: Player, today: date, despite_match: bool) -> None:
    ahead = sorted(
        m.day
        for m in work.matches.all(player_id=player.id)
        if m.important and not m.blocks_only and m.day >= today
    )
    if ahead and (ahead[0] - today).days <= FREEZE_DAYS and not despite_match:
        raise BadInput(
            f"a match on {day_words(ahead[0])} is too near to start something new",
            "Start it the day after, or add --despite-match.",
        )


def _cause_for(rules: RuleBase, found: Diagnosis, cause: str | None) -> str:
    if cause is not None:
        named = cause if cause.startswith("cause.") else f"cause.{cause}"
        if named not in rules.causes:
            raise UnknownEntry(f"there is no cause {cause!r}", "See the ids with: plainball cause PLAYER")
        return named
    if found.verdict == "settled":
        return found.causes[0].id
    check = f" Next check: {found.next_check.check.id}." if found.next_check else ""
    raise BadInput(
        f"no cause is settled: {found.reason}", f"Answer a check, or name the cause to work on.{check}"
    )


def _new_change(rules: RuleBase, player: Player, cause: str, fault: str, *, today: date, days: int) -> Change:
    entry, shown = rules.causes[cause], rules.faults[fault]
    # The cause's drills change the cause; among them those that also serve this fault come first.
    own = sorted(entry.drills, key=lambda drill: drill not in shown.drills) or list(shown.drills)
    drills = tuple(drill for drill in own if drill in rules.drills)[:MOST_DRILLS]
    point = _checkpoint_for(rules, cause, fault)
    return Change(
        player.id, new_id(), fault, cause, entry.first_fix, drills, point,
        _measure(rules, player, drills, fault), today, today + timedelta(days=days - 1),
    )  # fmt: skip


def _checkpoint_for(rules: RuleBase, cause: str, fault: str) -> str | None:
    """The fault's checkpoint that shares most words with what the cause is; the first one when none does."""
    points = [p for p in rules.faults[fault].checkpoints if p in rules.checkpoints]
    entry = rules.causes[cause]
    about = _words(f"{entry.name} {entry.what} {entry.first_fix} {cause}")
    return max(points, key=lambda p: len(about & _words(rules.checkpoints[p].quantity)), default=None)


def _words(text: str) -> set[str]:
    return {
        word
        for word in text.lower().replace(".", " ").replace("_", " ").replace(",", " ").split()
        if len(word) > 3
    }


def _measure(rules: RuleBase, player: Player, drills: tuple[str, ...], fault: str) -> str:
    """The aim as one number, in one sentence."""
    for each in drills:
        found = dose(rules.drills[each], player)
        if found.hits is not None and found.of is not None:
            return f"{found.name}: {found.hits} of {found.of} on three different days"
    goal = rules.faults[fault].goal
    return goal or f"{rules.faults[fault].name}: not seen in three sessions in a row"
