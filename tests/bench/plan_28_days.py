"""How long a plan takes: 28 days, 4 slots a week, 40 drills, 6 re-checks, a match, a wish.

Run: python tests/bench/plan_28_days.py [REPEATS]

Prints wall and processor seconds, the proven gap, and whether the independent checker finds a broken rule.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from datetime import date, timedelta

from journal.planning.builder import build
from journal.planning.checker import broken_rules
from journal.planning.layout import lay_out
from journal.planning.request import Due, Freeze, Option, Request, Wish
from journal.planning.slots import Slot

FIRST = date(2026, 1, 5)


def request(seed: int, slot_days: tuple[int, ...] = (0, 1, 3, 5), drills: int = 40) -> Request:
    """One invented month."""
    rng = random.Random(seed)
    lengths = [rng.choice((30, 45, 60, 90)) for _ in slot_days]
    slots = tuple(
        Slot(FIRST + timedelta(days=7 * week + day), 1140, minutes)
        for week in range(4)
        for day, minutes in zip(slot_days, lengths, strict=True)
    )
    options = tuple(
        Option(
            f"drill.d{n}",
            rng.choice((5, 6, 8, 10, 12, 15, 20)),
            round(rng.uniform(0.2, 2.0), 3),
            rng.choice("abcdef"),
            technique=rng.random() < 0.3,
            partner=rng.random() < 0.1,
            of_change=n < 3,
        )
        for n in range(drills)
    )
    dues = tuple(
        Due(f"fault.f{n}", FIRST + timedelta(days=rng.randrange(28)), rng.uniform(1, 3)) for n in range(6)
    )
    return Request(slots, options, dues, (Freeze(FIRST + timedelta(days=19)),), (Wish("change", 4),))


def main() -> None:
    """Time it."""
    repeats = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    build(request(999, drills=5))  # the solver's import
    for name, days in (("4 slots a week", (0, 1, 3, 5)), ("a slot every day", tuple(range(7)))):
        walls, cpus, gaps, broken = [], [], [], 0
        for seed in range(repeats):
            asked = request(seed, days)
            wall, cpu = time.perf_counter(), time.process_time()
            draft = build(asked)
            walls.append(time.perf_counter() - wall)
            cpus.append(time.process_time() - cpu)
            gaps.append(draft.gap)
            broken += len(broken_rules(asked, lay_out(asked, draft)))
        print(
            f"{name}: wall median {statistics.median(walls):.2f} s, most {max(walls):.2f} s; "
            f"processor median {statistics.median(cpus):.2f} s, most {max(cpus):.2f} s; "
            f"gap median {100 * statistics.median(gaps):.2f} %, most {100 * max(gaps):.2f} %; "
            f"proved optimal (gap under 0.01 %) {sum(g < 1e-4 for g in gaps)} of {repeats}; "
            f"broken rules {broken}"
        )


if __name__ == "__main__":
    main()
