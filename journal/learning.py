"""What this journal has learnt from its own confirmed causes: visible, resettable, never carried to
another journal.

A cause counts as confirmed when the change made for it was kept, as refuted when it was dropped.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from journal.records import ChangeStatus, Setting, SightingStatus
from journal.store.work import UnitOfWork
from knowledge.causes.learning import Case, Learnt, learn
from knowledge.causes.network import network_of
from knowledge.entries import STRENGTH
from knowledge.rulebase import RuleBase

KEY = "causes.learnt"
SHOWN_FROM = 0.005
"""A smaller move is not listed."""


@dataclass(frozen=True, slots=True)
class Moved:
    """One value that differs: what it is, the shipped value, the value used now, the cases it rests on."""

    what: str
    shipped: float
    now: float
    cases: float


def cases_of(work: UnitOfWork, rules: RuleBase, today: date) -> list[Case]:
    """One case for each player who ended a change."""
    from journal.diagnosis import player_findings

    found = []
    for player in work.players.all():
        changes = work.changes.all(player_id=player.id)
        kept = frozenset(c.cause for c in changes if c.status is ChangeStatus.KEPT)
        dropped = frozenset(c.cause for c in changes if c.status is ChangeStatus.DROPPED) - kept
        if kept or dropped:
            seen = work.sightings.all(player_id=player.id, status=SightingStatus.CONFIRMED)
            days = len({sighting.day for sighting in seen})
            found.append(Case(player_findings(work, rules, player, today), kept, dropped, days))
    return found


def relearn(work: UnitOfWork, rules: RuleBase, *, today: date) -> Learnt:
    """Work the journal's cases in, always starting from the shipped values, and keep the result."""
    found = learn(network_of(rules), cases_of(work, rules, today))
    value = {
        "bases": dict(found.bases),
        "strengths": [
            [fault, cause, now, found.link_cases[fault, cause]]
            for (fault, cause), now in found.strengths.items()
        ],
        "cases": found.cases,
    }
    work.settings.put(Setting(KEY, value))
    return found


def forget(work: UnitOfWork) -> None:
    """Go back to the shipped values."""
    work.settings.remove(key=KEY)


def learnt(work: UnitOfWork, rules: RuleBase) -> Learnt:
    """What was learnt, without entries that the rules no longer have."""
    kept = work.settings.one(key=KEY)
    if kept is None:
        return Learnt()
    bases = {cause: float(now) for cause, now in kept.value.get("bases", {}).items() if cause in rules.causes}
    links = [
        (fault, cause, float(now), float(cases))
        for fault, cause, now, cases in kept.value.get("strengths", [])
        if fault in rules.faults and cause in rules.faults[fault].causes
    ]
    strengths = {(fault, cause): now for fault, cause, now, _ in links}
    counts = {(fault, cause): cases for fault, cause, _, cases in links}
    return Learnt(bases, strengths, float(kept.value.get("cases", 0.0)), counts)


def moved(work: UnitOfWork, rules: RuleBase) -> list[Moved]:
    """Every value that learning moved, the largest move first."""
    found = learnt(work, rules)
    rows = [Moved(cause, rules.causes[cause].base, now, found.cases) for cause, now in found.bases.items()]
    for (fault, cause), now in found.strengths.items():
        shipped = STRENGTH[rules.faults[fault].causes[cause]]
        rows.append(Moved(f"{cause} → {fault}", shipped, now, found.link_cases[fault, cause]))
    rows = [row for row in rows if abs(row.now - row.shipped) >= SHOWN_FROM]
    return sorted(rows, key=lambda row: (-abs(row.now - row.shipped), row.what))
