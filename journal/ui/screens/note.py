"""A note: what went well, what did not, what next. Sightings appear beside the words as they are read."""

from __future__ import annotations

import logging
import time
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static, TextArea

from journal.days import day_words
from journal.errors import JournalError
from journal.ui.base import heading
from journal.ui.screens.note_parts import FIELDS, Understood, cut_off, spans_by_field
from journal.ui.screens.note_sound import SpeakingScreen, Written
from journal.ui.widgets.frame import Notice
from journal.ui.widgets.note_area import NoteArea
from journal.ui.widgets.sighting_list import SightingList

if TYPE_CHECKING:
    from pathlib import Path

    from textual.timer import Timer

    from journal.notes import NoteWords, TakenNote
    from journal.store.work import UnitOfWork
    from knowledge.reading.types import Reading
    from knowledge.rulebase import RuleBase

READ_AFTER, READ_AT_LEAST = 0.25, 1.0
"""Seconds of rest after which the words are read, and after which they are read without one."""
_log = logging.getLogger(__name__)
SAVE_AFTER = 0.6
"""Seconds after a change in which the draft is saved; with the saving it stays under the second promised."""


class NoteScreen(SpeakingScreen):
    """Write; everything else is offered and nothing is asked."""

    room = "Note"
    about = (
        "What went well, what did not, what next. The journal says what it understood; you say what is right."
    )
    parts = (SightingList,)
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+s", "save", "save", priority=True),
        Binding("f2", "sightings", "sightings", key_display="F2"),
        Binding("f3", "session", "session", key_display="F3"),
        Binding("ctrl+r", "speak", "speak", priority=True),
    ]
    CSS = """
    #words { width: 1fr; }
    #caution, #kept { display: none; }
    #side { width: 1fr; border-left: solid $panel; }
    NoteArea { height: 1fr; min-height: 2; }
    #went_wrong { height: 2fr; }
    """

    def __init__(self, speak: bool = False) -> None:
        super().__init__()
        self._speak = speak
        self._reading: Timer | None = None
        self._unread_since: float | None = None
        self._written: Written

    def body(self) -> Iterable[Widget]:
        fields = [piece for name, title, hint in FIELDS for piece in (heading(title), NoteArea(name, hint))]
        yield Static("", id="caution", classes="block", markup=False)
        yield Horizontal(
            Vertical(*fields, Static("", id="kept", classes="quiet", markup=False), id="words"),
            VerticalScroll(Understood(), id="side", can_focus=False),
        )

    def on_mount(self) -> None:
        from journal.notes import NoteWords

        self._about = NoteWords()
        self.title_line(f"Note · {day_words(self.journal.desk.today(self.player))} · {self.player.name}", "")
        self._read = self.latest(self.query_one(Understood).read, self._reread)
        self._draft = self.latest(self.save_draft, lambda what, _: self._saved(what[0]))
        self.query_one("#went_well", NoteArea).focus()
        player, recordings = self.player, self.journal.desk.recordings
        from journal.keeping import unfinished

        self.at_desk(lambda work: unfinished(work, player, recordings), lambda found: self._restore(*found))

    def _restore(self, draft: NoteWords, missing: tuple[str, ...]) -> None:
        self._restored, self._about = True, draft
        self.query_one(Understood).answers.of_draft(draft.answers)
        if draft.text or draft.kept:
            for name, _, _ in FIELDS:
                area = self.query_one(f"#{name}", NoteArea)
                area.load_text(getattr(draft, name) + area.text)  # somebody may be typing already
                area.move_cursor(area.document.end)
            self.tell("your unfinished note is back", "Go on writing; ctrl+s saves it.")
        if missing:
            place = self.journal.desk.recordings.of_player(self.player.id)
            self.tell(
                f"kept sound of this note is missing: {', '.join(missing)}",
                f"It was moved or deleted; put it back into {place}, or go on without it.",
                error=True,
            )
        self._read.ask(self.words())
        self.recount()
        player = self.player
        if self._speak:
            self.speak_into(self.query_one("#went_wrong", NoteArea))
        else:
            self.beside(lambda: cut_off(self.journal, player), lambda found: self._cut_off(*found))

    def _cut_off(self, text: str, sound: tuple[Path, ...]) -> None:
        if text:
            area = self.query_one("#went_wrong", NoteArea)
            area.insert((" " if area.text else "") + text, area.document.end)
            self._heard += sound
            self.recount()  # what was kept of it is mended by now, and longer
            self.tell("a recording that was cut off is written down", "It stands under “What did not”.")

    def words(self) -> NoteWords:
        """What stands in the fields."""
        assert self._about is not None
        well, wrong, after = (self.query_one(f"#{name}", NoteArea).text for name, _, _ in FIELDS)
        answers = self.query_one(Understood).answers.for_draft()
        return replace(self._about, went_well=well, went_wrong=wrong, next_time=after, answers=answers)

    @on(TextArea.Changed)
    def changed(self) -> None:
        """Read it again, and keep the draft."""
        self._keep_soon()
        self._read_soon()

    @on(Understood.Told)
    def answered(self) -> None:
        """Keep what was said to a sighting with the draft."""
        self._keep_soon()

    def _reread(self, words: NoteWords, read: tuple[Reading, RuleBase, bool]) -> None:
        if not self.is_attached:
            return
        understood = self.query_one(Understood)
        # by what stands there now: the reading may be of an older text, from before a draft came back
        if understood.answers.forget_gone(self.words().cleaned().text):
            self._keep_soon()
        understood.show(words, read)

    def _keep_soon(self) -> None:
        self._written = (self.words(), self._heard)
        if not self._dirty:
            self._dirty = True
            self.title_line(right="…")
            self.set_timer(SAVE_AFTER, self._keep)

    def _read_soon(self) -> None:
        """Read at the next short rest, or after a second without one."""
        if self._reading is not None:
            self._reading.stop()
        now = time.monotonic()
        self._unread_since = self._unread_since or now
        rest = min(READ_AFTER, max(0.01, self._unread_since + READ_AT_LEAST - now))
        self._reading = self.set_timer(rest, self._read_now)

    def _read_now(self) -> None:
        self._reading, self._unread_since = None, None
        self._read.ask(self._written[0])

    def _keep(self) -> None:
        if not self._restored:  # an earlier draft is still being fetched and must not be written over
            self.set_timer(0.1, self._keep)
            return
        self._dirty = False
        self.ask_draft()

    def ask_draft(self) -> None:
        """Save the draft beside the event loop."""
        if not self._saving:
            self._draft.ask((self.words(), self._heard))

    def save_draft(self, written: Written) -> None:
        """Save a draft, and delete the sound whose words it holds."""
        words, heard = written
        from journal.notes import save_draft

        player, now = self.player, self.journal.desk.now()

        def keep(work: UnitOfWork) -> bool:
            if self._saving:  # asked inside the transaction: a stored note's draft must not come back
                return False
            save_draft(work, player, words, now)
            return True

        if self.journal.worked(keep):
            self.forget(heard)

    def _saved(self, words: NoteWords) -> None:
        if self.is_attached and not self._dirty:
            self.title_line(right="draft saved" if words.text else "")

    def action_leave(self) -> None:
        """Keep the draft, then go back; when it cannot be kept, say so and stay."""
        if self.query_one(Notice).error:
            super().action_leave()
            return
        words = self.words()
        if words.kept and not words.text.strip():
            self.ask_to_throw(words)
        elif self._dirty:
            self._dirty = False
            what = (words, self._heard)
            self.beside(lambda: self.save_draft(what), lambda _: self.app.pop_screen())
        else:
            super().action_leave()

    def on_unmount(self) -> None:
        """The program is left: the last letters too are kept. The fields are gone already."""
        if self._dirty and self._restored and not self._saving:
            try:
                self.save_draft(self._written)
            except JournalError as error:
                _log.error("the draft could not be kept: %s", error)

    @on(SightingList.Chosen)
    def chosen(self, event: SightingList.Chosen) -> None:
        """Underline the words behind the selected sighting."""
        spans = spans_by_field(self.words(), event.row) if event.row is not None else {}
        for name, _, _ in FIELDS:
            self.query_one(f"#{name}", NoteArea).underline(spans.get(name, ()))

    @on(SightingList.Open)
    def open_entry(self, event: SightingList.Open) -> None:
        """Show what the fault is."""
        self.journal.go("look up", event.fault)

    def action_sightings(self) -> None:
        """Between the words and the sightings."""
        listing = self.query_one(SightingList)
        if listing.has_focus or not listing.rows:
            self.query_one("#went_wrong", NoteArea).focus()
        else:
            listing.focus()

    def action_session(self) -> None:
        """Practice or match, minutes, table."""
        from journal.ui.screens.about_session import AboutSession

        self.app.push_screen(AboutSession(self.words()), self._told)

    def _told(self, words: NoteWords | None) -> None:
        if words is not None:
            self._about = words
            self.changed()

    def action_save(self) -> None:
        """Store the note, then show it with what is still to be answered."""
        if self._saving:
            return
        self._saving = True
        words, player, understood = self.words(), self.player, self.query_one(Understood)
        heard = self._heard
        self.title_line(right="saving …")

        def take() -> TakenNote:
            taken = understood.take(words, player)
            with suppress(
                JournalError
            ):  # the note is safe: what is left of the sound is heard once more next time
                self.forget(heard)
            return taken

        self.beside(take, self._taken)

    def failed(self, error: Exception) -> None:
        self._saving = False
        self.title_line(right="not saved")
        super().failed(error)

    def _taken(self, taken: TakenNote) -> None:
        self._dirty = False
        self.app.pop_screen()
        self.journal.go("past note", taken.note.id, True)
