"""Looks a finished plan over, rule by rule, without knowing how it was made.

It shares only the records with the builder and counts on its own, so that a slip in the builder's rules
cannot hide.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from journal.planning.layout import Placed
from journal.planning.request import Option, Request
from journal.planning.slots import Slot
from journal.records import ItemKind


def broken_rules(request: Request, placed: Sequence[Placed]) -> list[str]:
    """Every hard rule that the plan breaks, in words; an empty list when it keeps them all."""
    work = [each for each in placed if each.kind in (ItemKind.DRILL, ItemKind.RECHECK)]
    found = [*_inside(request, work), *_overlaps(work), *_drills(request, work), *_checks(request, work)]
    return [*found, *_matches(request, work), *_days(request, work), *_wishes(request, work)]


def _slot_of(request: Request, piece: Placed) -> Slot | None:
    return next((s for s in request.slots if (s.day, s.start) == (piece.day, piece.slot)), None)


def _inside(request: Request, work: Iterable[Placed]) -> Iterable[str]:
    for piece in work:
        slot = _slot_of(request, piece)
        if slot is None:
            yield f"{piece.ref} on {piece.day} lies in no free slot"
            continue
        long_enough = slot.minutes >= 20
        first = slot.start + (request.habits.warm_up if long_enough else 0)
        last = slot.start + slot.minutes - (request.habits.wind_down if long_enough else 0)
        if piece.start < first or piece.start + piece.minutes > last:
            yield f"{piece.ref} on {piece.day} leaves its slot or eats the warm-up or wind-down"


def _overlaps(work: Sequence[Placed]) -> Iterable[str]:
    for n, one in enumerate(work):
        for two in work[n + 1 :]:
            begin_one = one.day.toordinal() * 1440 + one.start
            begin_two = two.day.toordinal() * 1440 + two.start
            # Across a clock change absolute minutes of two days do not compare; slots were cut in UTC before.
            if (
                one.day == two.day
                and begin_one < begin_two + two.minutes
                and begin_two < begin_one + one.minutes
            ):
                yield f"{one.ref} and {two.ref} overlap on {one.day}"


def _option(request: Request, ref: str) -> Option | None:
    return next((option for option in request.options if option.id == ref), None)


def _drills(request: Request, work: Sequence[Placed]) -> Iterable[str]:
    drills = [piece for piece in work if piece.kind is ItemKind.DRILL]
    for piece in drills:
        option, slot = _option(request, piece.ref), _slot_of(request, piece)
        if option is None:
            yield f"{piece.ref} was never asked for"
            continue
        if option.barred:
            yield f"{piece.ref} is barred because of pain"
        if slot is not None and option.at_table and not slot.at_table:
            yield f"{piece.ref} needs a table on {piece.day}"
        if slot is not None and option.partner and not slot.partner:
            yield f"{piece.ref} needs a partner on {piece.day}"
        if piece.minutes != option.minutes:
            yield f"{piece.ref} has {piece.minutes} minutes, not {option.minutes}"
        if sum(other.ref == piece.ref and other.day == piece.day for other in drills) > 1:
            yield f"{piece.ref} comes twice on {piece.day}"
        if sum(other.ref == piece.ref for other in drills) > option.most:
            yield f"{piece.ref} comes more than {option.most} times"
    for slot in request.slots:
        here = [p for p in drills if (p.day, p.slot) == (slot.day, slot.start)]
        if len(here) > request.habits.most_drills:
            yield f"{len(here)} drills in the slot of {slot.day}"


def _checks(request: Request, work: Sequence[Placed]) -> Iterable[str]:
    checks = [piece for piece in work if piece.kind is ItemKind.RECHECK]
    for slot in request.slots:
        count = sum((p.day, p.slot) == (slot.day, slot.start) for p in checks)
        if count > request.habits.most_checks:
            yield f"{count} re-checks in the slot of {slot.day}"
    for piece in checks:
        due = next((each for each in request.dues if each.fault == piece.ref), None)
        if due is None:
            yield f"re-check of {piece.ref} was never due"
            continue
        if sum(other.ref == piece.ref for other in checks) > 1:
            yield f"{piece.ref} is re-checked twice"
        if (piece.day - due.day).days < -2 or (piece.day - due.day).days > 21:
            yield f"re-check of {piece.ref} is too far from its day"
        place = _slot_of(request, piece)
        if place is not None and due.at_table and not place.at_table:
            yield f"re-check of {piece.ref} needs a table on {piece.day}"


def _matches(request: Request, work: Sequence[Placed]) -> Iterable[str]:
    for match in request.matches:
        eve = match.day - timedelta(days=1)
        for piece in work:
            if piece.day == match.day:
                yield f"practice on the match day {match.day}"
            option = _option(request, piece.ref)
            days = (match.day - piece.day).days
            if piece.kind is ItemKind.DRILL and option and option.technique and 0 <= days <= match.days:
                yield f"new technique {piece.ref} {days} days before the match"
        for slot in request.slots:
            if slot.day != eve:
                continue
            spent = sum(p.minutes for p in work if (p.day, p.slot) == (slot.day, slot.start))
            whole = slot.minutes - (
                request.habits.warm_up + request.habits.wind_down if slot.minutes >= 20 else 0
            )
            if spent > whole * request.habits.eve_share + 1e-9:
                yield f"{spent} minutes on the eve of a match"


def _days(request: Request, work: Sequence[Placed]) -> Iterable[str]:
    days = {piece.day for piece in work} | set(request.practised)
    longest = request.habits.days_in_row
    planned: set[date] = {piece.day for piece in work}
    for day in sorted(days):
        run = {day + timedelta(days=n) for n in range(longest + 1)}
        if run <= days and run & (planned - request.practised):
            yield f"{longest + 1} days running from {day}"


def _wishes(request: Request, work: Sequence[Placed]) -> Iterable[str]:
    for wish in request.wishes:
        count = 0
        for piece in work:
            option = _option(request, piece.ref) if piece.kind is ItemKind.DRILL else None
            count += option is not None and (
                option.id == wish.drill or (wish.drill == "change" and option.of_change)
            )
        if count < wish.times:
            yield f"wish not met: {wish}"
