"""Charts: what they show, and how they look in plain characters, with axes and spread. No colour is needed to
read them; chart_shapes lays the same charts out for paper and SVG.
"""

from __future__ import annotations

import calendar
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a side-by-side chart: a middle with its spread."""

    label: str
    low: float
    middle: float
    high: float
    note: str = ""


@dataclass(frozen=True, slots=True)
class Point:
    """One day of a series with its spread."""

    day: date
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class RowsChart:
    """Spreads side by side. top: of the axis; None for what the rows need. percent: the values are shares."""

    title: str
    rows: tuple[Row, ...]
    top: float | None = None
    percent: bool = False

    @property
    def scale(self) -> float:
        """Where the axis ends."""
        return self.top if self.top is not None else _top(self.rows)

    def lines(self) -> list[str]:
        """In plain characters."""
        return [self.title, *rows_chart(self.rows, top=self.top, percent=self.percent)]


@dataclass(frozen=True, slots=True)
class SeriesChart:
    """A series through time; top and percent as in RowsChart."""

    title: str
    points: tuple[Point, ...]
    top: float | None = None
    percent: bool = False

    @property
    def scale(self) -> float:
        """Where the axis ends."""
        return self.top if self.top is not None else _top(self.points)

    def lines(self) -> list[str]:
        """In plain characters."""
        return [self.title, *series_chart(self.points, top=self.top, percent=self.percent)]


@dataclass(frozen=True, slots=True)
class MonthChart:
    """A month with marks on its days."""

    year: int
    month: int
    marks: Mapping[date, str]
    today: date | None = None

    def lines(self) -> list[str]:
        """In plain characters."""
        return month_chart(self.year, self.month, self.marks, self.today)


Chart = RowsChart | SeriesChart | MonthChart


def nice_top(value: float) -> float:
    """The next of 1, 2, 2.5, 5 times a power of ten."""
    if not math.isfinite(value) or value <= 0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(value))
    return next(step * power for step in (1, 2, 2.5, 5, 10) if step * power >= value * (1 - 1e-9))


def rows_chart(
    rows: Sequence[Row], *, top: float | None = None, width: int = 78, percent: bool = False
) -> list[str]:
    """Spreads side by side on one axis from 0: ``├──●──┤``. width in characters."""
    if not rows:
        return ["nothing to show yet"]
    top = top if top is not None else _top(rows)
    label = min(28, max(len(r.label) for r in rows))
    notes = max(len(r.note) for r in rows)
    room = max(12, width - label - 3 - (notes + 1 if notes else 0))

    def place(value: float) -> int:
        return min(room - 1, max(0, round(value / top * (room - 1))))

    lines = []
    for row in rows:
        low, middle, high = place(row.low), place(row.middle), place(min(row.high, top))
        cells = [" "] * room
        for n in range(low, high + 1):
            cells[n] = "─"
        cells[low], cells[high] = "├", "┤" if row.high <= top else "→"
        cells[middle] = "●"
        name = row.label if len(row.label) <= label else row.label[: label - 1] + "…"
        lines.append(f"{name:<{label}} │{''.join(cells)} {row.note}".rstrip())
    lines.append(f"{'':<{label}} └{'─' * room}")
    lines.append(f"{'':<{label}}  {_ticks(top, room, percent)}")
    return lines


def _ticks(top: float, room: int, percent: bool) -> str:
    cells = [" "] * (room + 6)
    for part in (0.0, 0.5, 1.0):
        words = f"{100 * top * part:.0f} %" if percent else f"{top * part:g}"
        at = round(part * (room - 1))
        at = min(max(0, at - len(words) // 2), room + 6 - len(words))
        cells[at : at + len(words)] = words
    return "".join(cells).rstrip()


def series_chart(
    points: Sequence[Point],
    *,
    top: float | None = None,
    height: int = 8,
    width: int = 70,
    percent: bool = False,
) -> list[str]:
    """A series through time: ``●`` the middle, ``│`` its spread, days below. The latest points that fit are
    shown.
    """
    if not points:
        return ["nothing to show yet"]
    shown = sorted(points, key=lambda p: p.day)[-(width // 2) :]
    top = top if top is not None else _top(shown)
    step = max(2, min(8, width // max(1, len(shown))))

    def place(value: float) -> int:
        return min(height - 1, max(0, round(value / top * (height - 1))))

    grid = [[" "] * (step * len(shown)) for _ in range(height)]
    for n, point in enumerate(shown):
        for level in range(place(point.low), place(min(point.high, top)) + 1):
            grid[level][n * step] = "│"
        grid[place(point.middle)][n * step] = "●"
    lines = []
    for level in reversed(range(height)):
        value = top * level / (height - 1)
        words = f"{100 * value:.0f} %" if percent else f"{value:.3g}"
        words = words if level in (0, height - 1, (height - 1) / 2) else ""
        lines.append(f"{words:>6} ┤{''.join(grid[level])}".rstrip())
    lines.append(f"{'':>6} └{'─' * (step * len(shown))}")
    first, last = f"{shown[0].day.day} {shown[0].day:%b}", f"{shown[-1].day.day} {shown[-1].day:%b}"
    gap = step * len(shown) - len(first) - len(last)
    lines.append(f"{'':>6}  {first}{' ' * max(1, gap)}{last}" if len(shown) > 1 else f"{'':>6}  {first}")
    return lines


def _top(parts: Sequence[Row] | Sequence[Point]) -> float:
    return nice_top(max((part.high for part in parts if math.isfinite(part.high)), default=1.0))


def month_chart(year: int, month: int, marks: Mapping[date, str], today: date | None = None) -> list[str]:
    """A month, weeks from Monday; each day with up to two mark characters, today in brackets."""
    lines = [
        f"{calendar.month_name[month]} {year}",
        "".join(f"{name:^7}" for name in ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")).rstrip(),
    ]
    for week in calendar.Calendar().monthdatescalendar(year, month):
        cells = []
        for day in week:
            words = f"{day.day:2d}{marks.get(day, '')[:2]:<2}" if day.month == month else ""
            cells.append(f"[{words}]".ljust(7) if words and day == today else f" {words}".ljust(7))
        lines.append("".join(cells).rstrip())
    return lines
