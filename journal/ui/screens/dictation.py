"""Speaking a note: one key starts, one stops; the words appear while they are spoken."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Static

from journal.ui.base import Dialog, heading
from journal.ui.screens.note_parts import recordings
from journal.ui.words import bar

if TYPE_CHECKING:
    from journal.voice.live import LiveText, Spoken
    from journal.voice.recorder import Recorder
    from journal.voice.transcriber import Transcript


class Dictation(Dialog[str]):
    """Gives the spoken words as text. The sound is deleted once it is text."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+r,enter", "stop", "stop and take the words", key_display="^r", priority=True),
        Binding("m", "microphone", "other microphone"),
        Binding("escape", "throw", "throw away", key_display="esc"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._recorder: Recorder | None = None
        self._live: LiveText | None = None
        self._device: str | None = None
        self._ending = False

    def body(self) -> Iterable[Widget]:
        yield heading("Listening")
        yield Static("opening the microphone …", id="meter", markup=False, classes="block")
        yield Static("", id="spoken", markup=False, classes="block")

    def on_mount(self) -> None:
        self._begin()
        self.set_interval(0.2, self._meter)

    def _begin(self) -> None:
        self.beside(self._open)

    def _open(self) -> None:
        from journal.voice.live import LiveText
        from journal.voice.recorder import Recorder
        from journal.voice.transcriber import Transcriber

        rules = self.journal.tool("rules")
        live = LiveText(Transcriber(tuple(rules.terms.values())), self._heard)
        recorder = Recorder(recordings(self.journal.desk), self._device, on_block=live.feed)
        recorder.start()
        live.start()
        self._live, self._recorder = live, recorder

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
        """End the recording and hear it once more as a whole."""
        recorder, live = self._recorder, self._live
        if self._ending or recorder is None or live is None:
            return
        self._ending = True
        self.query_one("#meter", Static).update("writing it down …")

        def end() -> Transcript:
            recording = recorder.stop()
            try:
                return live.finish(recording, self._progress)
            finally:
                recording.unlink(missing_ok=True)

        self.beside(end, self._taken)

    def _progress(self, share: float) -> None:
        self.app.call_later(self._writing, share)

    def _writing(self, share: float) -> None:
        if self.is_attached:
            self.query_one("#meter", Static).update(f"writing it down  {bar(share, 24)} {share:.0%}")

    def _taken(self, transcript: Transcript) -> None:
        if transcript.repairs:
            from journal.ui.screens.repairs import Repairs

            self.app.push_screen(Repairs(transcript.text, transcript.repairs), self.dismiss)
        else:
            self.dismiss(transcript.text)

    def failed(self, error: Exception) -> None:
        self._recorder, self._ending = None, False
        self.query_one("#meter", Static).update("not recording")
        super().failed(error)

    def action_microphone(self) -> None:
        """Go on with the next microphone; what was said so far is thrown away."""
        from journal.voice.recorder import devices

        def chosen(names: list[str]) -> None:
            at = names.index(self._device) if self._device in names else 0
            self._device = names[(at + 1) % len(names)] if names else None
            self._drop()
            self.tell(f"microphone: {self._device or 'the system chooses'}")
            self._begin()

        self.beside(devices, chosen)

    def _drop(self) -> None:
        recorder, live = self._recorder, self._live
        self._recorder = self._live = None

        def drop() -> None:
            if live is not None:
                live.close()
            if recorder is not None:
                recorder.stop().unlink(missing_ok=True)

        if recorder is not None:
            self.beside(drop)

    def action_throw(self) -> None:
        """Keep nothing."""
        self._drop()
        self.dismiss(None)
