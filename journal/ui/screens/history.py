"""History: each fault as a row through time, the notes underneath."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from journal.days import day_words
from journal.records import Change, Note, Polarity, Sighting, SightingStatus
from journal.ui.base import JournalScreen, heading
from journal.ui.words import fault_name, plural, short

if TYPE_CHECKING:
    from journal.history import FaultRow, PastNote
    from journal.store.work import UnitOfWork
    from knowledge.rulebase import RuleBase

LEGEND = "● seen ▲ worse ▽ better ○ not this time · not told ? to answer | change"
_MARK = {Polarity.PRESENT: "●", Polarity.WORSE: "▲", Polarity.BETTER: "▽", Polarity.ABSENT: "○"}
_STRENGTH = "·?○▽●▲"


@dataclass(frozen=True, slots=True)
class _Past:
    """Everything the screen shows."""

    rows: list[FaultRow]
    notes: list[PastNote]
    changes: list[Change]
    rates: dict[str, str]
    rules: RuleBase


class HistoryScreen(JournalScreen):
    """A player's past."""

    room = "History"
    about = "Each fault through time, and the notes behind it."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "open", "open", key_display="enter"),
        Binding("tab", "app.focus_next", "faults or notes", key_display="tab"),
        Binding("o", "entry", "what is it"),
    ]
    CSS = """
    #faults { height: auto; max-height: 45%; }
    #notes { height: 1fr; }
    """

    def body(self) -> Iterable[Widget]:
        yield heading("Faults: days seen, how often now with 95 % spread, the last days with a note")
        yield OptionList(id="faults", markup=False)
        yield Static(LEGEND, classes="quiet", markup=False)
        yield heading("Notes")
        yield OptionList(id="notes", markup=False)

    def on_mount(self) -> None:
        self._past: _Past | None = None
        self._shown: list[PastNote] = []

    def on_screen_resume(self) -> None:
        self.beside(self._fetch, self._show, last="past")

    def _fetch(self) -> _Past:
        from journal.history import fault_rows, past_notes

        player, today = self.player, self.journal.desk.today(self.player)

        def fetch(work: UnitOfWork) -> tuple[list[FaultRow], list[PastNote], list[Change], dict[str, str]]:
            rows = fault_rows(work, player)
            notes, sightings = work.notes.all(player_id=player.id), work.sightings.all(player_id=player.id)
            rates = {row.fault: _rate(row.fault, notes, sightings, today) for row in rows}
            return rows, past_notes(work, player, 500), work.changes.all(player_id=player.id), rates

        return _Past(*self.journal.worked(fetch), self.journal.tool("rules"))

    def _show(self, past: _Past) -> None:
        self._past = past
        self.title_line(right=plural(len(past.notes), "note"))
        faults = self.query_one("#faults", OptionList)
        at = faults.highlighted
        faults.clear_options()
        width = max(40, self.size.width - 4)
        days = sorted({each.note.day for each in past.notes})
        begun = {change.started_on for change in past.changes}
        faults.add_options([Option(_row(row, days, begun, past, width)) for row in past.rows])
        if past.rows:
            faults.highlighted = min(at or 0, len(past.rows) - 1)
        else:
            faults.add_option(Option("nothing yet: n on the first screen begins a note", disabled=True))
        self._notes(None)
        if past.rows or past.notes:
            (faults if past.rows else self.query_one("#notes", OptionList)).focus()

    def _notes(self, fault: str | None) -> None:
        if self._past is None:
            return
        listing, today = self.query_one("#notes", OptionList), self.journal.desk.today(self.player)
        self._shown = [
            n for n in self._past.notes if fault is None or any(s.fault == fault for s in n.sightings)
        ]
        width = max(30, self.size.width - 4)
        listing.clear_options()
        listing.add_options([Option(_note_line(note, today, width)) for note in self._shown])
        listing.highlighted = 0 if self._shown else None

    @on(OptionList.OptionSelected, "#notes")
    def open_note(self, event: OptionList.OptionSelected) -> None:
        """Open a note."""
        if event.option_index < len(self._shown):
            self.journal.go("past note", self._shown[event.option_index].note.id)

    @on(OptionList.OptionSelected, "#faults")
    def choose_fault(self, event: OptionList.OptionSelected) -> None:
        """Show only the notes that speak of this fault."""
        if self._past and event.option_index < len(self._past.rows):
            self._notes(self._past.rows[event.option_index].fault)
            self.query_one("#notes", OptionList).focus()
            self.tell("only notes that speak of this fault", "esc shows all of them again.")

    def action_leave(self) -> None:
        """All notes again, or back."""
        if self._past is not None and len(self._shown) != len(self._past.notes):
            self._notes(None)
        else:
            super().action_leave()

    def action_open(self) -> None:
        """The list's own enter does it; without a list nothing happens."""

    def action_entry(self) -> None:
        """What the selected fault is."""
        at = self.query_one("#faults", OptionList).highlighted
        if self._past is not None and at is not None and at < len(self._past.rows):
            self.journal.go("look up", self._past.rows[at].fault)


def _rate(fault: str, notes: list[Note], sightings: list[Sighting], today: date) -> str:
    """How often now, with its spread; nothing before something was confirmed."""
    from journal.progress.report import fault_progress

    found = fault_progress(fault, notes, sightings, today)
    if not found.rate.rate or not any(session.count for session in found.sessions):
        return ""
    low, high = found.rate.interval()
    return f"{found.rate.mean:.1f} ({low:.1f}–{high:.1f})/{found.unit}"


def _row(row: FaultRow, days: list[date], begun: set[date], past: _Past, width: int) -> Content:
    by_day: dict[date, str] = {}
    for each in row.sightings:
        mark = "?" if each.status is SightingStatus.SUGGESTED else _MARK[each.polarity]
        old = by_day.get(each.day, "·")
        by_day[each.day] = mark if _STRENGTH.index(mark) > _STRENGTH.index(old) else old
    facts = f"{len(row.days)} of {row.sessions} days".ljust(13) + past.rates.get(row.fault, "").ljust(22)
    room = 26 if width < 100 else 44
    name = short(fault_name(past.rules, row.fault), room)
    marks = ""
    for day in sorted({*days, *by_day}):
        marks += ("|" if day in begun else "") + by_day.get(day, "·")
    left = max(5, width - room - len(facts) - 4)
    return Content.assemble(name.ljust(room), "  ", (facts, "$text-muted"), "  ", (marks[-left:], "bold"))


def _note_line(past: PastNote, today: date, width: int) -> Content:
    when = day_words(past.note.day, today).ljust(12)
    still = sum(each.status is SightingStatus.SUGGESTED for each in past.sightings)
    facts = (
        past.note.kind + (f", {still} to answer" if still else "") + (", sound" if past.note.audio else "")
    )
    text = short(past.note.text[:400].replace("\n", " · "), max(10, width - 12 - len(facts) - 4))
    return Content.assemble((when, "bold"), text, "  ", (facts, "$text-muted"))
