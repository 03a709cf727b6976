"""What a plan is made from and what comes out, as plain records."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import pairwise

from journal.planning.slots import Slot


@dataclass(frozen=True, slots=True)
class Option:
    """A drill that may be planned.

    worth: benefit of its first time in a week. minutes: what one time takes. technique: counts as a new
    technique, so it is frozen before matches. area: for variety. most: times in the whole plan. why: one
    clause.
    """

    id: str
    minutes: int
    worth: float
    area: str = ""
    why: str = ""
    at_table: bool = True
    partner: bool = False
    technique: bool = False
    of_change: bool = False
    barred: bool = False
    most: int = 99


@dataclass(frozen=True, slots=True)
class Due:
    """A re-check that falls due. worth: of doing it at all; it fades by a tenth for each day off the due
    day.
    """

    fault: str
    day: date
    worth: float
    minutes: int = 4
    at_table: bool = True
    why: str = ""


@dataclass(frozen=True, slots=True)
class Freeze:
    """A match: no practice on its day, at most half of the time on its eve, nothing new in the days
    before.
    """

    day: date
    days: int = 7


@dataclass(frozen=True, slots=True)
class Wish:
    """Something the person insists on: a drill (or "change") at least so many times, or a day of rest in so
    many.
    """

    drill: str
    times: int

    def __str__(self) -> str:
        what = "the change's drills" if self.drill == "change" else self.drill
        return f"{what} at least {self.times} time{'s' if self.times != 1 else ''}"


@dataclass(frozen=True, slots=True)
class Habits:
    """How somebody likes to practise. Defaults are common practice, no source.

    warm_up, wind_down: minutes of every slot of 20 minutes and more. days_in_row: most practice days running.
    most_drills, most_checks: in one slot, so that overdue re-checks do not pile up. mixed: a mild preference
    for different areas in one slot; in applied settings the evidence for mixed order is weak (Czyż et al.,
    Scientific Reports 14 (2024) 15974), so it can be switched off.
    """

    warm_up: int = 4
    wind_down: int = 2
    days_in_row: int = 5
    most_drills: int = 5
    most_checks: int = 2
    mixed: bool = True
    eve_share: float = 0.5


@dataclass(frozen=True, slots=True)
class Request:
    """Everything a plan depends on. ``kept``: (slot start, what) pairs of an earlier plan that should
    stay.
    """

    slots: tuple[Slot, ...]
    options: tuple[Option, ...]
    dues: tuple[Due, ...] = ()
    matches: tuple[Freeze, ...] = ()
    wishes: tuple[Wish, ...] = ()
    habits: Habits = field(default_factory=Habits)
    kept: frozenset[tuple[date, int, str]] = frozenset()
    practised: frozenset[date] = frozenset()


@dataclass(frozen=True, slots=True)
class Draft:
    """What goes where: slot number to the numbers of options and dues. ``gap``: proven distance from the
    best, 0 to 1.
    """

    drills: tuple[tuple[int, int], ...]
    dues: tuple[tuple[int, int], ...]
    worth: float
    gap: float
    seconds: float = 0.0
    relaxed: tuple[str, ...] = ()


def room(request: Request, slot: Slot) -> int:
    """Minutes of a slot for drills and re-checks: without warm-up and wind-down, halved on a match's eve, 0
    on its day.
    """
    habits = request.habits
    if any(match.day == slot.day for match in request.matches):
        return 0
    minutes = slot.minutes - (habits.warm_up + habits.wind_down if slot.minutes >= 20 else 0)
    if any(match.day - timedelta(days=1) == slot.day for match in request.matches):
        minutes = int(minutes * habits.eve_share)
    return max(0, minutes)


def may_drill(request: Request, slot: Slot, option: Option) -> bool:
    """Whether a drill is possible in a slot at all: pain, table, partner, room, and the freeze before a
    match.
    """
    if option.barred or option.minutes > room(request, slot):
        return False
    if (option.at_table and not slot.at_table) or (option.partner and not slot.partner):
        return False
    return not (option.technique and _frozen(request, slot.day))


def _frozen(request: Request, day: date) -> bool:
    return any(timedelta(0) <= match.day - day <= timedelta(days=match.days) for match in request.matches)


def may_check(request: Request, slot: Slot, due: Due) -> bool:
    """Whether a re-check is possible in a slot: at most two days early, and no later than three weeks after
    its day.
    """
    early, late = due.day - timedelta(days=2), due.day + timedelta(days=21)
    if not early <= slot.day <= late or due.minutes > room(request, slot):
        return False
    return slot.at_table or not due.at_table


def longest_run(days: set[date]) -> int:
    """The most days running."""
    best = run = 0
    for before, day in pairwise([date.min, *sorted(days)]):
        run = run + 1 if (day - before).days == 1 else 1
        best = max(best, run)
    return best
