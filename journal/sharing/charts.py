"""Charts in plain characters, with axes and spread, and the same as SVG. No colour is needed to read them."""

from __future__ import annotations

import calendar
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from html import escape


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
    top = (
        top
        if top is not None
        else nice_top(max((r.high for r in rows if math.isfinite(r.high)), default=1.0))
    )
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


def _top(points: Sequence[Point]) -> float:
    return nice_top(max((p.high for p in points if math.isfinite(p.high)), default=1.0))


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


def series_svg(
    points: Sequence[Point], *, title: str, top: float | None = None, percent: bool = False
) -> str:
    """The series as an SVG picture of 640 by 280, black on white, with axis, spread and a text for screen
    readers.
    """
    shown = sorted(points, key=lambda p: p.day)
    top = top if top is not None else _top(shown)
    left, right, upper, lower = 60.0, 620.0, 40.0, 240.0
    span = max(1, (shown[-1].day - shown[0].day).days) if shown else 1

    def x(day: date) -> float:
        return left + 10 + (right - left - 20) * ((day - shown[0].day).days / span)

    def y(value: float) -> float:
        return lower - (lower - upper) * min(1.0, max(0.0, value / top))

    parts = [
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 640 280" role="img" '
        'font-family="sans-serif" font-size="12">',
        f"<title>{escape(title)}</title>",
        '<rect width="640" height="280" fill="#fff"/>',
        f'<text x="{left}" y="24" font-size="14">{escape(title)}</text>',
        f'<path d="M{left} {upper}V{lower}H{right}" fill="none" stroke="#000"/>',
    ]
    for share in (0.0, 0.5, 1.0):
        words = f"{100 * top * share:.0f} %" if percent else f"{top * share:g}"
        parts.append(f'<text x="{left - 6}" y="{y(top * share) + 4:.1f}" text-anchor="end">{words}</text>')
    for point in shown:
        at = x(point.day)
        parts.append(f'<path d="M{at:.1f} {y(point.low):.1f}V{y(point.high):.1f}" stroke="#000"/>')
        parts.append(f'<circle cx="{at:.1f}" cy="{y(point.middle):.1f}" r="4"/>')
    for point in shown[:1] + shown[1:][-1:]:
        words = f"{point.day.day} {point.day:%b %Y}"
        parts.append(f'<text x="{x(point.day):.1f}" y="260" text-anchor="middle">{words}</text>')
    return "\n".join([*parts, "</svg>", ""])
