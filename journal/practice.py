"""Practice as it happens: each ball is on disk before the next one is played.

A running drill is an open result whose ``detail["balls"]`` holds 1 for a hit and 0 for a miss. Stopping the
program at any moment loses at most the ball being entered.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from rapidfuzz import process

from journal.errors import BadInput, UnknownEntry
from journal.ladders import climb, ladder_rule
from journal.points import in_points
from journal.progress.scores import middle_half, wilson
from journal.records import ItemKind, ItemStatus, Player, RecordId, Result
from journal.store.work import UnitOfWork, new_id
from knowledge.entries import Drill
from knowledge.rulebase import RuleBase

MOST_TRIES = 1000


@dataclass(frozen=True, slots=True)
class Tally:
    """Where a drill stands. rung: of the ladder, counted from 1. run, best_run: hits in a row now and at
    best.

    hint: a word when it is time to stop or to change something.
    """

    hits: int
    tries: int
    low: float
    high: float
    run: int
    best_run: int
    rung: int | None = None
    top_rung: int | None = None
    hint: str = ""


def find_ref(rules: RuleBase, name: str) -> tuple[str, ItemKind]:
    """A drill's or (for a re-check) a fault's id from its id, its last part, or its name. Raises:
    UnknownEntry.
    """
    wanted = name.casefold().strip()
    for entries, kind in ((rules.drills, ItemKind.DRILL), (rules.faults, ItemKind.RECHECK)):
        for id_, entry in entries.items():
            if wanted in (id_, id_.split(".", 1)[1], entry.name.casefold()):
                return id_, kind
    choices = {
        id_: f"{id_.split('.', 1)[1].replace('_', ' ')} {entry.name}" for id_, entry in rules.drills.items()
    }
    near = process.extractOne(wanted, choices, score_cutoff=50)
    hint = f"Did you mean {near[2]}?" if near else "Find it with: plainball lookup WORDS"
    raise UnknownEntry(f"there is no drill or fault {name!r}", hint)


def read_score(words: str) -> tuple[int, int]:
    """Hits and tries from "7/10", "7 of 10" or "7 out of 10". Raises: BadInput."""
    found = re.fullmatch(r"\s*(\d{1,4})\s*(?:/|of|out of|from)\s*(\d{1,4})\s*", words, re.IGNORECASE)
    if not found:
        raise BadInput(f"{words!r} is no score", "Write hits and tries, such as 7/10.")
    hits, tries = int(found[1]), int(found[2])
    if not 0 < tries <= MOST_TRIES or hits > tries:
        raise BadInput(
            f"{hits} of {tries} cannot be", f"Hits are at most the tries, and tries 1 to {MOST_TRIES}."
        )
    return hits, tries


def record(
    work: UnitOfWork,
    player: Player,
    ref: str,
    kind: ItemKind,
    hits: int,
    tries: int,
    *,
    now: datetime,
    today: date,
    minutes: float | None = None,
    detail: dict[str, Any] | None = None,
) -> Result:
    """Store a finished score and tick off its plan item, if there is one today."""
    item = _item(work, player, ref, today)
    result = Result(
        player.id, new_id(), ref, kind, today, now, hits, tries, minutes, item, False, dict(detail or {})
    )
    work.results.add(result)
    _tick(work, player, item)
    return result


def begun(
    work: UnitOfWork,
    player: Player,
    ref: str,
    kind: ItemKind,
    *,
    now: datetime,
    today: date,
    detail: Mapping[str, Any] | None = None,
) -> Result:
    """A result that goes on, not yet permanent. detail: what is kept beside the balls."""
    item = _item(work, player, ref, today)
    kept: dict[str, Any] = {"balls": [], **(detail or {})}
    return work.results.add(Result(player.id, new_id(), ref, kind, today, now, 0, 0, None, item, True, kept))


def start(
    work: UnitOfWork,
    player: Player,
    ref: str,
    kind: ItemKind,
    *,
    now: datetime,
    today: date,
    order: Sequence[int] = (),
) -> Result:
    """Begin a drill and make that permanent. order: places in the order to play them, when shuffled.

    One that was begun before and left without a try is dropped.
    """
    for each in work.results.all(player_id=player.id, ref=ref, open=True):
        if _alone(each) and not _scored(each):
            work.results.remove(player_id=player.id, id=each.id)
    result = begun(work, player, ref, kind, now=now, today=today, detail={"order": list(order)})
    work.commit()
    return result


def resume(work: UnitOfWork, player: Player, ref: str | None = None) -> Result | None:
    """The latest of the interrupted drills, or of those with this ref."""
    return next((each for each in interrupted(work, player) if ref in (None, each.ref)), None)


def interrupted(work: UnitOfWork, player: Player) -> list[Result]:
    """The drills that were left, or were going on when the program stopped, with a try or a point; the latest
    first.

    Trials and drills that are practised together go on in their own modules.
    """
    going = work.results.all(order="-taken_at", player_id=player.id, open=True)
    return [each for each in going if _alone(each) and _scored(each)]


def put_by(work: UnitOfWork, *results: Result) -> bool:
    """Leave results open, to be gone on with, and make that permanent.

    When none of them has a try or a point there is nothing to go on with: they are dropped, and False comes back.
    """
    kept = any(_scored(each) for each in results)
    for each in () if kept else results:
        work.results.remove(player_id=each.player_id, id=each.id)
    work.commit()
    return kept


def _alone(result: Result) -> bool:
    return result.kind is not ItemKind.TRIAL and "mix" not in result.detail


def _scored(result: Result) -> bool:
    return bool(result.tries or result.detail.get("points"))


def ball(work: UnitOfWork, result: Result, hit: bool) -> Result:
    """Score one ball and make it permanent. Raises: BadInput after 1,000 balls."""
    balls = [*result.detail.get("balls", ()), int(hit)]
    if len(balls) > MOST_TRIES:
        raise BadInput(f"{MOST_TRIES} balls are enough for one drill", "Finish it and start another.")
    return _put(work, result, balls)


def undo(work: UnitOfWork, result: Result) -> Result:
    """Take the last ball back; without a ball nothing happens."""
    return _put(work, result, list(result.detail.get("balls", ()))[:-1])


def _put(work: UnitOfWork, result: Result, balls: list[int]) -> Result:
    changed = replace(result, hits=sum(balls), tries=len(balls), detail={**result.detail, "balls": balls})
    work.results.put(changed)
    work.commit()
    return changed


def point(work: UnitOfWork, result: Result, side: str, points: int) -> Result:
    """A points game for two: add points to side "a" or "b", permanently."""
    if side not in ("a", "b"):
        raise BadInput(f"there is no side {side!r}", "Use a or b.")
    game = [*result.detail.get("points", ()), [side, points]]
    changed = replace(result, detail={**result.detail, "points": game})
    work.results.put(changed)
    work.commit()
    return changed


def points_of(result: Result) -> tuple[int, int]:
    """The score of a points game."""
    game = result.detail.get("points", ())
    return sum(n for side, n in game if side == "a"), sum(n for side, n in game if side == "b")


def finish(
    work: UnitOfWork, result: Result, *, minutes: float | None = None, remark: str = ""
) -> Result | None:
    """End a drill and tick off its item. One without a ball or a point is dropped and None comes back."""
    done = closed(work, result, minutes=minutes, remark=remark)
    work.commit()
    return done


def closed(
    work: UnitOfWork, result: Result, *, minutes: float | None = None, remark: str = ""
) -> Result | None:
    """The same, not yet permanent."""
    if not _scored(result):
        work.results.remove(player_id=result.player_id, id=result.id)
        return None
    detail = {**result.detail, **({"remark": remark} if remark else {})}
    done = replace(result, open=False, minutes=minutes, detail=detail)
    work.results.put(done)
    _tick_id(work, done.player_id, done.item_id)
    return done


def tally(result: Result, drill: Drill | None = None, level: str = "club") -> Tally:
    """Where a drill stands, ball by ball; level: beginner, club or strong, for the target."""
    balls = [bool(each) for each in result.detail.get("balls", ())]
    run = best = 0
    for hit in balls:
        run = run + 1 if hit else 0
        best = max(best, run)
    low, high = wilson(result.hits, result.tries)
    rule = ladder_rule(drill) if drill else None
    rung, top = climb(balls, rule) if rule else (None, None)
    return Tally(result.hits, result.tries, low, high, run, best, rung, top, _hint(balls, drill, level))


def _hint(balls: Sequence[bool], drill: Drill | None, level: str) -> str:
    """When to stop (common practice, no source): target reached, or three misses running without a new
    idea.
    """
    target = getattr(drill.target, level) if drill else None
    if (
        target
        and target.hits is not None
        and target.of
        and len(balls) >= target.of
        and sum(balls) >= target.hits
    ):
        return "target reached"
    by_points = drill is not None and in_points(drill, level)  # three points not won may be one shot
    if len(balls) >= 3 and not any(balls[-3:]) and not by_points:
        return "three misses running: stop, or change one thing you can name"
    return "look at the count now, not after each ball" if balls and len(balls) % 10 == 0 else ""


@dataclass(frozen=True, slots=True)
class Standing:
    """Earlier results of a drill.

    best: (hits, tries) of the best share among those with at least half of the usual tries. middle: the
    quartiles of the last ten shares, None with fewer than four. times: how often it was done.
    """

    best: tuple[int, int] | None
    middle: tuple[float, float] | None
    times: int


def standing(work: UnitOfWork, player: Player, ref: str) -> Standing:
    """A drill's personal best and the middle half of the last ten."""
    results = [
        r for r in work.results.all(order="taken_at", player_id=player.id, ref=ref) if not r.open and r.tries
    ]
    if not results:
        return Standing(None, None, 0)
    usual = sorted(r.tries for r in results)[len(results) // 2]
    best = max((r for r in results if 2 * r.tries >= usual), key=lambda r: (r.hits / r.tries, r.tries))
    last = [r.hits / r.tries for r in results[-10:]]
    return Standing((best.hits, best.tries), middle_half(last) if len(last) >= 4 else None, len(results))


def _item(work: UnitOfWork, player: Player, ref: str, today: date) -> RecordId | None:
    items = work.plan_items.all(
        order="start_minute", player_id=player.id, ref=ref, day=today, status=ItemStatus.OPEN
    )
    return items[0].id if items else None


def _tick(work: UnitOfWork, player: Player, item: RecordId | None) -> None:
    _tick_id(work, player.id, item)


def _tick_id(work: UnitOfWork, player_id: str, item_id: RecordId | None) -> None:
    item = work.plan_items.one(player_id=player_id, id=item_id) if item_id else None
    if item is not None:
        work.plan_items.put(replace(item, status=ItemStatus.DONE))
