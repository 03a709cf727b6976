"""From what goes into a slot to minutes on the clock: the order, the starts, and why each piece is there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from journal.planning.request import Draft, Due, Option, Request, room
from journal.planning.slots import Slot
from journal.records import ItemKind

WARM_UP, WIND_DOWN, DAY_OFF = "warm_up", "wind_down", "rest"
"""What an item of kind rest stands for."""


@dataclass(frozen=True, slots=True)
class Placed:
    """One piece of a plan. start: real minutes after the local midnight of ``day``, so past 1440 after
    midnight.

    slot: the start minute of the slot it lies in; pieces of one slot share a calendar entry.
    """

    day: date
    start: int
    minutes: int
    kind: ItemKind
    ref: str
    why: str
    slot: int


def lay_out(request: Request, draft: Draft) -> tuple[Placed, ...]:
    """Every piece in order of time; a slot that stays empty becomes rest with its reason."""
    placed: list[Placed] = []
    for at, slot in enumerate(request.slots):
        dues = [request.dues[which] for place, which in draft.dues if place == at]
        options = [request.options[which] for place, which in draft.drills if place == at]
        if dues or options:
            placed.extend(_session(request, slot, dues, options))
        else:
            placed.append(
                Placed(
                    slot.day,
                    slot.start,
                    slot.minutes,
                    ItemKind.REST,
                    "rest",
                    _rest(request, slot),
                    slot.start,
                )
            )
    return tuple(placed)


def _session(request: Request, slot: Slot, dues: list[Due], options: list[Option]) -> Iterable[Placed]:
    warm_up, wind_down = (request.habits.warm_up, request.habits.wind_down) if slot.minutes >= 20 else (0, 0)
    if warm_up:
        yield Placed(
            slot.day,
            slot.start,
            warm_up,
            ItemKind.REST,
            WARM_UP,
            "Easy straight shots; nothing is counted.",
            slot.start,
        )
    at = slot.start + warm_up
    eve = any(match.day - timedelta(days=1) == slot.day for match in request.matches)
    for due in sorted(dues, key=lambda one: (-one.worth, one.fault)):
        yield Placed(slot.day, at, due.minutes, ItemKind.RECHECK, due.fault, due.why, slot.start)
        at += due.minutes
    for option in in_order(options, mixed=request.habits.mixed):
        why = option.why + (" A lighter day: tomorrow is the match." if eve else "")
        yield Placed(slot.day, at, option.minutes, ItemKind.DRILL, option.id, why, slot.start)
        at += option.minutes
    if wind_down:
        why = "Two or three shots you like, and one line for the note: what next?"
        yield Placed(
            slot.day,
            slot.start + slot.minutes - wind_down,
            wind_down,
            ItemKind.REST,
            WIND_DOWN,
            why,
            slot.start,
        )


def in_order(options: Iterable[Option], *, mixed: bool) -> list[Option]:
    """The change first, while fresh; then by worth, and when mixed no two of one area in a row where that can
    be.
    """
    left = sorted(options, key=lambda one: (not one.of_change, -one.worth, one.id))
    if not mixed:
        return sorted(left, key=lambda one: (not one.of_change, one.area, -one.worth, one.id))
    done: list[Option] = []
    while left:
        area = done[-1].area if done else None
        nxt = next((one for one in left if one.area != area), left[0])
        left.remove(nxt)
        done.append(nxt)
    return done


def _rest(request: Request, slot: Slot) -> str:
    if any(match.day == slot.day for match in request.matches):
        return "The match is today: play, do not practise."
    if room(request, slot) == 0:
        return "Too little time is left here for anything useful."
    if slot.day in request.practised:
        return "You have practised today already."
    days = request.habits.days_in_row
    return f"A day off: nothing more useful fits here, and no more than {days} days run without one."


def without_rest(placed: Iterable[Placed]) -> tuple[Placed, ...]:
    """Only what is to be done."""
    return tuple(each for each in placed if each.kind is not ItemKind.REST)
