"""Several drills practised together, their tries in shuffled order.

Every drill keeps a result of its own, so that scores and history stay as they are; what they share is the order,
kept with each of them under ``detail["mix"]``. Which try comes next follows from how many were played, so
stopping the program at any moment loses at most the try being entered.

Mixed order is a leaning, not a law: it helps memory in laboratory tasks, but in sport and other applied settings
the gain is close to nothing (the entry dilemma.blocks_or_random names the studies).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from journal import practice
from journal.errors import BadInput, UnknownEntry
from journal.ladders import shuffled
from journal.planning.gather import open_change
from journal.plans import items_on
from journal.records import ItemKind, ItemStatus, Player, Result, Setting
from journal.store.work import UnitOfWork, new_id
from knowledge.rulebase import RuleBase

EACH = 10
"""Tries of each drill. Common practice, no source."""
MOST, PROPOSED = 5, 3
"""Drills at a time, and of a proposal: more would be set up longer than they are played. Common practice, no
source."""
DILEMMA = "dilemma.blocks_or_random"
"""The entry that says what is known about mixed order."""
_PREFERENCE = "practise in blocks"


@dataclass(frozen=True, slots=True)
class Mix:
    """Drills being practised together. parts: one result a drill. order: numbers of the parts, try by try."""

    parts: tuple[Result, ...]
    order: tuple[int, ...]

    @property
    def played(self) -> int:
        """Tries so far."""
        return sum(part.tries for part in self.parts)

    @property
    def hits(self) -> int:
        """Hits so far."""
        return sum(part.hits for part in self.parts)

    @property
    def next_part(self) -> int | None:
        """Number of the drill whose turn it is; None when all tries were played."""
        return self.order[self.played] if self.played < len(self.order) else None


def start(
    work: UnitOfWork,
    rules: RuleBase,
    player: Player,
    refs: Sequence[str],
    *,
    now: datetime,
    today: date,
    each: int = EACH,
) -> Mix:
    """Begin several drills together and make that permanent.

    The order follows from the time of beginning. Raises: BadInput for fewer than two or more than five different
    drills; UnknownEntry.
    """
    if not 2 <= len(set(refs)) == len(refs) <= MOST:
        raise BadInput(
            f"{len(set(refs))} drills cannot be mixed",
            f"Choose two to {MOST} different ones; two or three are best.",
        )
    unknown = [ref for ref in refs if ref not in rules.drills]
    if unknown:
        raise UnknownEntry(f"there is no drill {unknown[0]!r}", "Find it with: plainball lookup WORDS")
    order = tuple(shuffled(len(refs), each, int(now.timestamp())))
    shared = {"id": new_id(), "refs": list(refs), "order": list(order)}
    parts = tuple(
        practice.begun(work, player, ref, ItemKind.DRILL, now=now, today=today, detail={"mix": shared})
        for ref in refs
    )
    work.commit()
    return Mix(parts, order)


def going_on(work: UnitOfWork, player: Player) -> Mix | None:
    """The drills that were being practised together when the program stopped, the latest first."""
    results = work.results.all(order="-taken_at", player_id=player.id, open=True)
    shared = next((each.detail["mix"] for each in results if "mix" in each.detail), None)
    if shared is None:
        return None
    by_ref = {each.ref: each for each in results if each.detail.get("mix", {}).get("id") == shared["id"]}
    return Mix(tuple(by_ref[ref] for ref in shared["refs"]), tuple(shared["order"]))


def score(work: UnitOfWork, mix: Mix, hit: bool) -> Mix:
    """Score the try whose turn it is and make it permanent. Raises: BadInput when all were played."""
    number = mix.next_part
    if number is None:
        raise BadInput(
            f"all {len(mix.order)} tries are played", "enter keeps them; u takes the last one back."
        )
    return _with(mix, number, practice.ball(work, mix.parts[number], hit))


def undo(work: UnitOfWork, mix: Mix) -> Mix:
    """Take the last try back; without a try nothing happens."""
    if not mix.played:
        return mix
    number = mix.order[mix.played - 1]
    return _with(mix, number, practice.undo(work, mix.parts[number]))


def _with(mix: Mix, number: int, part: Result) -> Mix:
    return replace(mix, parts=(*mix.parts[:number], part, *mix.parts[number + 1 :]))


def finish(work: UnitOfWork, mix: Mix, *, minutes: float | None = None) -> list[Result]:
    """End all drills at once, minutes shared out by tries; those that were never played are dropped."""
    kept = []
    for part in mix.parts:
        share = None if minutes is None else round(minutes * part.tries / max(1, mix.played), 1)
        done = practice.closed(work, part, minutes=share)
        kept += [] if done is None else [done]
    work.commit()
    return kept


def suggested(work: UnitOfWork, rules: RuleBase, player: Player, today: date) -> tuple[str, ...]:
    """Today's open drills that may well be mixed, in the plan's order; none when there are fewer than two.

    A beginner's drills and those of the running change stay in blocks: a new movement wants repeating. Drills
    without positions accompany others and are not mixed. None for somebody who switched the preference off.
    """
    if player.level == "beginner" or not preferred(work, player):
        return ()
    change = open_change(work.changes.all(order="-started_on", player_id=player.id))
    new = set(change.drills) if change else set()
    refs = [
        item.ref
        for item in items_on(work, player, today)
        if item.kind is ItemKind.DRILL and item.status is ItemStatus.OPEN and item.ref in rules.drills
    ]
    old = [ref for ref in dict.fromkeys(refs) if ref not in new and rules.drills[ref].balls][:PROPOSED]
    return tuple(old) if len(old) >= 2 else ()


def preferred(work: UnitOfWork, player: Player) -> bool:
    """Whether mixed order is proposed to this player; it is until they switch it off."""
    kept = work.settings.one(key=_PREFERENCE)
    return kept is None or player.id not in kept.value.get("players", ())


def prefer(work: UnitOfWork, player: Player, mixed: bool) -> None:
    """Switch the proposal on or off for this player."""
    kept = work.settings.one(key=_PREFERENCE)
    there = {each.id for each in work.players.all()}
    off = {each for each in (kept.value.get("players", ()) if kept else ()) if each in there}
    off = off - {player.id} if mixed else off | {player.id}
    work.settings.put(Setting(_PREFERENCE, {"players": sorted(off)}))
