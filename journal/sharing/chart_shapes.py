"""Charts as lines, dots and words, laid out once for paper and for SVG. Points of 1/72 inch, y downwards."""

from __future__ import annotations

import calendar
import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from journal.sharing.charts import MonthChart, Point, RowsChart, SeriesChart

SIZE, SMALL = 8.5, 7.5
LINE = 13.0
LABEL, NOTE = 150.0, 92.0
"""Width of the names at the left and of the figures at the right of a chart with rows."""
AXIS = 34.0
SERIES = 92.0
"""Width of the figures beside a chart through time, and the height of its field."""
HEAD = 9.5
LETTER, BOLD = 0.55, 0.68
"""Width of a letter as a share of its size, taken on the wide side; and of a bold one."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line. faint: a guide that stands back."""

    x1: float
    y1: float
    x2: float
    y2: float
    width: float = 0.7
    faint: bool = False


@dataclass(frozen=True, slots=True)
class Dot:
    """A filled circle."""

    x: float
    y: float
    r: float = 2.2


@dataclass(frozen=True, slots=True)
class Words:
    """A text on its base line."""

    x: float
    y: float
    text: str
    size: float = SIZE
    at: Literal["start", "middle", "end"] = "start"
    bold: bool = False


Shape = Stroke | Dot | Words


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes within a width and a height."""

    width: float
    height: float
    shapes: tuple[Shape, ...]


def drawing_of(chart: RowsChart | SeriesChart | MonthChart, width: float) -> Drawing:
    """A chart in so much width."""
    if isinstance(chart, RowsChart):
        return rows_drawing(chart, width)
    return series_drawing(chart, width) if isinstance(chart, SeriesChart) else month_drawing(chart, width)


def side_by_side(charts: Sequence[SeriesChart], width: float, gap: float = 18.0) -> Drawing:
    """Charts in columns of one width."""
    each = (width - gap * (len(charts) - 1)) / len(charts)
    head = max(len(_wrapped(chart.title, each)) for chart in charts)
    drawn = [series_drawing(chart, each, head) for chart in charts]
    shapes = [_moved(shape, n * (each + gap)) for n, one in enumerate(drawn) for shape in one.shapes]
    return Drawing(width, max(one.height for one in drawn), tuple(shapes))


def _moved(shape: Shape, by: float) -> Shape:
    if isinstance(shape, Stroke):
        return replace(shape, x1=shape.x1 + by, x2=shape.x2 + by)
    return replace(shape, x=shape.x + by)


def rows_drawing(chart: RowsChart, width: float) -> Drawing:
    """Spreads one below the other on one axis from 0."""
    shapes, upper = _title(chart.title, width)
    top = chart.scale
    left, right = LABEL + 6, width - NOTE
    y, foot = upper + LINE, upper + LINE * (0.3 + len(chart.rows))

    def x(value: float) -> float:
        return left + (right - left) * min(1.0, max(0.0, value / top))

    for share in (0.0, 0.5, 1.0):
        shapes.append(Stroke(x(top * share), upper + 2, x(top * share), foot, 0.5, faint=share > 0))
        shapes.append(Words(x(top * share), foot + 9, _tick(top * share, chart.percent), SMALL, "middle"))
    for row in chart.rows:
        low, high, beyond = x(row.low), x(min(row.high, top)), row.high > top
        shapes.append(Words(LABEL, y, _cut(row.label, LABEL), SIZE, "end"))
        shapes.append(Stroke(low, y - 3, high, y - 3, 1.0))
        shapes.append(Stroke(low, y - 6, low, y, 1.0))
        if beyond:  # an arrow: the spread goes on beyond the axis
            shapes += [Stroke(high - 4, y - 6, high, y - 3, 1.0), Stroke(high - 4, y, high, y - 3, 1.0)]
        else:
            shapes.append(Stroke(high, y - 6, high, y, 1.0))
        shapes.append(Dot(x(row.middle), y - 3))
        shapes.append(Words(right + 8, y, _cut(row.note, NOTE), SIZE))
        y += LINE
    shapes.append(Stroke(left, foot, right, foot))
    return Drawing(width, foot + 14, tuple(shapes))


def series_drawing(chart: SeriesChart, width: float, head: int = 1) -> Drawing:
    """A middle with its spread for each day, the days at their true distances. head: lines kept for the title."""
    shapes, upper = _title(chart.title, width, head)
    points = sorted(chart.points, key=lambda point: point.day)
    top, upper, foot = chart.scale, upper + 6, upper + 6 + SERIES
    span = max(1, (points[-1].day - points[0].day).days) if points else 1

    def x(day: date) -> float:
        return AXIS + 8 + (width - AXIS - 20) * (day - points[0].day).days / span

    def y(value: float) -> float:
        return foot - (foot - upper) * min(1.0, max(0.0, value / top))

    for share in (0.0, 0.5, 1.0):
        shapes.append(Words(AXIS - 4, y(top * share) + 3, _tick(top * share, chart.percent), SMALL, "end"))
        shapes.append(Stroke(AXIS, y(top * share), width, y(top * share), 0.5, faint=share > 0))
    shapes.append(Stroke(AXIS, upper, AXIS, foot))
    for point in points:
        shapes.append(Stroke(x(point.day), y(point.low), x(point.day), y(point.high)))
        shapes.append(Dot(x(point.day), y(point.middle), 2.0))
    if points:
        shapes += _dates(x(points[0].day), x(points[-1].day), points, foot)
    else:
        shapes.append(Words(AXIS + 8, foot - SERIES / 2, "nothing to show yet"))
    return Drawing(width, foot + 14, tuple(shapes))


def _dates(left: float, right: float, points: Sequence[Point], foot: float) -> list[Shape]:
    first, last = points[0].day, points[-1].day
    told: list[Shape] = [Words(left - 4, foot + 10, _day(first), SMALL)]
    return told if first == last else [*told, Words(right + 4, foot + 10, _day(last), SMALL, "end")]


def month_drawing(chart: MonthChart, width: float) -> Drawing:
    """A month as a table, weeks from Monday; today in a frame."""
    shapes, y = _title(f"{calendar.month_name[chart.month]} {chart.year}", width)
    cell, high = min(62.0, width / 7), 26.0
    y += 8
    for n, name in enumerate(("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")):
        shapes.append(Words(n * cell + cell / 2, y, name, SMALL, "middle"))
    y += 5
    weeks = calendar.Calendar().monthdatescalendar(chart.year, chart.month)
    for row, week in enumerate(weeks):
        for n, day in enumerate(week):
            if day.month == chart.month:
                shapes += _month_day(chart, day, n * cell, y + row * high, cell, high)
    for n in range(len(weeks) + 1):
        shapes.append(Stroke(0, y + n * high, 7 * cell, y + n * high, 0.5, faint=True))
    for n in range(8):
        shapes.append(Stroke(n * cell, y, n * cell, y + len(weeks) * high, 0.5, faint=True))
    return Drawing(width, y + len(weeks) * high + 4, tuple(shapes))


def _month_day(chart: MonthChart, day: date, x: float, y: float, wide: float, high: float) -> list[Shape]:
    told: list[Shape] = [Words(x + 4, y + 11, str(day.day), SIZE)]
    marks = chart.marks.get(day, "")
    if marks:
        told.append(Words(x + wide - 5, y + high - 6, marks, SIZE, "end", bold=True))
    if day == chart.today:
        a, b, c, d = x + 1.5, y + 1.5, x + wide - 1.5, y + high - 1.5
        told += [Stroke(a, b, c, b), Stroke(c, b, c, d), Stroke(c, d, a, d), Stroke(a, d, a, b)]
    return told


def _title(text: str, width: float, head: int = 1) -> tuple[list[Shape], float]:
    """The title, wrapped, and where it ends; at least so many lines are kept for it."""
    lines = _wrapped(text, width)
    shapes: list[Shape] = [Words(0, 9 + n * 11.5, line, HEAD, bold=True) for n, line in enumerate(lines)]
    return shapes, LINE + 11.5 * (max(head, len(lines)) - 1)


def _wrapped(text: str, width: float) -> list[str]:
    return textwrap.wrap(text, max(12, math.floor(width / (BOLD * HEAD)))) or [""]


def _cut(text: str, room: float, size: float = SIZE) -> str:
    most = max(4, math.floor(room / (LETTER * size)))
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def _day(day: date) -> str:
    return f"{day.day} {day:%b %Y}"


def _tick(value: float, percent: bool) -> str:
    return f"{100 * value:.0f} %" if percent else f"{value:.3g}"
