"""A player's figures as charts: a fault's or a drill's way through time, and what leads the report."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from journal.progress.rates import exact_count_interval
from journal.progress.report import FaultProgress, Report, shown_faults
from journal.progress.scores import wilson
from journal.records import Result
from journal.sharing.charts import Point, SeriesChart


def fault_points(found: FaultProgress) -> tuple[Point, ...]:
    """Each session's rate with its exact 95 % interval."""
    points = []
    for each in found.sessions:
        low, high = exact_count_interval(round(each.count))
        points.append(Point(each.day, low / each.exposure, each.count / each.exposure, high / each.exposure))
    return tuple(points)


def score_points(results: Iterable[Result]) -> tuple[Point, ...]:
    """Each result's share of hits with Wilson's 95 % interval; results without a try are left out."""
    points = []
    for each in results:
        if each.tries:
            low, high = wilson(each.hits, each.tries)
            points.append(Point(each.day, low, each.hits / each.tries, high))
    return tuple(points)


def fault_series(name: str, found: FaultProgress) -> SeriesChart:
    """A fault through time."""
    return SeriesChart(f"{name}, per {found.unit}, with 95 % spread", fault_points(found))


def score_series(name: str, results: Iterable[Result]) -> SeriesChart:
    """A drill through time."""
    return SeriesChart(f"{name}, hits of tries with 95 % spread", score_points(results), 1.0, percent=True)


def leading(found: Report, results: Iterable[Result], name_of: Callable[[str], str]) -> list[SeriesChart]:
    """Two faults and the two most scored drills through time, for paper; what the change is about comes first."""
    change = found.standing.change if found.standing else None
    faults = sorted(
        (each for each in shown_faults(found) if each.rate.rate),
        key=lambda each: change is None or each.fault != change.fault,
    )
    drills = sorted(
        found.drills, key=lambda each: (change is None or each.ref not in change.drills, -each.tries)
    )
    kept = [each for each in results if not each.open]
    return [
        *(fault_series(name_of(each.fault), each) for each in faults[:2]),
        *(score_series(name_of(d.ref), (r for r in kept if r.ref == d.ref)) for d in drills[:2]),
    ]
