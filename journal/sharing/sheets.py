"""Printed sheets, one A4 page each: today's list, a plan, an entry or progress."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

from journal.days import clock, day_words
from journal.planning.layout import DAY_OFF
from journal.plans import MadePlan
from journal.prescription import Prescription, dose
from journal.records import ItemKind, PlanItem, Player
from journal.sharing.chart_shapes import drawing_of, side_by_side
from journal.sharing.charts import Chart, SeriesChart
from journal.sharing.page import MARGIN, WIDTH, Line, Page
from journal.sharing.pictures.drills import small_scene
from knowledge.entries import Drill
from knowledge.mechanics.scene import Scene
from knowledge.rulebase import RuleBase

FITS = ((1.0, 88.0), (1.0, 76.0), (0.92, 76.0), (0.86, 68.0), (0.82, 60.0), (0.86, 0.0), (0.8, 0.0))
"""Size of today's words as a share of the usual one, with the height of a drill's picture in points. The first with
which all is on the page is taken.
"""
GAP = 12.0
"""Points between words and a picture."""


def write_sheet(path: Path, title: str, lines: Iterable[Line]) -> None:
    """One page of lines. Raises: CannotWrite."""
    page = Page(path, title)
    page.write(Line(title, 16, bold=True))
    full = False
    for line in lines:
        if full:
            page.left_out += 1
        else:
            full = not page.write(line)
    page.save()


@dataclass(frozen=True, slots=True)
class _Part:
    """Lines that belong together, with a picture beside them."""

    lines: tuple[Line, ...]
    scene: Scene | None = None

    def sized(self, share: float) -> _Part:
        """With smaller words."""
        return replace(
            self, lines=tuple(replace(o, size=o.size * share, before=o.before * share) for o in self.lines)
        )

    def width(self, height: float) -> float:
        """Points that the picture keeps free."""
        return (
            height * self.scene.height / self.scene.width + GAP if self.scene is not None and height else 0.0
        )


def today_sheet(made: MadePlan, rules: RuleBase, player: Player, today: date, path: Path) -> None:
    """Today's list: times, steps, targets, a place for the score, and a picture where the drill has positions.

    One page: words and pictures are made smaller, and pictures left out, before a line is.
    """
    items = [item for item in made.items if item.day == today]
    title = f"{player.name}: {today:%A} {today.day} {today:%B %Y}"
    page = Page(path, title)
    page.write(Line(title, 16, bold=True))
    usual = list(_today_parts(made, items, rules, player))
    for share, height in FITS:
        parts = [part.sized(share) for part in usual]
        if _needed(page, parts, height) <= page.room:
            break
    full = False
    for part in parts:
        full = _put(page, part, height, full)
    page.save()


def _needed(page: Page, parts: Sequence[_Part], height: float) -> float:
    total = 0.0
    for part in parts:
        page.right = part.width(height)
        words = sum(page.height_of(line) for line in part.lines)
        total += max(words, height + GAP if part.scene is not None else 0.0)
    page.right = 0.0
    return total


def _put(page: Page, part: _Part, height: float, full: bool) -> bool:
    """Write a part; True once the page is full."""
    page.right = part.width(height)
    top = page.y - (part.lines[0].before if part.lines else 0.0) - 4
    for line in part.lines:
        if full:
            page.left_out += 1
        else:
            full = not page.write(line)
    page.right = 0.0
    if part.scene is not None and height and not full:
        page.picture(part.scene, height, top)
        page.y = min(page.y, top - height)
    return full


def _today_parts(
    made: MadePlan, items: Sequence[PlanItem], rules: RuleBase, player: Player
) -> Iterable[_Part]:
    yield _Part(tuple(_head(made, rules)))
    if not items:
        yield _Part((Line("Nothing is planned today.", before=10),))
    for item in items:
        drill = rules.drills.get(item.ref)
        head = f"{clock(item.start_minute)}  {_name(item, rules)}{_long(item)}"
        lines = [Line(head, 11, bold=True, box=item.kind is not ItemKind.REST, before=8)]
        lines.append(Line(item.why, indent=14))
        if drill is not None:
            lines += _drill_lines(drill, player)
        elif item.kind is ItemKind.RECHECK:
            lines.append(Line("Score: ____ of ____ tries without it", indent=14, before=2))
        yield _Part(tuple(lines), small_scene(drill) if drill is not None else None)


def _drill_lines(drill: Drill, player: Player) -> Iterable[Line]:
    own = dose(drill, player)
    yield Line(drill.setup, 8.5, indent=14, before=2)
    for n, step in enumerate(drill.steps, 1):
        yield Line(f"{n}. {step}", 8.5, indent=14)
    yield Line(f"Target: {own.target}.   Score: ____ of ____", indent=14, before=2)


def plan_sheet(made: MadePlan, rules: RuleBase, player: Player, path: Path) -> None:
    """The whole plan on one page, a line a session."""
    last = made.plan.first_day + timedelta(days=made.plan.days - 1)
    title = f"{player.name}: {made.plan.first_day.day} {made.plan.first_day:%B} to {last.day} {last:%B %Y}"
    write_sheet(path, title, _plan_lines(made, rules))


def _plan_lines(made: MadePlan, rules: RuleBase) -> Iterable[Line]:
    yield from _head(made, rules)
    sessions: dict[tuple[date, str], list[PlanItem]] = {}
    for item in made.items:
        if item.kind is not ItemKind.REST:
            sessions.setdefault((item.day, item.uid), []).append(item)
    week = None
    for (day, _), items in sessions.items():
        if day.isocalendar()[:2] != week:
            week = day.isocalendar()[:2]
            monday = day - timedelta(days=day.weekday())
            yield Line(
                f"Week from {monday.day} {monday:%B}",
                10.5,
                bold=True,
                before=6,
            )
        names = ", ".join(f"{_name(item, rules)}{_long(item)}" for item in items)
        yield Line(f"{day_words(day)}  {clock(items[0].start_minute)}   {names}", 8.5, box=True)


def entry_sheet(prescription: Prescription, path: Path) -> None:
    """One fault on one page: goal, drills with targets, checkpoints in the player's own numbers, caution."""
    write_sheet(path, prescription.name[:1].upper() + prescription.name[1:], _entry_lines(prescription))


def _entry_lines(prescription: Prescription) -> Iterable[Line]:
    if prescription.goal:
        yield Line(f"Goal: {prescription.goal}", before=4)
    if prescription.caution:
        yield Line(prescription.caution, bold=True, before=4)
    for each in prescription.drills:
        yield Line(f"{each.name} ({each.minutes:g} min)", 11, bold=True, box=True, before=8)
        yield Line(each.why, indent=14)
        yield Line(
            f"Target: {each.target}.   Score: ____ of ____   ____ of ____   ____ of ____", indent=14, before=2
        )
    for point in prescription.checkpoints:
        yield Line(f"{point.quantity}: {point.value}", bold=True, before=8)
        yield Line(f"{point.measure} ({point.source})", indent=14)


def text_sheet(title: str, lines: Sequence[str], path: Path) -> None:
    """Plain lines on one page."""
    write_sheet(path, title, [Line(line, 9.0, before=3) for line in lines])


def progress_sheet(
    title: str, parts: Sequence[str | Chart], path: Path, through_time: Sequence[SeriesChart] = ()
) -> None:
    """Progress on one page: lines and charts in their order, then more charts side by side where there is room.
    Raises: CannotWrite.
    """
    page = Page(path, title)
    page.write(Line(title, 16, bold=True))
    room = WIDTH - 2 * MARGIN
    full = False
    for part in parts:
        if full:
            page.left_out += 1
        elif isinstance(part, str):
            full = bool(part) and not page.write(Line(part, 9.0, before=3))
        else:
            full = not page.draw(drawing_of(part, room), before=8)
    for n in range(0, 0 if full else len(through_time), 2):
        drawing = side_by_side(through_time[n : n + 2], room)
        if drawing.height + 14 <= page.room:
            page.draw(drawing, before=14)
    page.save()


def _head(made: MadePlan, rules: RuleBase) -> Iterable[Line]:
    fault = rules.faults.get(made.fault or "")
    if made.change is not None:
        yield Line(f"One change: {made.change.instruction}", 11, before=4)
    elif fault is not None:
        yield Line(f"Made around: {fault.name}", 11, before=4)
    if made.caution:
        yield Line(made.caution, bold=True, before=4)


def _name(item: PlanItem, rules: RuleBase) -> str:
    entry = rules.drills.get(item.ref) or rules.faults.get(item.ref)
    if item.kind is ItemKind.MATCH:
        return f"match: {item.why}"
    if item.kind is ItemKind.REST:
        return "rest" if item.ref == DAY_OFF else item.ref.replace("_", "-")
    name = entry.name if entry else item.ref
    return f"re-check: {name}" if item.kind is ItemKind.RECHECK else name


def _long(item: PlanItem) -> str:
    return f" {item.minutes:g} min" if item.minutes and item.ref != DAY_OFF else ""
