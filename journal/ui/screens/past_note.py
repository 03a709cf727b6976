"""A stored note: its words, what was read from them, and what may help."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from journal.days import day_words
from journal.errors import BadInput
from journal.prescription import PAIN_FAULTS
from journal.ui.answers import Said, Seen, of_sighting, store_answer
from journal.ui.base import JournalScreen
from journal.ui.screens.note_parts import FIELDS, caution_words, figure_words, kept_words
from journal.ui.widgets.sighting_list import SightingList
from journal.ui.words import plural

if TYPE_CHECKING:
    from journal.prescription import Prescription
    from journal.recordings import Kept
    from journal.records import Figure, Note, RecordId, Sighting
    from journal.store.work import UnitOfWork
    from knowledge.reading.types import CautionHit
    from knowledge.rulebase import RuleBase

SHOWN_LETTERS = 20_000


@dataclass(frozen=True, slots=True)
class _Page:
    """Everything the screen shows."""

    note: Note
    sightings: tuple[Sighting, ...]
    figures: tuple[Figure, ...]
    cautions: tuple[CautionHit, ...]
    helps: tuple[Prescription, ...]
    rules: RuleBase
    kept: tuple[Kept, ...]
    missing: tuple[str, ...]


class PastNoteScreen(JournalScreen):
    """fresh: the note was stored just now."""

    room = "Note"
    about = "A stored note: answer what is open, read what may help."
    parts = (SightingList,)
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("e", "erase", "erase note"),
        Binding("d", "recording", "delete kept sound"),
        Binding("f", "figures", "figures"),
    ]
    CSS = """
    #text { width: 1fr; }
    #caution { display: none; }
    #side { width: 1fr; border-left: solid $panel; }
    """

    def __init__(self, note_id: RecordId, fresh: bool = False) -> None:
        super().__init__()
        self._note_id, self._fresh = note_id, fresh
        self._page: _Page | None = None

    def body(self) -> Iterable[Widget]:
        side = VerticalScroll(
            Static("Understood", classes="heading", markup=False),
            SightingList(),
            Static("", id="figures", markup=False, classes="quiet"),
            Static("", id="helps", markup=False, classes="block"),
            id="side",
            can_focus=False,
        )
        yield Static("", id="caution", markup=False, classes="block")
        yield Horizontal(
            VerticalScroll(
                Static("", id="words", markup=False, classes="block"),
                Static("", id="kept", markup=False, classes="quiet"),
                id="text",
            ),
            side,
        )

    def on_mount(self) -> None:
        self.reload()

    def reload(self) -> None:
        """Fetch the note again."""
        self.beside(self._fetch, self._show, last="page")

    def _fetch(self) -> _Page:
        from journal.prescription import prescribe
        from knowledge.reading.cautions import CautionReader

        rules, player = self.journal.tool("rules"), self.player

        def fetch(work: UnitOfWork) -> tuple[Note | None, list[Sighting], list[Figure]]:
            where = {"player_id": player.id, "note_id": self._note_id}
            note = work.notes.one(player_id=player.id, id=self._note_id)
            return note, work.sightings.all(order="start", **where), work.figures.all(**where)

        note, sightings, figures = self.journal.worked(fetch)
        if note is None:
            raise BadInput("the note is gone", "It was erased meanwhile.")
        cautions = CautionReader(rules.cautions.values()).read(note.text[:SHOWN_LETTERS])
        seen = dict.fromkeys(
            each.fault
            for each in sightings
            if of_sighting(each).said is Said.KEPT and each.polarity in ("present", "worse")
        )
        helps = tuple(prescribe(fault, rules, player) for fault in seen if fault in rules.faults)
        recordings = self.journal.desk.recordings
        kept, missing = recordings.of_note(player.id, note.id), recordings.missing(note)
        return _Page(
            note, tuple(sightings), tuple(figures), cautions, helps, rules, tuple(kept), tuple(missing)
        )

    def _show(self, page: _Page) -> None:
        self._page = page
        note, today = page.note, self.journal.desk.today(self.player)
        facts = [note.kind, f"{note.minutes} min" if note.minutes else "", note.table_name or ""]
        self.title_line(f"Note · {day_words(note.day, today)}", ", ".join(filter(None, facts)))
        caution = self.query_one("#caution", Static)
        caution.update(caution_words(page.cautions))
        caution.display = bool(page.cautions)
        listing = self.query_one(SightingList)
        listing.show([of_sighting(each) for each in page.sightings], page.rules)
        self._underline(listing.row)
        self.query_one("#figures", Static).update(figure_words(page.rules, page.figures))
        self.query_one("#helps", Static).update(_help_words(page.helps))
        self.query_one("#kept", Static).update(kept_words(page.kept, page.missing))
        self.refresh_bindings()
        if self._fresh:
            self._fresh = False
            listing.focus()
            still = sum(of_sighting(each).said is Said.OPEN for each in page.sightings)
            self.tell(
                "saved",
                f"{plural(still, 'sighting')} still to answer: k keep, c correct, x drop." if still else "",
            )

    def _underline(self, row: Seen | None) -> None:
        if self._page is not None:
            self.query_one("#words", Static).update(_note_words(self._page.note, row))

    @on(SightingList.Chosen)
    def chosen(self, event: SightingList.Chosen) -> None:
        """Underline the words behind the selected sighting."""
        self._underline(event.row)

    @on(SightingList.Answered)
    def answered(self, event: SightingList.Answered) -> None:
        """Store the person's word at once."""
        self._store(event.row)

    def _store(self, row: Seen) -> None:
        page, now = self._page, self.journal.desk.now()
        if page is None:
            return
        sighting = next(
            (s for s in page.sightings if of_sighting(s).key == row.key and s.start == row.start), None
        )
        if sighting is not None:
            self.at_desk(lambda work: store_answer(work, sighting, row, now), lambda _: self.reload())

    @on(SightingList.Correct)
    def correct(self, event: SightingList.Correct) -> None:
        """Ask for the right fault."""
        from journal.ui.screens.choose_fault import ChooseFault

        row = event.row

        def chosen(fault: str | None) -> None:
            if fault is not None:
                self._store(replace(row, fault=fault, said=Said.CORRECTED))

        self.app.push_screen(ChooseFault(row), chosen)

    @on(SightingList.Open)
    def open_entry(self, event: SightingList.Open) -> None:
        """Show what the fault is."""
        self.journal.go("look up", event.fault)

    def action_erase(self) -> None:
        """Remove the note for good, after asking."""
        from journal.ui.screens.confirm import Confirm

        player, recordings = self.player, self.journal.desk.recordings

        def erase(work: UnitOfWork) -> None:
            from journal.notes import erase_note

            erase_note(work, player, self._note_id, recordings)

        def sure(yes: bool | None) -> None:
            if yes:
                self.at_desk(erase, lambda _: self.app.pop_screen())

        sound = " and kept sound" if self._page is not None and self._page.kept else ""
        self.app.push_screen(
            Confirm(f"Erase this note with its sightings, figures{sound}?", "It cannot be brought back."),
            sure,
        )

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Without kept sound there is none to delete, without figures none to correct."""
        if action == "figures":
            return self._page is not None and bool(self._page.figures)
        if action == "recording":
            return self._page is not None and bool(self._page.kept or self._page.missing)
        return super().check_action(action, parameters)

    def action_recording(self) -> None:
        """Choose a kept recording and delete it; the note stays."""
        from journal.ui.screens.kept_sound import KeptSound

        page, recordings = self._page, self.journal.desk.recordings
        if page is None:
            return

        def forget(work: UnitOfWork, name: str) -> None:
            from journal.keeping import delete_recording

            delete_recording(work, self._player_note(work), name, recordings)

        def chosen(name: str | None) -> None:
            if name is not None:
                self.at_desk(lambda work: forget(work, name), lambda _: self.reload())

        self.app.push_screen(KeptSound(page.kept, page.missing), chosen)

    def action_figures(self) -> None:
        """Choose a score or measure, and correct or drop it."""
        from journal.ui.screens.noted_figures import NotedFigures

        page, player = self._page, self.player
        if page is None:
            return

        def chosen(what: tuple[Figure, bool] | None) -> None:
            if what is None:
                return
            figure, stays = what

            def store(work: UnitOfWork) -> None:
                if stays:
                    work.figures.put(figure)
                else:
                    work.figures.remove(player_id=player.id, id=figure.id)

            self.at_desk(store, lambda _: self.reload())

        self.app.push_screen(NotedFigures(page.figures, page.rules), chosen)

    def _player_note(self, work: UnitOfWork) -> Note:
        note = work.notes.one(player_id=self.player.id, id=self._note_id)
        if note is None:
            raise BadInput("the note is gone", "It was erased meanwhile.")
        return note


def _note_words(note: Note, row: Seen | None) -> Content:
    parts: list[Content] = []
    at = 0
    for name, title, _ in FIELDS:
        text: str = getattr(note, name)
        if not text:
            continue
        words = Content(text[:SHOWN_LETTERS])
        if row is not None and row.start < at + len(words) and row.end > at:
            words = words.stylize("underline bold", max(0, row.start - at), min(len(words), row.end - at))
        if len(text) > SHOWN_LETTERS:
            words += Content(f" … and {len(text) - SHOWN_LETTERS:,} letters more")
        parts += [Content.styled(title, "bold $primary"), words, Content("")]
        at += len(text) + 1
    return Content("\n").join(parts)


def _help_words(helps: tuple[Prescription, ...]) -> Content:
    """Drills and checkpoints; for pain the caution and nothing else."""
    parts: list[Content] = []
    for each in helps[:3]:
        pain = each.fault in PAIN_FAULTS
        parts.append(
            Content.assemble(("Care: " if pain else "What may help: ", "bold $primary"), (each.name, "bold"))
        )
        if each.caution:
            parts.append(Content.assemble(("! ", "bold $warning"), each.caution))
        if not pain:
            parts += [
                Content(f"· {dose.name} ({dose.minutes:g} min): {dose.target}") for dose in each.drills[:2]
            ]
            for point in each.checkpoints[:1]:
                parts.append(Content(f"· hold: {point.quantity}, {point.value} [{point.source}]"))
        parts.append(Content(""))
    return Content("\n").join(parts)
