"""This month and the next as small calendars with marks."""

from __future__ import annotations

import calendar
from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from textual.content import Content

from journal.records import ItemKind, ItemStatus, PlanItem

LEGEND = "• practice  M match\n✓ done  – missed"


def two_months(items: Iterable[PlanItem], today: date) -> Content:
    """Today reversed; a match counts more than practice on the same day."""
    marks = _marks(items)
    lines: list[Content] = []
    for offset in range(2):
        month = today.month + offset
        first = date(today.year + (month - 1) // 12, (month - 1) % 12 + 1, 1)
        lines.append(Content.styled(f"{first:%B %Y}", "bold $primary"))
        lines.append(Content.styled("Mo Tu We Th Fr Sa Su", "$text-muted"))
        lines += [*_weeks(first, marks, today), Content("")]
    return Content("\n").join([*lines, Content.styled(LEGEND, "$text-muted")])


def _marks(items: Iterable[PlanItem]) -> dict[date, str]:
    marks: dict[date, str] = {}
    done = {ItemStatus.DONE: "✓", ItemStatus.MISSED: "–"}
    for item in items:
        if item.kind is ItemKind.MATCH:
            marks[item.day] = "M"
        elif item.ref != "rest" and marks.get(item.day) != "M":
            marks[item.day] = done.get(item.status, "•")
    return marks


def _weeks(first: date, marks: Mapping[date, str], today: date) -> Iterator[Content]:
    for week in calendar.Calendar().monthdatescalendar(first.year, first.month):
        cells: list[tuple[str, str]] = []
        for day in week:
            if day.month != first.month:
                cells.append(("   ", ""))
            else:
                cells.append((f"{day.day:2}", "reverse" if day == today else ""))
                cells.append((marks.get(day, " "), "bold"))
        yield Content.assemble(*cells)
