"""Keeping a recording from the moment it is wished for until its note is saved or thrown away."""

from __future__ import annotations

import threading
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from journal.errors import CannotWrite
from journal.notes import NoteWords, open_draft
from journal.recordings import NAME, Recordings
from journal.records import Note, Player, PlayerId
from journal.store.work import UnitOfWork, new_id


class Keeping:
    """The wish to keep the recording that runs, and the file that fulfils it. Methods may come from any thread."""

    def __init__(self, recordings: Recordings, player: PlayerId, note: str) -> None:
        self._recordings, self._player, self._note = recordings, player, note
        self._lock = threading.Lock()
        self.wanted = False
        self.file: Path | None = None

    def settle(self, sound: Path | None, *, ended: bool = False) -> None:
        """Make the folder agree with the wish. Raises: CannotWrite; then the wish follows the folder."""
        with self._lock:
            try:
                if not self.wanted:
                    self._drop()
                elif self.file is None and sound is not None:
                    self.file = self._recordings.keep(self._player, self._note, sound, ended=ended)
            except CannotWrite:
                self.wanted = self.file is not None
                raise

    def drop(self) -> None:
        """The recording was thrown away; the wish stays for the next one."""
        with self._lock:
            self._drop()

    def release(self) -> Path | None:
        """Let the kept file stay whatever comes; a wish still standing is for the next recording."""
        with self._lock:
            file, self.file = self.file, None
            return file

    def _drop(self) -> None:
        if self.file is not None:
            self._recordings.delete(self.file)
            self.file = None


def unfinished(work: UnitOfWork, player: Player, recordings: Recordings) -> tuple[NoteWords, tuple[str, ...]]:
    """The unfinished note, or an empty one, with the recordings kept for it; and the names of those that are gone.

    A kept recording that has neither note nor draft (a crash came between) joins it.
    """
    draft = open_draft(work, player) or NoteWords()
    note = draft.note_id
    if note is None or work.notes.count(id=note):  # saved meanwhile in another window
        draft = replace(draft, note_id=(note := new_id()), kept=())
    recordings.tidy(player.id)
    for name in recordings.names(player.id):
        owner = name.rpartition("-")[0]
        if owner != note and not work.notes.count(id=owner):
            with suppress(CannotWrite):  # it stays where it is and joins a later note
                recordings.join(player.id, name, note)
    there = tuple(recordings.names(player.id, note))
    return replace(draft, kept=there), tuple(name for name in draft.kept if name not in there)


def delete_recording(work: UnitOfWork, note: Note, name: str, recordings: Recordings) -> Note:
    """Delete one recording of a stored note, or forget one that is gone; the note as it is then."""
    if NAME.fullmatch(name) and name.startswith(f"{note.id}-"):
        recordings.delete(recordings.of_player(note.player_id) / name)
    known = dict.fromkeys([*(note.audio or "").split(), *recordings.names(note.player_id, note.id)])
    left = [each for each in known if each != name]
    return work.notes.put(replace(note, audio=" ".join(left) or None))


def throw_draft(work: UnitOfWork, player: Player, note: str, recordings: Recordings) -> None:
    """Remove an unfinished note and the recordings kept for it."""
    work.drafts.remove(player_id=player.id)
    if not work.notes.count(id=note):
        recordings.erase_note(player.id, note)
