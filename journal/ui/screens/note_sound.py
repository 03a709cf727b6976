"""The sound of a note that is being written: dictation into a field, what is kept with it, what is deleted."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from textual.widgets import Static

from journal.ui.base import JournalScreen
from journal.ui.hints import on_screen
from journal.ui.screens.note_parts import kept_words
from journal.ui.widgets.note_area import NoteArea

if TYPE_CHECKING:
    from journal.notes import NoteWords
    from journal.recordings import Kept
    from journal.ui.screens.dictation import Dictated

Written = tuple["NoteWords", tuple[Path, ...]]
"""What a draft is made of: the words, and the sound that may be deleted once they are safe."""


class SpeakingScreen(JournalScreen):
    """A note's screen as far as it has to do with sound. The screen itself brings fields and drafts."""

    def __init__(self) -> None:
        super().__init__()
        self._about: NoteWords | None = None
        self._heard: tuple[Path, ...] = ()
        """Sound whose words stand in the fields; it is deleted once a draft holds them."""
        self._speak = self._dirty = self._restored = self._saving = False

    def words(self) -> NoteWords:
        """What stands in the fields."""
        raise NotImplementedError

    def ask_draft(self) -> None:
        """Have the draft saved beside the event loop."""
        raise NotImplementedError

    def save_draft(self, written: Written) -> None:
        """Save a draft. Raises: JournalError."""
        raise NotImplementedError

    def recount(self) -> None:
        """Beside the event loop: which recordings are kept with this note by now."""
        assert self._about is not None
        player, note = self.player.id, self._about.note_id or ""
        self.beside(lambda: self.journal.desk.recordings.of_note(player, note), self._counted, last="kept")

    def _counted(self, kept: list[Kept]) -> None:
        assert self._about is not None
        names = tuple(each.path.name for each in kept)
        line = self.query_one("#kept", Static)
        line.update(kept_words(kept))
        line.display = bool(kept)
        if names != self._about.kept:
            self._about = replace(self._about, kept=names)
            self.ask_draft()

    def action_speak(self) -> None:
        """Start dictation into the field in which the cursor stands."""
        if not self._restored:
            self._speak = True
        elif isinstance(self.focused, NoteArea):
            self.speak_into(self.focused)
        else:
            self.speak_into(self.query_one("#went_wrong", NoteArea))

    def speak_into(self, field: NoteArea) -> None:
        """Start dictation into a field."""
        from journal.keeping import Keeping
        from journal.ui.screens.dictation import Dictation

        assert self._about is not None
        keeping = Keeping(self.journal.desk.recordings, self.player.id, self._about.note_id or "")
        self.app.push_screen(Dictation(keeping, self.recount), lambda said: self._put(field, said))

    def _put(self, field: NoteArea, said: Dictated | None) -> None:
        self.recount()
        if said is None:
            return
        if said.text:
            field.focus()
            gap = " " if field.text and not field.text[-1:].isspace() else ""
            field.insert(gap + said.text, field.document.end)
            self._about = replace(self.words(), origin="spoken")
        if said.sound is not None:
            self._heard += (said.sound,)
        if said.problem is not None:
            self.tell(said.problem.message, on_screen(said.problem.hint), error=True)

    def ask_to_throw(self, words: NoteWords) -> None:
        """An emptied note takes its kept sound with it, after asking."""
        from journal.keeping import throw_draft
        from journal.ui.screens.confirm import Confirm

        player, recordings = self.player, self.journal.desk.recordings

        def sure(yes: bool | None) -> None:
            if yes:
                self._dirty, self._saving = False, True  # no draft any more
                self.forget(self._heard)
                self.at_desk(
                    lambda work: throw_draft(work, player, words.note_id or "", recordings),
                    lambda _: self.app.pop_screen(),
                )
            elif yes is False:
                self._dirty = False
                self.beside(lambda: self.save_draft((words, self._heard)), lambda _: self.app.pop_screen())

        self.app.push_screen(
            Confirm(
                "The note has no words. Delete its kept sound?",
                "y deletes it for good; n keeps it with the unfinished note; esc goes on writing.",
            ),
            sure,
        )

    def forget(self, heard: tuple[Path, ...]) -> None:
        """Delete sound that is text by now and safe. Raises: CannotWrite."""
        for sound in heard:
            self.journal.desk.recordings.delete(sound)
