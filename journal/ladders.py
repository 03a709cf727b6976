"""Ladder drills: their rule, where a run of balls stands on the rungs, and trials in mixed order."""

from __future__ import annotations

import random
import re
from collections.abc import Sequence
from dataclasses import dataclass

from knowledge.entries import Drill

_AGAIN = re.compile(
    r"\b(?:start|begin) (?:again|over|afresh)|back to (?:round|rung|station) (?:1|one)\b", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class LadderRule:
    """How a ladder goes. up: hits in a row to move up; down: misses in a row to move down; restart: a miss
    ends the run.
    """

    rungs: int
    up: int = 2
    down: int = 2
    restart: bool = False


def ladder_rule(drill: Drill) -> LadderRule | None:
    """A ladder's rule, from its marked rungs or stations and whether its steps say to start again; None for
    other drills.
    """
    if "ladder" not in drill.id:
        return None
    labels = [b.label for b in drill.balls if b.label and re.match(r"(rung|station) \d", b.label)]
    rungs = len({found[0] for label in labels if (found := re.match(r"(?:rung|station) \d+", label))})
    restart = any(_AGAIN.search(step) for step in drill.steps)
    if not rungs and not restart:
        return None
    return LadderRule(rungs or 10, 1 if restart else 2, 1 if restart else 2, restart)


def climb(balls: Sequence[bool], rule: LadderRule) -> tuple[int, int]:
    """(rung now, highest rung reached), both from 1."""
    rung = top = 1
    streak = 0
    for hit in balls:
        streak = (streak + 1 if streak >= 0 else 1) if hit else (streak - 1 if streak <= 0 else -1)
        if streak >= rule.up:
            rung, streak = min(rule.rungs, rung + 1), 0
        elif -streak >= rule.down:
            rung, streak = (1 if rule.restart else max(1, rung - 1)), 0
        top = max(top, rung)
    return rung, top


def rungs_played(balls: Sequence[bool], rule: LadderRule) -> list[tuple[int, bool]]:
    """The rung of each ball, for the one ability in all ladders."""
    return [(climb(balls[:n], rule)[0], hit) for n, hit in enumerate(balls)]


def shuffled(places: int, each: int, seed: int) -> list[int]:
    """Places 0 to places - 1, each so often, in mixed order and, where that can be, none three times
    running.
    """
    rng = random.Random(seed)
    order = [place for place in range(places) for _ in range(each)]
    for _ in range(200):
        rng.shuffle(order)
        if not any(order[n] == order[n + 1] == order[n + 2] for n in range(len(order) - 2)):
            break
    return order
