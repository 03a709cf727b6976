"""The figures of the progress screen."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from textual.content import Content

from journal.days import day_words
from journal.desk import zone_of
from journal.progress.rates import HALF_LIFE, Session
from journal.progress.report import FaultProgress, by_context, report, shown_faults
from journal.progress.standing import Standing
from journal.records import Change, Player
from journal.sharing.charts import Point, Row, rows_chart, series_chart
from journal.sharing.progress_charts import fault_points, score_points
from journal.store.work import UnitOfWork
from journal.ui.words import entry_name, plural, short
from knowledge.rulebase import RuleBase

SIDE = 8
"""Columns that a chart needs beside its width."""
CONTEXTS = ("table", "cue", "tired", "time")


@dataclass(frozen=True, slots=True)
class Line:
    """One fault or drill. points: through time. percent: whether they are shares. basis: what the figures rest on."""

    ref: str
    name: str
    figures: str
    told: str
    points: tuple[Point, ...]
    unit: str
    percent: bool
    basis: str = ""


@dataclass(frozen=True, slots=True)
class Figures:
    """Everything the screen shows."""

    rows: tuple[Line, ...]
    change: Change | None
    change_words: Content
    verdict: str


def gather(work: UnitOfWork, rules: RuleBase, player: Player, today: date, room: int) -> Figures:
    """Count everything of one player. room: characters of a line."""
    found = report(work, player, rules, today)
    rows = [_fault(each, rules, today) for each in shown_faults(found) if each.rate.rate]
    results = [r for r in work.results.all(order="taken_at", player_id=player.id) if not r.open and r.tries]
    for each in found.drills:
        points = score_points(r for r in results if r.ref == each.ref)
        low, high = each.score.interval()
        told = each.trend.sentence("earlier", "lately") if each.trend else "one day so far"
        figures = f"{each.hits} of {each.tries} ({low:.0%}–{high:.0%})"
        rows.append(
            Line(each.ref, entry_name(rules.entries, each.ref), figures, told, points, "hits of tries", True)
        )
    how = found.standing
    return Figures(
        tuple(rows),
        how.change if how else None,
        _change_words(how, today, room),
        how.words if how else "",
    )


def _fault(found: FaultProgress, rules: RuleBase, today: date) -> Line:
    low, high = found.rate.interval()
    if found.coming_back is not None:
        told = f"! coming back since {day_words(found.coming_back, today)}"
    elif found.away is not None and found.away >= 0.95:
        told = f"going away (chance {min(99, round(100 * found.away))} %)"
    else:
        told = "cannot tell yet" if len(found.sessions) >= 3 else "too few notes"
    figures = (
        f"{found.rate.mean:.1f} {'an' if found.unit == 'hour' else 'a'} {found.unit} ({low:.1f}–{high:.1f})"
    )
    return Line(
        found.fault,
        entry_name(rules.entries, found.fault),
        figures,
        told,
        fault_points(found),
        f"per {found.unit}",
        False,
        _basis(found.sessions),
    )


def _basis(sessions: Sequence[Session]) -> str:
    """Why the rate is not just the count over the notes."""
    told, count = sum(each.count for each in sessions), plural(len(sessions), "note")
    return (
        f"Told {told:g} times in {count}. The rate starts half a time higher (Jeffreys' prior), "
        f"and a note counts half after {HALF_LIFE:g} days."
    )


def _change_words(how: Standing | None, today: date, room: int) -> Content:
    if how is None:
        return Content("No change is running: c on the first screen finds one.")
    change = how.change
    head = Content.assemble(("One change: ", "bold $primary"), (change.instruction, "bold"))
    until = "" if how.day > how.days else f", until {day_words(change.stop_on, today)}"
    propose = f" · the figures propose: {how.verdict.status.value}" if how.due else ""
    when = Content.assemble(f"{how.when}{until}", (propose, "bold"), f" · aim: {change.measure}")
    return Content("\n").join([head, when.truncate(room, ellipsis=True), Content(how.words)])


def lines(figures: Figures, room: int) -> Iterator[Content]:
    """One line a row: name, figures with spread, what can be told."""
    column = max([24, *(len(row.figures) for row in figures.rows)]) + 2
    name_room = max(18, min(44, room - column - 20))
    told_room = max(16, room - name_room - 2 - column)
    for row in figures.rows:
        name, told = short(row.name, name_room).ljust(name_room), short(row.told, told_room)
        yield Content.assemble(name, "  ", row.figures.ljust(column), (told, "$text-muted"))


def chart(figures: Figures, number: int, width: int, height: int = 7) -> str:
    """The row through time, with 95 % spread; what its figures rest on stands above and takes of the height."""
    row = figures.rows[number]
    basis = textwrap.wrap(row.basis, width + SIDE)
    height = max(3, height - len(basis) - 1 | 1)
    drawn = series_chart(
        row.points, top=1.0 if row.percent else None, width=width, percent=row.percent, height=height
    )
    head = f"{row.name}, {row.unit}, with 95 % spread, {plural(len(row.points), 'day')}"
    return "\n".join([head, *basis, *drawn, row.told])


def context_chart(work: UnitOfWork, player: Player, what: str, width: int) -> str:
    """Scores by table, cue, fatigue or time of day."""
    results = [r for r in work.results.all(player_id=player.id) if not r.open and r.tries]
    groups = by_context(results, work.notes.all(player_id=player.id), what, zone_of(player))
    rows = [
        Row(key, low, hits / tries, high, f"{hits}/{tries}") for key, hits, tries, (low, high) in groups[:8]
    ]
    return "\n".join(
        [
            f"All drills by {what}, hits of tries, with 95 % spread",
            *rows_chart(rows, top=1.0, percent=True, width=width),
        ]
    )
