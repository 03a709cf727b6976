"""How good a plan is: one number, computed apart from the solver so that both can be held against each other.

A drill's first time in a week counts its worth, each further time in that week half of the time before. Every
different area in a slot adds a little when the order should be mixed. A re-check counts its worth, less a
tenth for each day off. Keeping what an earlier plan had counts more than anything else a swap could bring.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import date

from journal.planning.request import Due, Request
from journal.planning.slots import Slot

AGAIN = 0.5
AREA = 0.05
DAY_OFF = 0.1
LEAST = 0.05
KEEP = 10.0
MINUTE = 0.002
"""A minute of practice in itself, so that of two equal drills the longer one does not push in."""


def time_gain(worth: float, times: int) -> float:
    """What a drill done so many times in one week adds."""
    return worth * (1.0 - AGAIN**times) / (1.0 - AGAIN)


def check_gain(due: Due, slot: Slot) -> float:
    """What a re-check in this slot adds."""
    return due.worth * max(LEAST, 1.0 - DAY_OFF * abs((slot.day - due.day).days))


def week_of(request: Request, day: date) -> int:
    """The week of the plan, counted from the first slot's day."""
    return (day - request.slots[0].day).days // 7


def kept_gain(request: Request, slot: Slot, what: str) -> float:
    """What keeping this piece of an earlier plan adds."""
    return KEEP if (slot.day, slot.start, what) in request.kept else 0.0


def worth_of(request: Request, drills: Iterable[tuple[int, int]], dues: Iterable[tuple[int, int]]) -> float:
    """A whole plan's number. drills, dues: (slot, option or due) index pairs."""
    total = 0.0
    times: Counter[tuple[int, int]] = Counter()
    areas: set[tuple[int, str]] = set()
    for at, which in drills:
        slot, option = request.slots[at], request.options[which]
        times[which, week_of(request, slot.day)] += 1
        areas.add((at, option.area))
        total += kept_gain(request, slot, option.id) - MINUTE * option.minutes
    total += sum(time_gain(request.options[which].worth, n) for (which, _), n in times.items())
    if request.habits.mixed:
        total += AREA * len(areas)
    for at, which in dues:
        slot, due = request.slots[at], request.dues[which]
        total += check_gain(due, slot) + kept_gain(request, slot, due.fault)
    return total
