"""The plan as a mixed-integer programme, solved by HiGHS.

Binary x: this drill in this slot; y: this re-check in this slot; p: practice on this day. Every hard rule is
a constraint and the worth of journal.planning.worth the objective, its falling returns as steps that fill in
order.
"""

from __future__ import annotations

import time
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from journal.errors import JournalError
from journal.planning.request import Draft, Request, Wish, may_check, may_drill, room
from journal.planning.worth import AGAIN, AREA, MINUTE, check_gain, kept_gain, week_of, worth_of

if TYPE_CHECKING:
    import highspy

SECONDS = 1.5
"""After this long a plan within ``GOOD`` of the best is taken as it is; a worse one gets up to ``PATIENCE``
times as long.
"""
PATIENCE = 5
GAP, GOOD = 0.0001, 0.01
RELAX = 1000.0


_Cells = dict[tuple[int, int], int]
_Pairs = tuple[tuple[int, int], ...]


class NoPlan(JournalError):
    """The wishes cannot all be met; the hint names those to relax."""


@dataclass
class _Model:
    """Columns and rows as they are collected; passed to HiGHS in one go, which is far quicker than one by
    one.
    """

    cost: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)
    index: list[int] = field(default_factory=list)
    value: list[float] = field(default_factory=list)

    def column(self, cost: float = 0.0, upper: float = 1.0, *, whole: bool = False) -> int:
        """A new variable from 0 to ``upper``; its number."""
        self.cost.append(cost)
        self.upper.append(upper)
        self.whole.append(whole)
        return len(self.cost) - 1

    def row(self, terms: list[tuple[int, float]], low: float, high: float) -> None:
        """low <= sum of terms <= high."""
        self.starts.append(len(self.index))
        self.index.extend(at for at, _ in terms)
        self.value.extend(by for _, by in terms)
        self.low.append(low)
        self.high.append(high)


@dataclass(frozen=True)
class _Names:
    drills: dict[tuple[int, int], int]
    dues: dict[tuple[int, int], int]
    slack: dict[Wish, int]


def build(request: Request, *, relax: bool = False, seconds: float = SECONDS) -> Draft:
    """The best plan for a request.

    relax: give way on wishes as little as possible instead of refusing. seconds: the solver's limit; the gap
    tells how far from the best the plan can be at most. Raises: NoPlan when the wishes cannot all be met.
    """
    begun = time.perf_counter()
    if not request.slots:
        raise NoPlan(
            "there is no free time to plan in",
            "Say when you are free, e.g.: plainball free NAME 'Tue and Thu 19:00, 45 min'",
        )
    model, names = _model(request, relax=relax)
    solution = _solve(model, seconds)
    if solution is None:
        raise _why_not(request, seconds)
    values, bound = solution
    drills = tuple(sorted(key for key, at in names.drills.items() if values[at] > 0.5))
    dues = tuple(sorted(key for key, at in names.dues.items() if values[at] > 0.5))
    given_up = tuple(
        f"{wish} (short by {values[at]:.0f})" for wish, at in names.slack.items() if values[at] > 0.5
    )
    worth = worth_of(request, drills, dues)
    gap = _gap(request, drills, dues, worth, bound + RELAX * sum(values[at] for at in names.slack.values()))
    return Draft(drills, dues, worth, gap, time.perf_counter() - begun, given_up)


def _gap(request: Request, drills: _Pairs, dues: _Pairs, worth: float, bound: float) -> float:
    """How much better the best plan could be, as a share of this plan's worth without the bonus for keeping.
    """
    keep = sum(kept_gain(request, request.slots[at], request.options[which].id) for at, which in drills)
    keep += sum(kept_gain(request, request.slots[at], request.dues[which].fault) for at, which in dues)
    short = max(0.0, bound - worth)
    return 0.0 if short < 1e-6 else min(1.0, short / max(1e-9, worth - keep))


def _why_not(request: Request, seconds: float) -> NoPlan:
    relaxed = build(request, relax=True, seconds=seconds).relaxed
    return NoPlan(
        "the wishes cannot all be met in the free time there is",
        f"Relax: {'; '.join(relaxed)}. Or give more free time, or add --relax to let the plan give way.",
    )


def _model(request: Request, *, relax: bool) -> tuple[_Model, _Names]:
    model = _Model()
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
    model: _Model, request: Request, drills: _Cells, dues: _Cells, practice: dict[date, int]
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


def _day_rules(model: _Model, request: Request, drills: _Cells, dues: _Cells) -> dict[date, int]:
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


def _rest(model: _Model, request: Request, on_day: dict[date, list[int]]) -> dict[date, int]:
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


def _returns(model: _Model, request: Request, drills: _Cells) -> None:
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


def _wish(model: _Model, request: Request, drills: _Cells, wish: Wish, *, relax: bool) -> int | None:
    options = request.options
    xs = [
        (x, 1.0)
        for (_, which), x in drills.items()
        if options[which].id == wish.drill or (wish.drill == "change" and options[which].of_change)
    ]
    short = model.column(-RELAX, float(wish.times)) if relax else None
    model.row([*xs, *([(short, 1.0)] if short is not None else [])], wish.times, 1e9)
    return short


def _solve(model: _Model, seconds: float) -> tuple[list[float], float] | None:
    """Values and the proven bound on the objective, or None when infeasible."""
    import highspy
    import numpy as np

    highs: Any = highspy.Highs()  # type: ignore[no-untyped-call]
    highs.silent()
    for name, value in (
        ("time_limit", PATIENCE * seconds),
        ("random_seed", 7),
        ("threads", 1),
        ("mip_rel_gap", GAP),
    ):
        highs.setOptionValue(name, value)
    problem = highspy.HighsLp()
    problem.num_col_, problem.num_row_ = len(model.cost), len(model.low)
    problem.col_cost_ = np.array(model.cost)
    problem.col_lower_, problem.col_upper_ = np.zeros(len(model.cost)), np.array(model.upper)
    problem.row_lower_, problem.row_upper_ = np.array(model.low), np.array(model.high)
    problem.integrality_ = [
        highspy.HighsVarType.kInteger if whole else highspy.HighsVarType.kContinuous for whole in model.whole
    ]
    problem.sense_ = highspy.ObjSense.kMaximize
    matrix = problem.a_matrix_
    matrix.format_ = highspy.MatrixFormat.kRowwise
    matrix.start_ = np.array([*model.starts, len(model.index)])
    matrix.index_, matrix.value_ = np.array(model.index), np.array(model.value)
    if not model.cost:
        return ([], 0.0) if all(low <= 0 for low in model.low) else None
    highs.passModel(problem)

    def enough(event: Any) -> None:
        if event.data_out.running_time > seconds and event.data_out.mip_gap <= GOOD:
            event.interrupt()

    highs.cbMipInterrupt.subscribe(enough)
    highs.run()
    return _answer(highs)


def _answer(highs: highspy.Highs) -> tuple[list[float], float] | None:
    import highspy

    status = highs.getModelStatus()
    infeasible = (highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kUnboundedOrInfeasible)
    if status in infeasible:
        return None
    info: Any = highs.getInfo()
    if info.primal_solution_status != 2:
        raise NoPlan("no plan was found in the time given", "Ask for fewer days or fewer drills.")
    return list(highs.getSolution().col_value), float(info.mip_dual_bound)
