"""Random plan requests for the property tests, and a brute force over small ones."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import combinations, product

from hypothesis import strategies as st

from journal.planning.checker import broken_rules
from journal.planning.layout import lay_out
from journal.planning.request import Draft, Due, Freeze, Habits, Option, Request, Wish, may_check, may_drill
from journal.planning.slots import Slot
from journal.planning.worth import worth_of

FIRST = date(2026, 5, 4)


@st.composite
def requests(draw: st.DrawFn, most_slots: int = 14, most_options: int = 10, most_dues: int = 4) -> Request:
    """Any request: slots on any days, drills and re-checks of any kind, matches, wishes, habits, an earlier
    plan.
    """
    days = draw(st.lists(st.integers(0, 27), min_size=1, max_size=most_slots, unique=True))
    slots = tuple(
        Slot(
            FIRST + timedelta(days=day),
            start,
            draw(st.sampled_from((0, 12, 25, 45, 60))),
            draw(st.booleans()),
            draw(st.booleans()),
        )
        for day in sorted(days)
        for start in draw(st.sampled_from(((1140,), (600,), (600, 1140))))
    )
    options = tuple(
        Option(
            f"drill.d{n}",
            draw(st.integers(2, 25)),
            draw(st.floats(0.05, 2.0)),
            draw(st.sampled_from("abc")),
            at_table=draw(st.booleans()),
            partner=draw(st.booleans()),
            technique=draw(st.booleans()),
            of_change=n == 0,
            barred=draw(st.sampled_from((False, False, True))),
            most=draw(st.integers(1, 6)),
        )
        for n in range(draw(st.integers(0, most_options)))
    )
    dues = tuple(
        Due(
            f"fault.f{n}",
            FIRST + timedelta(days=draw(st.integers(0, 27))),
            draw(st.floats(0.5, 4.0)),
            draw(st.integers(2, 8)),
        )
        for n in range(draw(st.integers(0, most_dues)))
    )
    matches = tuple(
        Freeze(FIRST + timedelta(days=day), draw(st.sampled_from((3, 7))))
        for day in draw(st.lists(st.integers(0, 29), max_size=3, unique=True))
    )
    wishes = tuple(
        Wish(f"drill.d{n}", draw(st.integers(1, 3)))
        for n in draw(st.lists(st.integers(0, 3), max_size=2, unique=True))
    )
    kept = frozenset(
        (slots[draw(st.integers(0, len(slots) - 1))].day, 1140, f"drill.d{draw(st.integers(0, 5))}")
        for _ in range(draw(st.integers(0, 4)))
    )
    habits = Habits(
        draw(st.integers(0, 6)),
        draw(st.integers(0, 4)),
        draw(st.integers(1, 6)),
        draw(st.integers(1, 5)),
        draw(st.booleans()),
    )
    practised = frozenset(
        FIRST + timedelta(days=day) for day in draw(st.lists(st.integers(-6, 0), max_size=4))
    )
    return Request(slots, options, dues, matches, wishes, habits, kept, practised)


def best_by_force(request: Request) -> float | None:
    """The best worth over every way to fill the slots; None when none keeps all rules and wishes."""
    cells = [
        [which for which, option in enumerate(request.options) if may_drill(request, slot, option)]
        for slot in request.slots
    ]
    fillings = [[some for k in range(len(cell) + 1) for some in combinations(cell, k)] for cell in cells]
    places = [
        [None, *(at for at, slot in enumerate(request.slots) if may_check(request, slot, due))]
        for due in request.dues
    ]
    best: float | None = None
    for filling in product(*fillings):
        drills = tuple((at, which) for at, some in enumerate(filling) for which in some)
        for where in product(*places):
            dues = tuple((at, which) for which, at in enumerate(where) if at is not None)
            worth = worth_of(request, drills, dues)
            if (best is None or worth > best) and not broken_rules(
                request, lay_out(request, Draft(drills, dues, 0, 0))
            ):
                best = worth
    return best
