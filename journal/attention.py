"""Which players need a coach's look, and why."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from journal.players import may_be_minor
from journal.records import Player
from journal.store.work import UnitOfWork
from journal.today import look_at
from knowledge.rulebase import RuleBase

QUIET_DAYS = 14
"""Days without a note after which somebody is asked about. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Look:
    """One player as a coach sees them. reasons: the most pressing first. last: day of the last note."""

    player: Player
    reasons: tuple[str, ...]
    weight: int
    last: date | None
    notes: int


def who_needs_a_look(work: UnitOfWork, rules: RuleBase, today: date, now: datetime) -> list[Look]:
    """Every player that is not archived, those who need a look first."""
    players = [each for each in work.players.all(order="name") if not each.archived]
    looks = [_look(work, rules, player, today, now) for player in players]
    return sorted(looks, key=lambda look: (-look.weight, look.player.name.casefold()))


def _look(work: UnitOfWork, rules: RuleBase, player: Player, today: date, now: datetime) -> Look:
    found = look_at(work, player, today)
    notes = work.notes.all(order="-day", player_id=player.id)
    last = notes[0].day if notes else None
    reasons: list[tuple[int, str]] = []
    if found.pain is not None:
        reasons.append((100, f"pain or strain noted on {found.pain.day} {found.pain:%b}"))
    if may_be_minor(player, now) and not player.guardian_consent:
        reasons.append((90, "under 18 and no guardian's consent is kept"))
    waiting = sum(question.sent_at is None for question in work.questions.all(player_id=player.id))
    if waiting:
        reasons.append((60, f"{waiting} question{'s' if waiting > 1 else ''} without an answer"))
    if found.change is not None and found.change.stop_on < today:
        reasons.append((50, "the change has reached its stop date: decide"))
    for slip in found.slipping[:1]:
        fault = rules.faults.get(slip.fault)
        reasons.append((40, f"slipping: {fault.name if fault else slip.fault}"))
    if found.open_sightings:
        reasons.append(
            (20, f"{found.open_sightings} sighting{'s' if found.open_sightings > 1 else ''} not answered")
        )
    if last is None:
        reasons.append((10, "no note yet"))
    elif (today - last).days >= QUIET_DAYS:
        reasons.append((30, f"no note for {(today - last).days} days"))
    reasons.sort(key=lambda reason: -reason[0])
    return Look(
        player,
        tuple(words for _, words in reasons),
        max((w for w, _ in reasons), default=0),
        last,
        len(notes),
    )
