"""One printed A4 page: today's list, a plan, an entry or progress. Points of 1/72 inch, y upwards.

The font is DejaVu Sans where the system has it (Latin, Greek, Cyrillic), else the Latin font that comes with
reportlab; either is embedded. Letters that the font lacks are named at the foot of the page.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from journal.errors import CannotWrite
from journal.planning.layout import DAY_OFF
from journal.planning.slots import clock
from journal.plans import MadePlan
from journal.prescription import Prescription, dose
from journal.records import ItemKind, PlanItem, Player
from knowledge.entries import Drill
from knowledge.rulebase import RuleBase

WIDTH, HEIGHT, MARGIN = 595.28, 841.89, 48.0
FONTS = (("DejaVuSans", "DejaVuSans-Bold"), ("Vera", "VeraBd"))


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a sheet. size in points; box: an empty tick box before it; columns: more text at an x from
    the margin.
    """

    text: str
    size: float = 9.5
    bold: bool = False
    box: bool = False
    indent: float = 0.0
    before: float = 0.0


class _Page:
    """Writes lines from the top; what does not fit is left out and counted, so that one page stays one
    page.
    """

    def __init__(self, path: Path, title: str) -> None:
        from reportlab.pdfgen.canvas import Canvas

        self.path = path
        self.canvas: Any = Canvas(str(path), pagesize=(WIDTH, HEIGHT), invariant=1)
        self.canvas.setTitle(title)
        self.plain, self.bold, self.known = _fonts()
        self.missing: set[str] = set()
        self.y = HEIGHT - MARGIN
        self.left_out = 0

    def write(self, line: Line, *, foot: float = MARGIN + 24) -> bool:
        """Put a line, wrapped; False when there is no room for it."""
        size = line.size
        room = WIDTH - 2 * MARGIN - line.indent - (14 if line.box else 0)
        words = _wrapped(line.text, size, room, self.bold if line.bold else self.plain)
        height = line.before + len(words) * size * 1.3
        if self.y - height < foot:
            self.left_out += 1
            return False
        self.y -= line.before
        x = MARGIN + line.indent
        for n, part in enumerate(words):
            self.y -= size * 1.3
            if line.box and n == 0:
                self.canvas.rect(x, self.y - 1, size * 0.8, size * 0.8)
            self.canvas.setFont(self.bold if line.bold else self.plain, size)
            self.canvas.drawString(x + (14 if line.box else 0), self.y, self._shown(part))
        return True

    def _shown(self, text: str) -> str:
        self.missing |= {c for c in text if ord(c) not in self.known and not c.isspace()}
        return "".join(c if ord(c) in self.known or c.isspace() else "?" for c in text)

    def save(self) -> None:
        """Write the foot and the file. Raises: CannotWrite."""
        notes = []
        if self.left_out:
            notes.append(
                f"{self.left_out} more line{'s' if self.left_out > 1 else ''} did not fit on this page."
            )
        if self.missing:
            notes.append(
                f"This system has no font for {len(self.missing)} letter(s), shown as ?. "
                "Install DejaVu or another font."
            )
        self.canvas.setFont(self.plain, 7.5)
        for n, note in enumerate(notes):
            self.canvas.drawString(MARGIN, MARGIN - 10 * n, note)
        try:
            self.canvas.save()
        except OSError as error:
            hint = "Name a file in a folder you may write to."
            raise CannotWrite(f"{self.path} cannot be written: {error.strerror or error}", hint) from error


def _fonts() -> tuple[str, str, frozenset[int]]:
    """(plain, bold, code points of the plain one), registered once."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    for plain, bold in FONTS:
        try:
            for name in (plain, bold):
                if name not in pdfmetrics.getRegisteredFontNames():
                    pdfmetrics.registerFont(TTFont(name, f"{name}.ttf"))
        except TTFError:
            continue
        return plain, bold, frozenset(pdfmetrics.getFont(plain).face.charToGlyph)
    raise CannotWrite("no font for printing was found", "Install reportlab again; it brings one.")


def _wrapped(text: str, size: float, room: float, font: str) -> list[str]:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    lines = [""]
    for word in text.split():
        for piece in textwrap.wrap(word, 60) or [word]:
            longer = f"{lines[-1]} {piece}".strip()
            if lines[-1] and stringWidth(longer, font, size) > room:
                lines.append(piece)
            else:
                lines[-1] = longer
    return lines


def write_sheet(path: Path, title: str, lines: Iterable[Line]) -> None:
    """One page of lines. Raises: CannotWrite."""
    page = _Page(path, title)
    page.write(Line(title, 16, bold=True))
    full = False
    for line in lines:
        if full:
            page.left_out += 1
        else:
            full = not page.write(line)
    page.save()


def today_sheet(made: MadePlan, rules: RuleBase, player: Player, today: date, path: Path) -> None:
    """Today's list: times, steps, targets and a place for the score."""
    items = [item for item in made.items if item.day == today]
    write_sheet(
        path, f"{player.name}: {today:%A} {today.day} {today:%B %Y}", _today_lines(made, items, rules, player)
    )


def _today_lines(
    made: MadePlan, items: Sequence[PlanItem], rules: RuleBase, player: Player
) -> Iterable[Line]:
    yield from _head(made, rules)
    if not items:
        yield Line("Nothing is planned today.", before=10)
    for item in items:
        drill = rules.drills.get(item.ref)
        yield Line(
            f"{clock(item.start_minute)}  {_name(item, rules)}{_long(item)}",
            11,
            bold=True,
            box=item.kind is not ItemKind.REST,
            before=8,
        )
        yield Line(item.why, indent=14)
        if drill is not None:
            yield from _drill_lines(drill, player)
        elif item.kind is ItemKind.RECHECK:
            yield Line("Score: ____ of ____ tries without it", indent=14, before=2)


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
        yield Line(f"{day:%a} {day.day} {day:%b}  {clock(items[0].start_minute)}   {names}", 8.5, box=True)


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
    """Plain lines (a progress page) on one page."""
    write_sheet(path, title, [Line(line, 9.0, before=3) for line in lines])


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
