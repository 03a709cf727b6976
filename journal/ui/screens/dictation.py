"""Speaking a note: one key starts, one stops; the words appear while they are spoken."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Static

from journal.errors import JournalError
from journal.ui.base import Dialog, heading
from journal.ui.words import bar

if TYPE_CHECKING:
    from journal.keeping import Keeping
    from journal.voice.live import LiveText, Spoken
    from journal.voice.recorder import Recorder
    from journal.voice.transcriber import Transcript


@dataclass(frozen=True, slots=True)
class Dictated:
    """text: the words; empty when there are none. sound: the file to delete once the words are safe."""

    text: str = ""
    sound: Path | None = None
    problem: JournalError | None = None


class Dictation(Dialog[Dictated]):
    """Gives the spoken words as text. The sound is deleted once they are safe, unless it is kept on purpose.

    keeping: the note's wish to keep the sound. changed: called after the wish was fulfilled or taken back.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+r,enter", "stop", "stop and take the words", key_display="^r", priority=True),
        Binding("k", "keep", "keep the sound / don't"),
        Binding("m", "microphone", "other microphone"),
        Binding("escape", "throw", "throw away", key_display="esc"),
    ]

    DEFAULT_CSS = """
    #meter, #fate, #spoken { padding: 0 1; height: auto; }
    #spoken { margin: 1 0; }
    """

    def __init__(self, keeping: Keeping, changed: Callable[[], object]) -> None:
        super().__init__()
        self._keeping, self._changed = keeping, changed
        self._recorder: Recorder | None = None
        self._live: LiveText | None = None
        self._device: str | None = None
        self._sound: Path | None = None
        self._ending = self._stopped = self._left = False

    def body(self) -> Iterable[Widget]:
        yield heading("Listening")
        yield Static("opening the microphone …", id="meter", markup=False)
        yield Static(self._fate(), id="fate", markup=False)
        yield Static("", id="spoken", markup=False)

    def on_mount(self) -> None:
        self._begin()
        self.set_interval(0.2, self._meter)

    def _begin(self) -> None:
        self.beside(self._open, self._settled)

    def _open(self) -> JournalError | None:
        from journal.voice.live import LiveText
        from journal.voice.recorder import Recorder
        from journal.voice.transcriber import Transcriber

        rules = self.journal.tool("rules")
        live = LiveText(Transcriber(tuple(rules.terms.values())), self._heard)
        room = self.journal.desk.recordings.room(self.player.id)
        recorder = Recorder(room, self._device, on_block=live.feed)
        recorder.start()
        if self._left:  # meanwhile the dialog was closed
            _throw(recorder)
            return None
        live.start()
        self._sound, self._live, self._recorder = recorder.path, live, recorder
        return self._settle()

    def _heard(self, spoken: Spoken) -> None:
        """On the recogniser's thread."""
        self.app.call_later(self._show, spoken.text)

    def _show(self, text: str) -> None:
        if self.is_attached:
            self.query_one("#spoken", Static).update(text[-800:])

    def _meter(self) -> None:
        recorder = self._recorder
        if recorder is None or self._ending:
            return
        minutes, seconds = divmod(int(recorder.elapsed), 60)
        lines = [f"{minutes}:{seconds:02d}  {bar(recorder.level, 24)}", *recorder.warnings]
        if self._live is not None and self._live.problem is not None:
            lines.append(self._live.problem.message)
        self.query_one("#meter", Static).update("\n".join(lines))

    def action_stop(self) -> None:
        """End the recording and hear it once more as a whole. Sound that could not be heard for want of a model
        stays for the next time.
        """
        recorder, live = self._recorder, self._live
        if self._ending or recorder is None or live is None:
            return
        self._ending = True
        self.refresh_bindings()
        self.query_one("#meter", Static).update("writing it down …")

        def end() -> tuple[Transcript, JournalError | None]:
            from journal.voice.errors import NoSpeech, RecordingLost

            try:
                recording = recorder.stop()
            except RecordingLost:
                self._keeping.drop()
                raise
            self._stopped = True
            problem = self._settle()
            try:
                heard = live.finish(recording, self._progress)
            except NoSpeech:
                recording.unlink(missing_ok=True)
                raise
            if self._left:  # thrown away while it was being written down
                recording.unlink(missing_ok=True)
            return heard, problem

        self.beside(end, lambda heard: self._taken(*heard))

    def _progress(self, share: float) -> None:
        self.app.call_later(self._writing, share)

    def _writing(self, share: float) -> None:
        if self.is_attached:
            self.query_one("#meter", Static).update(f"writing it down  {bar(share, 24)} {share:.0%}")

    def _taken(self, transcript: Transcript, problem: JournalError | None) -> None:
        def done(text: str | None) -> None:
            self.dismiss(Dictated(text or "", self._sound, problem))

        if transcript.repairs:
            from journal.ui.screens.repairs import Repairs

            self.app.push_screen(Repairs(transcript.text, transcript.repairs), done)
        else:
            done(transcript.text)

    def failed(self, error: Exception) -> None:
        if self._recorder is not None and not self._ending:  # what went wrong is not the recording
            super().failed(error)
            return
        said = ["not recording: m begins anew, esc goes back"]
        if self._sound is not None and self._sound.exists():
            said.append("What was recorded waits: it is written down when a note is opened again.")
        if self._keeping.release():
            said.append("What was recorded is KEPT with this note.")
        self._recorder = self._sound = None
        self._ending = self._stopped = False
        self.query_one("#meter", Static).update("\n".join(said))
        self._show_fate()
        self._changed()
        self.refresh_bindings()
        super().failed(error)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """There is nothing to stop while nothing is recorded."""
        if action in ("stop", "microphone") and self._ending:
            return False
        if action == "stop":
            return self._recorder is not None
        return super().check_action(action, parameters)

    def action_keep(self) -> None:
        """Wish for the sound to stay with the note, or take the wish back."""
        self._keeping.wanted = not self._keeping.wanted
        self._show_fate()
        self.beside(self._settle, self._settled)

    def _settle(self) -> JournalError | None:
        """Beside the event loop. A recording that cannot be kept is no reason to stop it."""
        try:
            self._keeping.settle(self._sound, ended=self._stopped)
        except JournalError as error:
            return error
        return None

    def _settled(self, problem: JournalError | None) -> None:
        self._show_fate()
        self._changed()
        self.refresh_bindings()
        if problem is not None:
            super().failed(problem)
        elif self._keeping.wanted and self._keeping.file is not None:
            from journal.players import SAFEGUARDING, may_be_minor

            if may_be_minor(self.player, self.journal.desk.now()):
                self.tell("a guardian's consent has to cover the kept sound too", SAFEGUARDING)

    def _show_fate(self) -> None:
        self.query_one("#fate", Static).update(self._fate())

    def _fate(self) -> str:
        """What becomes of the sound, in words."""
        if not self._keeping.wanted:
            return "The sound is deleted once it is text."
        if self._keeping.file is not None:
            return "The sound is KEPT with this note."
        return "The sound is to be kept with this note."

    def action_microphone(self) -> None:
        """Go on with the next microphone; what was said so far is thrown away."""
        if self._ending:
            return
        from journal.voice.recorder import devices

        def chosen(names: list[str]) -> None:
            at = names.index(self._device) if self._device in names else 0
            self._device = names[(at + 1) % len(names)] if names else None
            problem = self._unkept()
            self._drop()
            self._show_fate()
            self.tell(f"microphone: {self._device or 'the system chooses'}")
            if problem is not None:
                self.tell(problem.message, problem.hint, error=True)
            self._begin()

        self.beside(devices, chosen)

    def _drop(self) -> None:
        recorder, live = self._recorder, self._live
        self._recorder = self._live = self._sound = None

        def drop() -> None:
            if live is not None:
                live.close()
            if recorder is not None:
                _throw(recorder)

        if recorder is not None and not self._ending:
            self.beside(drop)

    def _unkept(self) -> JournalError | None:
        """Take the running recording's second name away again."""
        try:
            self._keeping.drop()
        except JournalError as error:
            return error
        return None

    def action_throw(self) -> None:
        """Keep nothing of what is being said."""
        self._left, self._keeping.wanted = True, False
        problem = self._unkept()
        self._drop()
        self.dismiss(Dictated(problem=problem))


def _throw(recorder: Recorder) -> None:
    from journal.voice.errors import RecordingLost

    with suppress(RecordingLost):  # not one sample came: the file is gone already
        recorder.stop().unlink(missing_ok=True)
