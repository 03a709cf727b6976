"""A mixed-integer programme as rows and columns, and HiGHS to solve it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from journal.errors import JournalError

if TYPE_CHECKING:
    import highspy

SECONDS = 1.5
"""After this long a plan within ``GOOD`` of the best is taken as it is; a worse one gets up to ``PATIENCE``
times as long.
"""
PATIENCE = 5
GAP, GOOD = 0.0001, 0.01


class NoPlan(JournalError):
    """The wishes cannot all be met; the hint names those to relax."""


@dataclass
class Model:
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


def solve(model: Model, seconds: float) -> tuple[list[float], float] | None:
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
    return _answer(highs, mixed=any(model.whole))


def _answer(highs: highspy.Highs, *, mixed: bool) -> tuple[list[float], float] | None:
    import highspy

    status = highs.getModelStatus()
    infeasible = (highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kUnboundedOrInfeasible)
    if status in infeasible:
        return None
    info: Any = highs.getInfo()
    if info.primal_solution_status != 2:
        raise NoPlan("no plan was found in the time given", "Ask for fewer days or fewer drills.")
    bound = info.mip_dual_bound if mixed else info.objective_function_value
    return list(highs.getSolution().col_value), float(bound)
