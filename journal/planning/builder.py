"""The plan as a mixed-integer programme, solved by HiGHS.

Binary x: this drill in this slot; y: this re-check in this slot; p: practice on this day. Every hard rule is
a constraint and the worth of journal.planning.worth the objective, its falling returns as steps that fill in
order.
"""

from __future__ import annotations

import time
from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import date, timedelta

from journal.planning.request import Draft, Request, Wish, may_check, may_drill, room
from journal.planning.solver import SECONDS, Model, NoPlan, solve
from journal.planning.worth import AGAIN, AREA, MINUTE, check_gain, kept_gain, week_of, worth_of

RELAX = 1000.0


_Cells = dict[tuple[int, int], int]
_Pairs = tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class _Names:
    drills: dict[tuple[int, int], int]
    dues: dict[tuple[int, int], int]
    slack: dict[Wish, int]


def build(request: Request, *, relax: bool = False, seconds: float = SECONDS) -> Draft:
    """The best plan for a request.

    relax: give way on wishes as little as possible instead of refusing. seconds: after this long a plan near
    the best is taken; the gap tells how near. Raises: NoPlan when there is no free time or the wishes cannot
    all be met.
    """
    begun = time.perf_counter()
    if not request.slots:
        hint = "Say when you are free, e.g.: plainball free NAME 'Tue and Thu 19:00, 45 min'"
        raise NoPlan("there is no free time to plan in", hint)
    model, names = _model(request)
    solution = solve(model, seconds)
    if solution is None:
        return _given_way(request, seconds, relax=relax)
    values, bound = solution
    drills = tuple(sorted(key for key, at in names.drills.items() if values[at] > 0.5))
    dues = tuple(sorted(key for key, at in names.dues.items() if values[at] > 0.5))
    worth = worth_of(request, drills, dues)
    gap = _gap(request, drills, dues, worth, bound)
    return Draft(drills, dues, worth, gap, time.perf_counter() - begun)


def _given_way(request: Request, seconds: float, *, relax: bool) -> Draft:
    """Find the fewest times to give up, then plan without them (or say which wishes they are)."""
    model, names = _model(request, relax=True)
    solution = solve(model, seconds)
    if solution is None:
        raise NoPlan("no plan was found", "Ask for fewer days.")
    short = {wish: round(solution[0][at]) for wish, at in names.slack.items()}
    told = tuple(f"{wish} (short by {short[wish]})" for wish in request.wishes if short.get(wish))
    if not relax:
        raise NoPlan(
            "the wishes cannot all be met in the free time there is",
            f"Relax: {'; '.join(told)}. Or give more free time, or add --relax to let the plan give way.",
        )
    wishes = tuple(Wish(wish.drill, wish.times - short.get(wish, 0)) for wish in request.wishes)
    kept = tuple(wish for wish in wishes if wish.times > 0)
    draft = build(replace(request, wishes=kept), seconds=seconds)
    return replace(draft, relaxed=told)


def _gap(request: Request, drills: _Pairs, dues: _Pairs, worth: float, bound: float) -> float:
    """How much better the best plan could be, as a share of this plan's worth without the bonus for
    keeping.
    """
    keep = sum(kept_gain(request, request.slots[at], request.options[which].id) for at, which in drills)
    keep += sum(kept_gain(request, request.slots[at], request.dues[which].fault) for at, which in dues)
    short = max(0.0, bound - worth)
    return 0.0 if short < 1e-6 else min(1.0, short / max(1e-9, worth - keep))


def _model(request: Request, *, relax: bool = False) -> tuple[Model, _Names]:
    model = Model()
    drills = {
        (at, which): model.column(kept_gain(request, slot, option.id) - MINUTE * option.minutes, whole=True)
        for at, slot in enumerate(request.slots)
        for which, option in enumerate(request.options)
        if may_drill(request, slot, option)
    }
    dues = {
        (at, which): model.column(check_gain(due, slot) + kept_gain(request, slot, due.fault), whole=True)
        for at, slot in enumerate(request.slots)
        for which, due in enumerate(request.dues)
        if may_check(request, slot, due)
    }
    practice = _day_rules(model, request, drills, dues)
    _slot_rules(model, request, drills, dues, practice)
    _returns(model, request, drills)
    for which in range(len(request.dues)):
        model.row([(x, 1.0) for (_, due), x in dues.items() if due == which], 0, 1)
    slack = {wish: _wish(model, request, drills, wish, relax=relax) for wish in request.wishes}
    return model, _Names(drills, dues, {wish: at for wish, at in slack.items() if at is not None})


def _slot_rules(
    model: Model, request: Request, drills: _Cells, dues: _Cells, practice: dict[date, int]
) -> None:
    """Minutes and number of drills (none on a day of rest), and the bonus for different areas in one slot."""
    for at, slot in enumerate(request.slots):
        here = [(which, x) for (place, which), x in drills.items() if place == at]
        checks = [(which, x) for (place, which), x in dues.items() if place == at]
        load = [(x, float(request.options[which].minutes)) for which, x in here]
        load += [(x, float(request.dues[which].minutes)) for which, x in checks]
        if not load:
            continue
        for terms, most in (
            (load, room(request, slot)),
            ([(x, 1.0) for _, x in here], request.habits.most_drills),
            ([(x, 1.0) for _, x in checks], request.habits.most_checks),
        ):
            if slot.day in practice:
                model.row([*terms, (practice[slot.day], -float(most))], -1e9, 0)
            else:
                model.row(terms, 0, most)
        if request.habits.mixed:
            areas: dict[str, list[int]] = defaultdict(list)
            for which, x in here:
                areas[request.options[which].area].append(x)
            for members in areas.values():
                bonus = model.column(AREA)
                model.row([(bonus, 1.0), *((x, -1.0) for x in members)], -len(members), 0)


def _day_rules(model: Model, request: Request, drills: _Cells, dues: _Cells) -> dict[date, int]:
    """A drill once a day, at most so many times in all, and rest after so many practice days running."""
    by_day: dict[tuple[date, int], list[int]] = defaultdict(list)
    by_drill: dict[int, list[int]] = defaultdict(list)
    on_day: dict[date, list[int]] = defaultdict(list)
    for (at, which), x in drills.items():
        day = request.slots[at].day
        by_day[day, which].append(x)
        by_drill[which].append(x)
        on_day[day].append(x)
    for (at, _), x in dues.items():
        on_day[request.slots[at].day].append(x)
    for xs in by_day.values():
        if len(xs) > 1:
            model.row([(x, 1.0) for x in xs], 0, 1)
    for which, xs in by_drill.items():
        if len(xs) > request.options[which].most:
            model.row([(x, 1.0) for x in xs], 0, request.options[which].most)
    return _rest(model, request, on_day)


def _rest(model: Model, request: Request, on_day: dict[date, list[int]]) -> dict[date, int]:
    """Days that could be one too many get a variable "practice on this day"; those variables by day."""
    run = request.habits.days_in_row
    busy = set(on_day) | request.practised
    windows = []
    for day in sorted(busy):
        window = [day + timedelta(days=n) for n in range(run + 1)]
        if all(each in busy for each in window):
            windows.append(window)
    needed = {day for window in windows for day in window if day not in request.practised}
    practice = {}
    for day in sorted(needed):
        practice[day] = model.column(whole=True)
        for x in on_day[day]:
            model.row([(x, 1.0), (practice[day], -1.0)], -1, 0)
    for window in windows:
        ahead = [(practice[day], 1.0) for day in window if day in practice]
        if ahead:
            model.row(ahead, 0, max(0, run - sum(day in request.practised for day in window)))
    return practice


def _returns(model: Model, request: Request, drills: _Cells) -> None:
    """Falling returns within a week: steps worth w, w/2, w/4 … that an optimum fills from the top."""
    weekly: dict[tuple[int, int], list[int]] = defaultdict(list)
    for (at, which), x in drills.items():
        weekly[which, week_of(request, request.slots[at].day)].append(x)
    for (which, _), xs in weekly.items():
        if len(xs) == 1:
            model.cost[xs[0]] += request.options[which].worth
            continue
        steps = [model.column(request.options[which].worth * AGAIN**n) for n in range(len(xs))]
        model.row([*((x, 1.0) for x in xs), *((step, -1.0) for step in steps)], 0, 0)


def _wish(model: Model, request: Request, drills: _Cells, wish: Wish, *, relax: bool) -> int | None:
    options = request.options
    xs = [
        (x, 1.0)
        for (_, which), x in drills.items()
        if options[which].id == wish.drill or (wish.drill == "change" and options[which].of_change)
    ]
    short = model.column(-RELAX, float(wish.times)) if relax else None
    model.row([*xs, *([(short, 1.0)] if short is not None else [])], wish.times, 1e9)
    return short
